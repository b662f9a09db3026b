//! Learning a bottle through `station`, as a driver does it.
//!
//! The codes come from a generator of this file that knows nothing of the core, and once from the
//! simulated bench. Densities: water 998.2 kg/m3 and sucrose of the CRC Handbook, ethanol and
//! water and the typical liqueurs of the tables in `tests/data/liquid`.

use std::io::Write as _;
use std::process::Stdio;

use pennyweight_core::spec::{Family, Vessel};
use pennyweight_sim::commands::learning::LearnArgs;
use pennyweight_sim::commands::station::{StationArgs, station};
use pennyweight_sim::plant::{Bench, BenchSetup, Liquid, LiquidRef, Table};
use proptest::prelude::*;
use rand::SeedableRng;
use rand_distr::{Distribution, Normal};
use rand_pcg::Pcg64Mcg;
use serde_json::{Value, json};

use super::{json_lines, pennyweight, station_args};

const CODES_PER_GRAM: f64 = 420.0;
const ZERO: f64 = 80_000.0;
const MEASURE_G: f64 = 92.5;

/// What a scale shows of `ml` of that density, kg/m3 (OIML D 28).
fn shown_g(ml: f64, density: f64) -> f64 {
    ml * (density - 1.2) / 1000.0 / (1.0 - 1.2 / 8000.0)
}

/// A pan that is loaded and unloaded, as lines for `station`.
struct Pan {
    random: Pcg64Mcg,
    noise: Normal<f64>,
    now_us: u64,
    grams: f64,
    lines: String,
}

impl Pan {
    /// Quiet and empty for two seconds.
    fn new(seed: u64) -> Self {
        let mut pan = Self {
            random: Pcg64Mcg::seed_from_u64(seed),
            noise: Normal::new(0.0, 0.02).unwrap(),
            now_us: 0,
            grams: 0.0,
            lines: String::new(),
        };
        pan.hold(2.0);
        pan
    }

    fn code(&mut self, grams: f64) {
        self.now_us += 12_500;
        let shown = grams + self.noise.sample(&mut self.random);
        let code = (ZERO + shown * CODES_PER_GRAM).round() as i64;
        self.lines += &format!("{}\n", json!({"t_us": self.now_us, "code": code}));
    }

    fn command(&mut self, words: &str) {
        let line = json!({"t_us": self.now_us, "command": words});
        self.lines += &format!("{line}\n");
    }

    fn hold(&mut self, seconds: f64) {
        self.ramp(self.grams, seconds);
    }

    /// Evenly to `grams`.
    fn ramp(&mut self, grams: f64, seconds: f64) {
        let (from, steps) = (self.grams, (seconds * 80.0) as usize);
        for step in 1..=steps {
            self.code(from + (grams - from) * step as f64 / steps as f64);
        }
        self.grams = grams;
    }

    /// Set down or taken off, within a fifth of a second, and left alone.
    fn set(&mut self, grams: f64) {
        self.ramp(grams, 0.2);
        self.hold(4.0);
    }

    /// Poured on the pan, and left alone.
    fn pour(&mut self, grams: f64) {
        self.ramp(self.grams + grams, grams / 9.0);
        self.hold(7.0);
    }

    fn learned(&self, args: &LearnArgs) -> Vec<Value> {
        let events = self.events(args);
        let told = |event: &Value| event["event"] == "learned";
        events.into_iter().filter(told).collect()
    }

    fn events(&self, args: &LearnArgs) -> Vec<Value> {
        let mut out = Vec::new();
        station(&arguments(args), self.lines.as_bytes(), &mut out).unwrap();
        json_lines(&out)
    }
}

fn arguments(learning: &LearnArgs) -> StationArgs {
    StationArgs {
        learning: learning.clone(),
        ..station_args()
    }
}

fn learn(volume: &str) -> LearnArgs {
    LearnArgs {
        learn: Some(volume.to_owned()),
        ..LearnArgs::default()
    }
}

