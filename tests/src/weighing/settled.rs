//! How soon, how rightly and how honestly a settled value is told.
//!
//! The truth is the plant's: what of this go had landed in the glass when the value was told. What
//! drips later is not in it, and makes no value wrong. Figures of the design: the early value
//! (`landed`) within 0.1 g in all but 20 of 20,000, its median after 0.5 s at most for spirit and 2 s for
//! syrup at 80 a second; the truth within two sigma in 93 to 97 of 100; the median sigma no more than
//! 1.3 times the RMS error.
//!
//! The long run, with its table on standard output (some half an hour on one core):
//! `PENNYWEIGHT_LANDINGS=20000 RAYON_NUM_THREADS=1 cargo test --release -p pennyweight-tests --
//! settled:: --nocapture --test-threads=1`. It is the same code with more landings.

use pennyweight_core::spec::Family;
use pennyweight_sim::plant::{Hidden, Liquid, Surroundings, Table};
use pennyweight_sim::trial::{HandKind, Method, Reading, Trial, quantile, run};

/// Landings of a liquid at a rate, where nobody asks for more.
const LANDINGS: usize = 120;
/// Set to how many are wanted.
const ASKED: &str = "PENNYWEIGHT_LANDINGS";
const RATES: [f64; 3] = [10.0, 80.0, 320.0];

/// Where values are told.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Place {
    /// Least vibration.
    Quiet,
    /// Vibration, bass and mains, but nothing that moves the air.
    Still,
    /// The same with draughts of up to 0.3 g below 1 Hz.
    Usual,
    /// The most of everything, and knocks.
    Shaken,
}

/// Values of one kind, one liquid and one rate.
struct Told {
    readings: Vec<Reading>,
    pours: usize,
}

impl Told {
    fn share(&self, so: impl Fn(&Reading) -> bool) -> f64 {
        let count = self.readings.iter().filter(|reading| so(reading)).count();
        count as f64 / self.readings.len() as f64
    }

    /// Share of truths within two sigma.
    fn within(&self) -> f64 {
        self.share(|reading| reading.error_g.abs() <= 2.0 * reading.sigma_g)
    }

    /// How many lie more than 0.1 g beside the truth.
    fn wrong(&self) -> usize {
        let wrong = self.readings.iter().filter(|one| one.error_g.abs() > 0.1);
        wrong.count()
    }

    fn rms(&self) -> f64 {
        let squares = self.readings.iter().map(|one| one.error_g.powi(2));
        (squares.sum::<f64>() / self.readings.len() as f64).sqrt()
    }

    fn quantile(&self, of: impl Fn(&Reading) -> f64, share: f64) -> f64 {
        quantile(self.readings.iter().map(of).collect(), share)
    }

    fn row(&self) -> String {
        format!(
            "{:6} {:7.1} {:6.3} {:6.3} {:6.2} {:5.2} {:5.2} {:6}",
            self.readings.len(),
            100.0 * self.within(),
            self.rms(),
            self.quantile(|one| one.sigma_g, 0.5),
            self.quantile(|one| one.sigma_g, 0.5) / self.rms(),
            self.quantile(|one| one.after_s, 0.5),
            self.quantile(|one| one.after_s, 0.95),
            self.wrong(),
        )
    }
}

