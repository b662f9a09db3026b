//! Every reason for which the station does not carry out a command, provoked at the station.

use std::sync::OnceLock;

use pennyweight_core::input::{CommandError, Known, Sample};
use pennyweight_core::spec::{DrinkId, Sheet};
use pennyweight_core::units::{AdcCode, Grams, Millilitres};
use pennyweight_core::view::Page;
use pennyweight_core::{Command, Event, Input, Instant, Mode, Outputs, Setup, Station};
use pennyweight_sim::sheet;

const SHEET: &str = r#"
[liquid.rye]
abv = 45

[liquid.gin]
abv = 45

[[drink]]
name = "Stirred"
vessel = "mixing glass"
glass = "highball"
build = ["30 ml rye", "30 ml gin", "stir 3 s", "strain", "60 ml rye"]

[[drink]]
name = "Short"
vessel = "rocks"
build = ["30 ml rye"]

[[drink]]
name = "Large"
vessel = "mixing glass"
glass = "highball"
build = ["330 ml rye", "stir 3 s", "strain"]

[[drink]]
name = "Small"
vessel = "rocks"
build = ["150 ml rye", "90 ml gin", "20 ml rye"]
"#;

const STIRRED: DrinkId = DrinkId(0);
const SHORT: DrinkId = DrinkId(1);
const LARGE: DrinkId = DrinkId(2);
const SMALL: DrinkId = DrinkId(3);

/// Grams: a mixing glass, a rocks glass, a highball glass, and 30 ml of spirit.
const MIXING_G: f64 = 700.0;
const ROCKS_G: f64 = 300.0;
const HIGHBALL_G: f64 = 350.0;
const THIRTY_ML_G: f64 = 28.2;

/// A measure of 50 ml that is filled from a bottle.
const MEASURE: Sample = Sample {
    volume_ul: 50_000,
    sigma_ul: 100,
    celsius: 2_000,
    known: Known::Nothing,
};

/// A station whose pan was empty for a while.
struct Bench {
    station: Station<'static>,
    now_us: u64,
    /// What is on the pan.
    grams: f64,
}

impl Bench {
    fn bare() -> Self {
        Self {
            station: Station::new(Setup {
                zero_code: 0,
                counts_per_gram: 1000.0,
                sps: 80.0,
                mode: Mode::Service,
            }),
            now_us: 0,
            grams: 0.0,
        }
    }

    fn new() -> Self {
        static PACKED: OnceLock<Vec<u8>> = OnceLock::new();
        let bytes = PACKED.get_or_init(|| {
            let read = sheet::parse(SHEET, "refused");
            read.expect("the sheet is sound").pack().to_vec()
        });
        let mut bench = Self::bare();
        bench
            .station
            .load(Sheet::new(bytes).expect("a packed sheet can be read"));
        bench.set(0.0, 2.0);
        bench
    }

    /// A drink is ordered, and its empty vessel set down.
    fn begun(drink: DrinkId, vessel_g: f64) -> Self {
        let mut bench = Self::new();
        bench.does(Command::Order(drink));
        bench.set(vessel_g, 2.0);
        bench
    }

    fn handle(&mut self, input: Input) -> Outputs {
        self.now_us += 12_500;
        self.station
            .handle(Instant::from_micros(self.now_us), input)
    }

    /// The pan carries so much for some seconds; a little noise, so that no code is stuck.
    fn set(&mut self, grams: f64, seconds: f64) {
        self.grams = grams;
        for sample in 0..(seconds * 80.0) as u32 {
            let noise = f64::from(sample * 7 % 5) * 4.0;
            let _ = self.handle(Input::Code(AdcCode((grams * 1000.0 + noise) as i32)));
        }
    }

    /// So much more lands, at 8 g a second.
    fn pour(&mut self, grams: f64) {
        let (from, samples) = (self.grams, (grams * 10.0) as u32);
        for sample in 0..samples {
            let landed = grams * f64::from(sample) / f64::from(samples);
            let code = AdcCode(((from + landed) * 1000.0) as i32);
            let _ = self.handle(Input::Code(code));
        }
        self.set(from + grams, 3.0);
    }

    fn does(&mut self, command: Command) {
        let out = self.handle(Input::Command(command));
        assert_eq!(out.refused, None, "{command:?}");
    }

    /// A refused command is a refusal and no fault, and the station goes on as before.
    fn refuses(&mut self, command: Command, why: CommandError) {
        let before = self.station.view().page;
        let out = self.handle(Input::Command(command));
        assert_eq!(out.refused, Some(why), "{command:?}");
        assert_eq!(out.fault, None, "{command:?}");
        assert!(out.events().any(|event| event == Event::Refused(why)));
        assert_eq!(self.station.view().page, before, "{command:?}");
    }
}