fn of_strength(abv: &str) -> LearnArgs {
    LearnArgs {
        abv: Some(abv.to_owned()),
        ..learn("50 ml")
    }
}

fn figure(event: &Value, name: &str) -> f64 {
    event[name]
        .as_f64()
        .unwrap_or_else(|| panic!("no {name} in {event}"))
}

#[track_caller]
fn assert_density(event: &Value, density: f64) {
    let (found, sigma) = (figure(event, "density_kg_m3"), figure(event, "sigma_kg_m3"));
    // The measure is exactly full here, so what is left is the scale: a tenth of a gram in 50 ml.
    assert!((found - density).abs() < 2.0, "{found} for {density}");
    // 0.5 % of the volume and some hundredths of a gram.
    assert!((4.5..6.5).contains(&sigma), "{sigma}");
}

/// The strong coffee liqueur of the table: 26.5 % vol and 470 g/l have 1144.5 kg/m3.
#[test]
fn poured_on_the_pan_the_sugar_follows() {
    let mut pan = Pan::new(1);
    pan.set(MEASURE_G);
    pan.pour(shown_g(50.0, 1144.5));
    let learned = pan.learned(&of_strength("26.5"));
    assert_eq!(learned.len(), 1, "{learned:?}");
    assert_density(&learned[0], 1144.5);
    let (sugar, sigma) = (
        figure(&learned[0], "sugar_g_per_l"),
        figure(&learned[0], "sugar_sigma"),
    );
    assert!((sugar - 470.0).abs() < 5.0, "{sugar}");
    assert!((12.0..25.0).contains(&sigma), "{sigma}");
    assert_eq!(learned[0]["fills"], 1);
    let lines = learned[0]["lines"].as_str().unwrap();
    let lines: Vec<&str> = lines.lines().collect();
    assert!(lines[0].starts_with("density = 1.14"), "{lines:?}");
    assert_eq!(lines[1..3], ["at = 20", "abv = 26.5"]);
    assert!(lines[3].starts_with("sugar = 4"), "{lines:?}");
}

/// The orange liqueur of the table, the other way round: 25 % vol, 300 g/l, 1082.6 kg/m3.
#[test]
fn filled_off_the_pan_the_strength_follows() {
    let mut pan = Pan::new(2);
    pan.command("learn 50 ml sugar 300 at 20");
    pan.set(MEASURE_G);
    pan.set(0.0);
    pan.set(MEASURE_G + shown_g(50.0, 1082.6));
    let learned = pan.learned(&LearnArgs::default());
    assert_eq!(learned.len(), 1, "{learned:?}");
    assert_density(&learned[0], 1082.6);
    let (abv, sigma) = (
        figure(&learned[0], "abv_percent"),
        figure(&learned[0], "abv_sigma"),
    );
    assert!((abv - 25.0).abs() < 1.5, "{abv}");
    assert!((3.0..6.0).contains(&sigma), "{sigma}");
}

/// Water of the CRC Handbook, half of it poured, the measure lifted, filled up and put back.
#[test]
fn a_lift_half_way_keeps_the_tare() {
    let mut pan = Pan::new(3);
    let full = shown_g(50.0, 998.2);
    pan.set(MEASURE_G);
    pan.pour(0.3 * full);
    pan.set(0.0);
    pan.set(MEASURE_G + full);
    let learned = pan.learned(&learn("50 ml"));
    assert_eq!(learned.len(), 1, "{learned:?}");
    assert_density(&learned[0], 998.2);
    assert!(learned[0]["sugar_g_per_l"].is_null() && learned[0]["abv_percent"].is_null());
}

/// What was told too early is told again when the rest comes.
#[test]
fn more_of_the_same_fill_amends_it() {
    let mut pan = Pan::new(4);
    let full = shown_g(50.0, 998.2);
    pan.set(MEASURE_G);
    pan.pour(0.8 * full);
    pan.pour(0.2 * full);
    let learned = pan.learned(&learn("50 ml"));
    assert_eq!(learned.len(), 2, "{learned:?}");
    assert_density(&learned[1], 998.2);
    assert_eq!(learned[1]["fills"], 1);
}