/// Every early and every final value of many pours of about 25 g by hands that the station knows.
fn told(place: Place, family: Family, sps: f64, landings: usize) -> (Told, Told) {
    let (liquid, flow_ml_s, target_ml) = match family {
        // 50 % by mass: 615 g of sugar a litre.
        Family::Syrup => (
            Liquid::of_strength("ginger syrup", family, 0.0, 615.0),
            6.0,
            20.0,
        ),
        _ => (
            Liquid::of_strength("rye whiskey", family, 40.0, 0.0),
            8.0,
            30.0,
        ),
    };
    let mut table = Table::nominal();
    if place == Place::Still {
        table.bench.fan_draught_g.low = 0.0;
        table.bench.fan_draught_g.high = 0.0;
    }
    let trial = Trial {
        method: Method::Guided,
        hand: HandKind::Known,
        liquid,
        flow_ml_s,
        sps,
        target_ml,
        pours: landings,
        seed: crate::pouring::chosen_seed().unwrap_or(41),
        surroundings: match place {
            Place::Quiet => Surroundings::Quiet,
            Place::Still | Place::Usual => Surroundings::Usual,
            Place::Shaken => Surroundings::Shaken,
        },
        hidden: Hidden::default(),
    };
    let pours = run(&table, &trial).pours;
    let all = |of: &dyn Fn(&pennyweight_sim::trial::Said) -> Option<Reading>| Told {
        readings: pours.iter().filter_map(|pour| of(&pour.said?)).collect(),
        pours: pours.len(),
    };
    (all(&|said| said.landed), all(&|said| said.steady))
}

/// All rates and both liquids, each printed: early and final values together.
fn all(place: Place) -> (Vec<Told>, Vec<Told>) {
    let asked = std::env::var(ASKED).ok().and_then(|text| text.parse().ok());
    let landings = asked.unwrap_or(LANDINGS);
    println!(
        "{place:?}: value, liquid, rate; told, % within 2 sigma, RMS error g, median sigma g,"
    );
    println!("their ratio, median and 95 of 100 seconds after the stream, off by over 0.1 g");
    let (mut early, mut last) = (Vec::new(), Vec::new());
    for family in [Family::Spirit, Family::Syrup] {
        for sps in RATES {
            let (landed, steady) = told(place, family, sps, landings);
            println!("landed {family:?} {sps:3} {}", landed.row());
            println!("steady {family:?} {sps:3} {}", steady.row());
            early.push(landed);
            last.push(steady);
        }
    }
    (early, last)
}

fn pooled(told: Vec<Told>) -> Told {
    Told {
        pours: told.iter().map(|one| one.pours).sum(),
        readings: told.into_iter().flat_map(|one| one.readings).collect(),
    }
}

/// Of six times [`LANDINGS`] on two dozen benches: what holds for any seed is wider than what the
/// long run shows, by two deviations of that many.
#[test]
fn sigma_is_honest_on_a_usual_bench() {
    let (early, last) = all(Place::Usual);
    // At 80 a second: spirit, syrup.
    let medians = [&early[1], &early[4]].map(|told| told.quantile(|one| one.after_s, 0.5));
    assert!(medians[0] <= 0.6 && medians[1] <= 2.0, "{medians:?}");
    for (kind, told) in [("landed", pooled(early)), ("steady", pooled(last))] {
        println!("{kind} together {}", told.row());
        assert!(told.readings.len() * 100 >= told.pours * 98, "{kind}");
        assert!((0.92..=0.985).contains(&told.within()), "{kind}");
        assert!(told.quantile(|one| one.sigma_g, 0.5) <= 1.3 * told.rms());
    }
}

/// Where no draught is, early values are right: what makes them wrong on a usual bench is below 1 Hz,
/// and a mean over half a second cannot tell it from mass.
#[test]
fn without_a_draught_early_values_are_right() {
    for place in [Place::Still, Place::Quiet] {
        let (early, last) = all(place);
        let at_80 = early[1].wrong() + early[4].wrong();
        let landings = early[1].readings.len() + early[4].readings.len();
        println!("{place:?}: {at_80} of {landings} wrong at 80 a second");
        assert!(at_80 * 50 <= landings, "{at_80} of {landings}");
        for told in [pooled(early), pooled(last)] {
            assert!(told.within() >= 0.95);
            assert!(told.quantile(|one| one.sigma_g, 0.5) <= 1.6 * told.rms());
        }
    }
}

#[test]
fn a_shaken_bench_with_knocks_widens_sigma() {
    let (early, last) = all(Place::Shaken);
    for told in [pooled(early), pooled(last)] {
        println!("together {}", told.row());
        assert!(told.within() >= 0.87);
    }
}