#[test]
fn without_a_sheet_or_a_round() {
    let mut bench = Bench::bare();
    for command in [
        Command::Order(SHORT),
        Command::Void(SHORT),
        Command::Change(SHORT, STIRRED),
        Command::Fix,
        Command::Two,
        Command::Again,
        Command::Other,
    ] {
        bench.refuses(command, CommandError::NoSheet);
    }
    bench.refuses(Command::Skip, CommandError::NothingOpen);
    let mut bench = Bench::new();
    bench.does(Command::Target(Grams(30.0)));
    bench.refuses(Command::Skip, CommandError::NothingOpen);
    bench.refuses(Command::Void(SHORT), CommandError::NoRound);
    bench.refuses(Command::Again, CommandError::NoRound);
}

#[test]
fn orders() {
    let unknown = CommandError::NoSuchDrink { drinks: 4 };
    let mut bench = Bench::new();
    bench.refuses(Command::Order(DrinkId(4)), unknown);
    bench.refuses(Command::Void(DrinkId(4)), unknown);
    bench.refuses(Command::Change(DrinkId(4), SHORT), unknown);
    bench.refuses(Command::Change(SHORT, DrinkId(4)), unknown);
    bench.refuses(Command::Void(SHORT), CommandError::NotOrdered(SHORT));
    let change = Command::Change(SHORT, LARGE);
    bench.refuses(change, CommandError::NotWaiting(SHORT));
    bench.refuses(Command::Other, CommandError::NothingAsked);
    for command in [Command::Skip, Command::Fix, Command::Two, Command::Again] {
        bench.refuses(command, CommandError::NothingOpen);
    }
    // The first awaits its vessel, twelve wait behind it.
    for _ in 0..13 {
        bench.does(Command::Order(SHORT));
    }
    let full = CommandError::RoundFull { most: 12 };
    bench.refuses(Command::Order(SHORT), full);
    bench.refuses(Command::Learn(MEASURE), CommandError::OrdersOpen);
    // An order of its own in place of the one that awaits its vessel finds no room either; one that
    // waits makes room by itself.
    bench.does(change);
    let missing = Command::Change(STIRRED, LARGE);
    bench.refuses(missing, CommandError::NotWaiting(STIRRED));

    let mut bench = Bench::new();
    bench.does(Command::Order(STIRRED));
    for _ in 0..12 {
        bench.does(Command::Order(SHORT));
    }
    bench.refuses(Command::Change(STIRRED, LARGE), full);
    // Once something of it is in, it is no order that waits.
    bench.set(MIXING_G, 2.0);
    bench.pour(THIRTY_ML_G);
    let change = Command::Change(STIRRED, LARGE);
    bench.refuses(change, CommandError::NotWaiting(STIRRED));
}

#[test]
fn two() {
    let mut bench = Bench::new();
    bench.does(Command::Order(STIRRED));
    bench.refuses(Command::Two, CommandError::NotBetweenPours);
    bench.set(MIXING_G, 2.0);
    bench.does(Command::Two);
    let several = CommandError::AlreadySeveral { glasses: 2 };
    bench.refuses(Command::Two, several);
    let mut bench = Bench::begun(SHORT, ROCKS_G);
    bench.refuses(Command::Two, CommandError::NotStrained);
    // Two of it are 660 ml.
    let mut bench = Bench::begun(LARGE, MIXING_G);
    bench.refuses(Command::Two, CommandError::NoRoom);
}

#[test]
fn fix() {
    let mut bench = Bench::new();
    bench.does(Command::Order(STIRRED));
    bench.refuses(Command::Fix, CommandError::NotBetweenPours);
    bench.set(MIXING_G, 2.0);
    bench.refuses(Command::Fix, CommandError::NothingOver);
    bench.pour(THIRTY_ML_G);
    bench.refuses(Command::Fix, CommandError::NothingOver);
    // 30 of 28.2 g is a quarter too much at 35: the drink may grow by that.
    bench.pour(35.0);
    bench.does(Command::Fix);
    bench.pour(7.0);
    bench.refuses(Command::Two, CommandError::Grown);

    let mut bench = Bench::begun(STIRRED, MIXING_G);
    bench.pour(THIRTY_ML_G);
    bench.pour(2.0 * THIRTY_ML_G);
    let too_large = |most_percent| CommandError::FixTooLarge { most_percent };
    bench.refuses(Command::Fix, too_large(150));

    // Served as it is built: 90 ml poured as 120.
    let mut bench = Bench::begun(SMALL, ROCKS_G);
    bench.pour(5.0 * THIRTY_ML_G);
    bench.pour(4.0 * THIRTY_ML_G);
    bench.refuses(Command::Fix, too_large(120));

    // Poured as 100 it might grow to 106 %, but 260 ml are nearly all that fits.
    let mut bench = Bench::begun(SMALL, ROCKS_G);
    bench.pour(5.0 * THIRTY_ML_G);
    bench.pour(10.0 / 3.0 * THIRTY_ML_G);
    bench.refuses(Command::Fix, CommandError::NoRoom);
}