#[test]
fn repeats_are_averaged_and_their_spread_shown() {
    let mut pan = Pan::new(5);
    let full = |ml| shown_g(ml, 998.2);
    for ml in [49.8, 50.2, 50.0] {
        pan.set(MEASURE_G);
        pan.pour(full(ml));
        pan.set(0.0);
    }
    let learned = pan.learned(&learn("50 ml"));
    let fills: Vec<u64> = learned
        .iter()
        .filter_map(|it| it["fills"].as_u64())
        .collect();
    assert_eq!(fills, [1, 2, 3]);
    assert!(learned[0]["spread_kg_m3"].is_null());
    assert_density(&learned[2], 998.2);
    // 0.2 ml of 50 ml is 4 kg/m3, one standard deviation of those three.
    let spread = figure(&learned[2], "spread_kg_m3");
    assert!((spread - 4.0).abs() < 0.6, "{spread}");
}

#[test]
fn what_cannot_be_is_refused_and_the_next_fill_taken() {
    let mut pan = Pan::new(6);
    // 40 % vol has 948.0; what is in the measure has 905.
    pan.set(MEASURE_G);
    pan.pour(shown_g(50.0, 905.0));
    let learned = pan.learned(&of_strength("40"));
    assert_eq!(learned.len(), 1);
    let why = learned[0]["refused"].as_str().unwrap();
    assert!(
        why.contains("lighter than 0.948") && why.contains("40 % vol"),
        "{why}"
    );
    assert!(learned[0]["lines"].is_null());

    // Far from full is no drink; filled up it is one, and the only fill.
    let mut pan = Pan::new(7);
    pan.set(MEASURE_G);
    pan.pour(shown_g(30.0, 998.2));
    pan.set(0.0);
    pan.set(MEASURE_G + shown_g(50.0, 998.2));
    let learned = pan.learned(&learn("50 ml"));
    assert_eq!(learned.len(), 2, "{learned:?}");
    assert!(
        learned[0]["refused"]
            .as_str()
            .unwrap()
            .contains("0.7500 g/ml")
    );
    assert_density(&learned[1], 998.2);
    assert_eq!(learned[1]["fills"], 1);

    let mut pan = Pan::new(8);
    pan.set(MEASURE_G);
    pan.pour(shown_g(50.0, 1400.0));
    let learned = pan.learned(&of_strength("0"));
    assert!(
        learned[0]["refused"]
            .as_str()
            .unwrap()
            .contains("denser than")
    );
}

/// Nothing but liquid at rest teaches: an empty measure, knocks, presses, faults.
#[test]
fn nothing_is_learned_from_an_empty_measure() {
    let mut pan = Pan::new(9);
    pan.set(MEASURE_G);
    pan.hold(20.0);
    for _ in 0..3 {
        // A knock rings to both sides, a hand rests for a second and trembles.
        for swing in [60.0, -40.0, 25.0, -10.0] {
            pan.code(MEASURE_G + swing);
        }
        pan.hold(3.0);
        pan.ramp(MEASURE_G + 150.0, 0.2);
        for step in 0..80 {
            pan.code(MEASURE_G + 150.0 + 4.0 * f64::from(step % 7));
        }
        pan.ramp(MEASURE_G, 0.2);
        pan.hold(3.0);
    }
    pan.lines += &format!("{}\n", json!({"t_us": pan.now_us, "code": 8_388_607}));
    pan.now_us += 5_000_000;
    pan.hold(4.0);
    assert_eq!(pan.learned(&of_strength("24")), Vec::<Value>::new());
    // And afterwards it goes on as if nothing had been.
    pan.pour(shown_g(50.0, 998.2));
    let learned = pan.learned(&learn("50 ml"));
    assert_eq!(learned.len(), 1, "{learned:?}");
    assert_density(&learned[0], 998.2);
}

