//! The zero, and what comes so slowly that it could be mistaken for drift.

use pennyweight_core::Instant;
use pennyweight_core::units::Grams;
use pennyweight_core::weigh::{Pan, PanEvents};
use rand::{RngExt, SeedableRng};
use rand_pcg::Pcg64;

const PERIOD_S: f32 = 0.0125;
const PERIOD_US: u64 = 12_500;

/// A pan fed with masses by hand.
struct Fed {
    pan: Pan,
    now_us: u64,
    chance: Pcg64,
    told: Vec<PanEvents>,
}

impl Fed {
    /// Warmed up and empty.
    fn new() -> Self {
        let mut fed = Self {
            pan: Pan::new(),
            now_us: 0,
            chance: Pcg64::seed_from_u64(5),
            told: Vec::new(),
        };
        fed.pass(3.0, |_| 0.0);
        fed.told.clear();
        fed
    }

    /// Lets `seconds` pass with a load that depends on the seconds passed.
    fn pass(&mut self, seconds: f64, load_g: impl Fn(f64) -> f64) {
        let count = (seconds * 1e6) as u64 / PERIOD_US;
        for index in 0..count {
            self.now_us += PERIOD_US;
            let noise = self.chance.random_range(-0.03..0.03);
            let mass = load_g(index as f64 * f64::from(PERIOD_S)) + noise;
            let at = Instant::from_micros(self.now_us);
            let mut events = self.pan.sample(at, Grams(mass as f32), PERIOD_S);
            // What is told is what has happened, not that something is under way.
            events.moving = false;
            if events != PanEvents::default() {
                self.told.push(events);
            }
        }
    }
}

#[test]
fn an_empty_pan_is_followed_slowly() {
    // 4 mg/s is within what may be tracked, 20 mg/s for 10 s is not: at most 50 mg go.
    let mut slow = Fed::new();
    slow.pass(60.0, |s| 0.004 * s);
    assert!(slow.pan.gross().0.abs() < 0.05, "{:?}", slow.pan.gross());
    let mut fast = Fed::new();
    fast.pass(10.0, |s| 0.02 * s);
    let left = fast.pan.gross().0;
    // 0.2 g came; the level runs behind by 1.5 to 4.5 s of it.
    assert!(left > 0.2 - 0.05 - 4.5 * 0.02 && left < 0.2, "{left}");
    assert!(slow.told.is_empty() && fast.told.is_empty());
}

#[test]
fn what_lies_on_an_empty_pan_is_not_zeroed() {
    // A spoon of 3 g: far beyond what drift could be.
    let mut fed = Fed::new();
    fed.pass(120.0, |_| 3.0);
    assert!(
        (fed.pan.gross().0 - 3.0).abs() < 0.05,
        "{:?}",
        fed.pan.gross()
    );
}

#[test]
fn a_loaded_pan_keeps_its_zero() {
    // A glass that dries by 4 mg/s for two minutes, and is then taken away.
    let mut fed = Fed::new();
    fed.pass(120.0, |s| 300.0 - 0.004 * s);
    let gross = fed.pan.gross().0;
    assert!((gross - 299.52).abs() < 0.06, "{gross}");
    fed.pass(1.0, |_| 0.0);
    assert!(fed.pan.gross().0.abs() < 0.05, "{:?}", fed.pan.gross());
    let told = &fed.told;
    assert!(
        matches!(&told[..], [one, two] if one.placed.is_some() && two.lifted),
        "{told:?}"
    );
}

#[test]
fn a_slow_drip_stays_in_the_gross_weight() {
    for seconds in [20.0, 60.0, 300.0] {
        let mut fed = Fed::new();
        fed.pass(5.0, |_| 300.0);
        fed.pass(seconds, |s| 300.0 + 0.05 * s);
        let dripped = 0.05 * seconds;
        fed.pass(10.0, |_| 300.0 + dripped);
        let off = f64::from(fed.pan.gross().0) - 300.0 - dripped;
        assert!(off.abs() < 0.05, "{seconds} s: {off}");
    }
}
