//! How soon, how rightly and how honestly a settled value is told.
//!
//! The truth is the plant's: what of this go had landed in the glass when the value was told. What
//! drips later is not in it, and makes no value wrong. Figures of the design: the early value
//! (`landed`) within 0.1 g in all but 20 of 20,000, its median after 0.5 s at most for spirit and 2 s for
//! syrup at 80 a second; the truth within two sigma in 93 to 97 of 100; the median sigma no more than
//! 1.3 times the RMS error. The station is not told which liquid it is.
//!
//! The long run, with its table on standard output:
//! `PENNYWEIGHT_LANDINGS=20000 RAYON_NUM_THREADS=1 cargo test --release -p pennyweight-tests --
//! settled:: --nocapture --test-threads=1`. It is the same code with more landings.
//!
//! What the sample here asserts is wider than the figures by two deviations of so few.

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
pub(super) enum Place {
    /// Least vibration.
    Quiet,
    /// Vibration, bass and mains, with draughts of up to 0.3 g below 1 Hz.
    Usual,
    /// The most of everything, and knocks.
    Shaken,
}

/// Values of one kind, one liquid and one rate.
pub(super) struct Told {
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

    pub(super) fn rms(&self) -> f64 {
        let squares = self.readings.iter().map(|one| one.error_g.powi(2));
        (squares.sum::<f64>() / self.readings.len() as f64).sqrt()
    }

    pub(super) fn quantile(&self, of: impl Fn(&Reading) -> f64, share: f64) -> f64 {
        quantile(self.readings.iter().map(of).collect(), share)
    }

    fn row(&self) -> String {
        format!(
            "{:6} {:7.1} {:6.3} {:6.3} {:6.2} {:5.2} {:5.2} {:6.2}",
            self.readings.len(),
            100.0 * self.within(),
            self.rms(),
            self.quantile(|one| one.sigma_g, 0.5),
            self.quantile(|one| one.sigma_g, 0.5) / self.rms(),
            self.quantile(|one| one.after_s, 0.5),
            self.quantile(|one| one.after_s, 0.95),
            100.0 * self.share(|one| one.error_g.abs() > 0.1),
        )
    }
}

/// Every early and every final value of many pours of about 25 g by hands that the station knows.
pub(super) fn told(place: Place, family: Family, sps: f64, landings: usize) -> (Told, Told) {
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
            Place::Usual => Surroundings::Usual,
            Place::Shaken => Surroundings::Shaken,
        },
        hidden: Hidden::default(),
    };
    let pours = run(&Table::nominal(), &trial).pours;
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
    println!("their ratio, median and 95 of 100 seconds after the stream, % off by over 0.1 g");
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

/// At 80 a second: spirit, syrup.
const AT_80: [usize; 2] = [1, 4];

#[test]
fn early_values_are_soon_and_right_on_a_quiet_bench() {
    let (early, last) = all(Place::Quiet);
    for (cell, median_s, wrong) in [(AT_80[0], 0.55, 0.012), (AT_80[1], 2.0, 0.03)] {
        let told = &early[cell];
        let median = told.quantile(|one| one.after_s, 0.5);
        assert!(median <= median_s, "{median} s");
        // The noisiest cells on the noisiest converters keep some off, syrups' drops more: see the table.
        let share = told.share(|one| one.error_g.abs() > 0.1);
        assert!(share <= wrong, "{share}");
    }
    for told in [pooled(early), pooled(last)] {
        println!("together {}", told.row());
        assert!((0.94..=0.995).contains(&told.within()));
        assert!(told.quantile(|one| one.sigma_g, 0.5) <= 1.3 * told.rms());
    }
}

/// Draughts of up to 0.3 g below 1 Hz.
#[test]
fn sigma_is_honest_on_a_usual_bench() {
    let (early, last) = all(Place::Usual);
    for (kind, told) in [("landed", pooled(early)), ("steady", pooled(last))] {
        println!("{kind} together {}", told.row());
        assert!(told.readings.len() * 100 >= told.pours * 98, "{kind}");
        assert!((0.915..=0.985).contains(&told.within()), "{kind}");
        assert!(told.quantile(|one| one.sigma_g, 0.5) <= 1.3 * told.rms());
    }
}

#[test]
fn a_shaken_bench_with_knocks_widens_sigma() {
    let (early, last) = all(Place::Shaken);
    for told in [pooled(early), pooled(last)] {
        println!("together {}", told.row());
        assert!(told.within() >= 0.88);
    }
}