/// A hand that lies still on the pan is heavy enough for a fill, and is taken back when it goes.
#[test]
fn what_leans_on_the_pan_is_no_fill() {
    let mut pan = Pan::new(10);
    pan.set(MEASURE_G);
    pan.set(MEASURE_G + 50.0);
    pan.set(MEASURE_G);
    pan.pour(shown_g(50.0, 1144.5));
    let learned = pan.learned(&learn("50 ml"));
    let last = learned.last().unwrap();
    assert_density(last, 1144.5);
    assert_eq!(last["fills"], 1);
}

#[test]
fn skip_leaves_and_zero_waits() {
    let faults = |pan: &Pan, args: &LearnArgs| {
        pan.events(args)
            .iter()
            .filter(|event| event["kind"] == "command")
            .count()
    };
    let mut pan = Pan::new(11);
    pan.set(MEASURE_G);
    pan.command("skip");
    pan.pour(shown_g(50.0, 998.2));
    assert!(pan.learned(&learn("50 ml")).is_empty());
    assert_eq!(faults(&pan, &learn("50 ml")), 0);
    // Once the measure was weighed another zero would spoil it.
    let mut pan = Pan::new(12);
    pan.set(MEASURE_G);
    pan.set(0.0);
    pan.command("zero");
    pan.set(MEASURE_G + shown_g(50.0, 998.2));
    assert_eq!(faults(&pan, &learn("50 ml")), 1);
    assert_density(&pan.learned(&learn("50 ml"))[0], 998.2);
}

/// The zero may creep, but is not followed while the measure is away: 0.4 g over a minute.
#[test]
fn zero_is_not_tracked_while_the_measure_is_away() {
    let mut pan = Pan::new(13);
    pan.set(MEASURE_G);
    pan.ramp(0.3, 0.2);
    pan.hold(60.0);
    pan.set(MEASURE_G + shown_g(50.0, 998.2));
    let found = figure(&pan.learned(&learn("50 ml"))[0], "density_kg_m3");
    // Followed, 0.3 g would have made it 6 kg/m3 lighter.
    assert!((found - 998.2).abs() < 2.0, "{found}");
}

#[test]
fn nonsense_is_answered_with_what_would_be_right() {
    for (words, told) in [
        ("learn", "the measure"),
        ("learn 50 g", "a volume"),
        ("learn 1 ml", "5 to 2000 ml"),
        ("learn 3 l", "the measure"),
        ("learn 50 ml abv", "abv takes a number"),
        ("learn 50 ml abv 101", "0 to 100 % vol"),
        ("learn 50 ml abv nan", "outside"),
        ("learn 50 ml sugar -1", "0 to"),
        ("learn 50 ml sugar 2000", "0 to"),
        ("learn 50 ml at 60", "-10 to 40 degC"),
        ("learn 50 ml abv 40 sugar 10", "one of them"),
        ("learn 50 ml abv 40 abv 41", "twice"),
        ("learn 50 ml sigma 20 ml", "a fifth"),
        ("learn 50 ml sigma 0.5 g", "a volume"),
    ] {
        let mut pan = Pan::new(14);
        pan.command(words);
        let events = pan.events(&LearnArgs::default());
        let fault = events.iter().find(|event| event["kind"] == "command");
        let message = fault
            .and_then(|fault| fault["message"].as_str())
            .unwrap_or_default();
        assert!(message.contains(told), "{words}: {message}");
    }
    for arguments in [
        &["--learn", "1 ml"][..],
        &["--learn", "fifty"],
        &["--abv", "40"],
        &["--learn", "50 ml", "--abv", "40", "--sugar", "1"],
        &["--learn", "50 ml", "--target-g", "20"],
        &["--learn", "50 ml", "--temp", "99"],
    ] {
        let output = pennyweight()
            .args(["station", "--zero-code", "0", "--counts-per-gram", "420"])
            .args(arguments)
            .output()
            .unwrap();
        assert_eq!(output.status.code(), Some(2), "{arguments:?}");
        assert!(!output.stderr.is_empty(), "{arguments:?}");
    }
}