#[test]
fn a_fix_after_the_strain() {
    let mut bench = Bench::begun(STIRRED, MIXING_G);
    bench.pour(THIRTY_ML_G);
    bench.pour(40.0);
    let mixed = bench.grams;
    bench.set(0.0, 6.0);
    bench.set(HIGHBALL_G, 2.0);
    assert!(matches!(bench.station.view().page, Page::Strain { .. }));
    bench.pour(mixed - MIXING_G);
    bench.set(bench.grams, 8.0);
    assert!(matches!(bench.station.view().page, Page::Pour { .. }));
    bench.refuses(Command::Fix, CommandError::Strained);
}

#[test]
fn again() {
    let mut bench = Bench::new();
    bench.does(Command::Order(SHORT));
    bench.refuses(Command::Again, CommandError::NotBegun);
    bench.set(ROCKS_G, 2.0);
    bench.pour(THIRTY_ML_G);
    bench.set(bench.grams, 8.0);
    bench.refuses(Command::Again, CommandError::Built);
}

#[test]
fn zero() {
    let mut bench = Bench::bare();
    bench.refuses(Command::Zero, CommandError::PanMoving);
    bench.set(0.0, 2.0);
    bench.does(Command::Zero);
    bench.set(MIXING_G, 2.0);
    bench.refuses(Command::Zero, CommandError::PanLoaded);
    bench.set(0.0, 2.0);
    bench.does(Command::Learn(MEASURE));
    bench.does(Command::Zero);
    bench.set(80.0, 3.0);
    bench.refuses(Command::Zero, CommandError::MeasureWeighed);
    // An order that cannot be leaves the learning as it is.
    bench.refuses(Command::Order(SHORT), CommandError::NoSheet);
    assert!(matches!(bench.station.view().page, Page::Learn(_)));
}

#[test]
fn an_order_that_is_refused_ends_no_learning() {
    let mut bench = Bench::new();
    bench.does(Command::Learn(MEASURE));
    let unknown = CommandError::NoSuchDrink { drinks: 4 };
    bench.refuses(Command::Order(DrinkId(4)), unknown);
    bench.refuses(Command::Void(SHORT), CommandError::NoRound);
    assert!(matches!(bench.station.view().page, Page::Learn(_)));
}

#[test]
fn what_is_out_of_range() {
    let mut bench = Bench::new();
    let range = CommandError::TargetRange { below_g: 3300 };
    for grams in [0.0, -3.0, f32::NAN, f32::INFINITY, 3300.1] {
        bench.refuses(Command::Target(Grams(grams)), range);
    }
    let range = CommandError::ServeRange { below_ml: 3300 };
    for ml in [-1.0, f32::NAN, 3300.1] {
        bench.refuses(Command::Serve(Millilitres(ml)), range);
    }
    bench.does(Command::Serve(Millilitres(0.0)));
    let range = CommandError::MeasureRange {
        least_ml: 5,
        most_ml: 2000,
    };
    for volume_ul in [0, 4_999, 2_000_001] {
        let sample = Sample {
            volume_ul,
            ..MEASURE
        };
        bench.refuses(Command::Learn(sample), range);
    }
    let sample = Sample {
        sigma_ul: 10_001,
        ..MEASURE
    };
    let sigma = CommandError::MeasureSigma { part: 5 };
    bench.refuses(Command::Learn(sample), sigma);
    let range = CommandError::TemperatureRange {
        lowest_c: -10,
        highest_c: 40,
    };
    for celsius in [-1_001, 4_001] {
        bench.refuses(Command::Learn(Sample { celsius, ..MEASURE }), range);
    }
    let sample = Sample {
        known: Known::Strength(10_001),
        ..MEASURE
    };
    let strength = CommandError::StrengthRange { most_percent: 100 };
    bench.refuses(Command::Learn(sample), strength);
}

/// A person reads the bound in the sentence.
#[test]
fn a_reason_is_a_sentence_with_its_bound() {
    let range = CommandError::MeasureRange {
        least_ml: 5,
        most_ml: 2000,
    };
    assert_eq!(range.to_string(), "a measure holds 5 to 2000 ml");
    let full = CommandError::RoundFull { most: 12 };
    assert_eq!(full.to_string(), "the round is full: 12 orders wait");
    let unknown = CommandError::NoSuchDrink { drinks: 6 };
    assert_eq!(
        unknown.to_string(),
        "the sheet has 6 drinks, and none of that number"
    );
}
