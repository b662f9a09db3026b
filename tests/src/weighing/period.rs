//! The true period of a converter that runs at its own idea of the rate.

use pennyweight_core::Instant;
use pennyweight_core::weigh::Period;
use rand::{RngExt, SeedableRng};
use rand_pcg::Pcg64;

/// Reads `count` conversions of `period_s`, each 4 to 126 us after "ready"; those numbers that
/// `lost` names are never read.
fn learned(nominal: f32, period_s: f64, count: u32, lost: impl Fn(u32) -> bool) -> Period {
    let mut period = Period::new(nominal);
    let mut chance = Pcg64::seed_from_u64(7);
    for number in 0..count {
        let read_us = f64::from(number) * period_s * 1e6 + chance.random_range(4.0..126.0);
        if !lost(number) {
            period.learn(Instant::from_micros(read_us as u64));
        }
    }
    period
}

#[test]
fn a_nominal_ten_is_learned_from_9_to_11_7() {
    for rate in [9.0, 9.3, 10.0, 10.8, 11.7] {
        // Within three seconds, while the first glass is fetched, what is left of the filter's
        // delay costs below 0.02 g at 20 g/s; untaught it would be up to 0.44 g.
        let soon = learned(10.0, 1.0 / rate, 30, |_| false);
        let late_s = f64::from(soon.age()) - 1.5 / rate;
        assert!(late_s.abs() * 20.0 < 0.02, "{rate}: {late_s}");
        let later = learned(10.0, 1.0 / rate, 120, |_| false);
        let off = f64::from(later.seconds()) * rate - 1.0;
        assert!(off.abs() < 0.002, "{rate}: {off}");
    }
}

#[test]
fn conversions_that_get_lost_do_not_teach() {
    for rate in [9.0, 10.0, 11.7, 80.0, 320.0] {
        let nominal = if rate < 12.0 { 10.0 } else { rate as f32 };
        let period = learned(nominal, 1.0 / rate, 400, |number| number % 7 == 3);
        let off = f64::from(period.seconds()) * rate - 1.0;
        assert!(off.abs() < 0.02, "{rate}: {off}");
    }
}

#[test]
fn a_rate_set_otherwise_than_said_is_learned_too() {
    // Somebody has set the pin for 80 a second where 10 were named.
    let period = learned(10.0, 1.0 / 80.0, 200, |_| false);
    assert!((period.seconds() * 80.0 - 1.0).abs() < 0.02, "{period:?}");
}