/// The program itself, with its options.
#[test]
fn the_program_learns_from_its_options() {
    let mut pan = Pan::new(15);
    pan.set(MEASURE_G);
    pan.pour(shown_g(50.0, 1144.5));
    let mut child = pennyweight()
        .args("station --zero-code 80000 --counts-per-gram 420".split(' '))
        .args(["--learn", "50 ml", "--abv", "26.5", "--temp", "20"])
        .args(["--volume-sigma", "0.25 ml"])
        .stdin(Stdio::piped())
        .spawn()
        .unwrap();
    let mut input = child.stdin.take().unwrap();
    let writer = std::thread::spawn(move || input.write_all(pan.lines.as_bytes()));
    let output = child.wait_with_output().unwrap();
    writer.join().unwrap().unwrap();
    let events = json_lines(&output.stdout);
    let learned = events
        .iter()
        .find(|event| event["event"] == "learned")
        .unwrap();
    assert_density(learned, 1144.5);
}

/// The simulated bench: its own densities, jet, drops, drift and converter.
#[test]
fn on_the_simulated_bench() {
    let liquid = Liquid::of_strength("cane rum", Family::Spirit, 40.0, 0.0);
    let density = 1000.0 * liquid.density_g_ml;
    let mut bench = Bench::new(&Table::nominal(), BenchSetup::new(80.0, 5, vec![liquid]));
    let glass = bench.take_vessel(Vessel::Rocks);
    let mut lines = String::new();
    let mut read_for = |bench: &mut Bench, seconds: f64| {
        let until = bench.now_s() + seconds;
        while bench.now_s() < until {
            let read = bench.read();
            lines += &format!("{}\n", json!({"t_us": read.t_us, "code": read.code}));
        }
    };
    read_for(&mut bench, 3.0);
    bench.place(glass);
    read_for(&mut bench, 5.0);
    bench.tilt(LiquidRef(0), 8.0);
    read_for(&mut bench, 5.0);
    bench.tilt_back();
    read_for(&mut bench, 9.0);
    // The measure's mark is wherever this pour ended.
    let volume = bench.contents_shown_g(glass) / shown_g(1.0, density);
    let args = StationArgs {
        counts_per_gram: bench.counts_per_gram() as f32,
        zero_code: bench.zero_code(),
        ..arguments(&learn(&format!("{volume:.3} ml")))
    };
    let mut out = Vec::new();
    station(&args, lines.as_bytes(), &mut out).unwrap();
    let events = json_lines(&out);
    let learned = events
        .iter()
        .rfind(|event| event["event"] == "learned")
        .unwrap();
    let found = figure(learned, "density_kg_m3");
    let sigma = figure(learned, "sigma_kg_m3");
    assert!(
        (found - density).abs() < 2.0 * sigma,
        "{found} +- {sigma} for {density}"
    );
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(24))]

    /// Loads, waits and commands in any order: no panic, one answer a line, figures that are
    /// numbers.
    #[test]
    fn anything_may_happen(
        steps in proptest::collection::vec((0..6_u8, -50.0..900.0_f64, 0.0..4.0_f64), 1..30),
    ) {
        let mut pan = Pan::new(16);
        for (kind, grams, seconds) in steps {
            match kind {
                0 => pan.ramp(grams, 0.1),
                1 => pan.ramp(pan.grams + grams / 20.0, seconds),
                2 => pan.command("learn 50 ml abv 24"),
                3 => pan.command(if grams > 400.0 { "skip" } else { "zero" }),
                4 => pan.now_us += (seconds * 1e6) as u64,
                _ => pan.hold(seconds),
            }
        }
        let asked = pan.lines.lines().count();
        let events = pan.events(&of_strength("24"));
        let idle = events.iter().filter(|event| event["event"] == "idle").count();
        prop_assert_eq!(idle, asked);
        for event in events.iter().filter(|event| event["event"] == "learned") {
            prop_assert!(event["density_kg_m3"].is_number(), "{}", event);
        }
    }
}
