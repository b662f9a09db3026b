//! Codes of somebody who places a vessel, pours and lifts it; the same every time.

use std::vec::Vec;

use super::bench::SETUP;

/// Grams over time as codes, one every period.
pub struct Session {
    period_s: f64,
    grams: f64,
    noise: u32,
    codes: Vec<i32>,
}

impl Session {
    pub fn at(period_us: u64) -> Self {
        Self {
            period_s: period_us as f64 * 1e-6,
            grams: 0.0,
            noise: 1,
            codes: Vec::new(),
        }
    }

    /// Goes to this mass evenly, within so many seconds.
    pub fn to(&mut self, grams: f64, seconds: f64) -> &mut Self {
        let count = (seconds / self.period_s).round().max(1.0) as usize;
        let from = self.grams;
        for step in 1..=count {
            let shown = from + (grams - from) * step as f64 / count as f64;
            // Noise of a few codes, from a linear congruence (Numerical Recipes, 7.1).
            self.noise = self
                .noise
                .wrapping_mul(1_664_525)
                .wrapping_add(1_013_904_223);
            let noise = f64::from(self.noise >> 16) / 65_536.0 - 0.5;
            let code = shown * f64::from(SETUP.counts_per_gram) + noise * 8.0;
            self.codes.push(code as i32 + SETUP.zero_code);
        }
        self.grams = grams;
        self
    }

    pub fn hold(&mut self, seconds: f64) -> &mut Self {
        self.to(self.grams, seconds)
    }

    /// A vessel, so much poured into it at so many grams a second, and lifted again.
    pub fn pour(&mut self, grams: f64, flow: f64) -> &mut Self {
        self.to(300.0, 0.2)
            .hold(2.0)
            .to(300.0 + grams, grams / flow)
            .to(300.0 + grams - 0.1 * flow, 0.05)
            .hold(4.0)
            .to(0.0, 0.15)
            .hold(2.5)
    }

    pub fn codes(&self) -> &[i32] {
        &self.codes
    }
}

/// A guided evening in short: pours from slow to fast, each over its target of [`TARGET_G`].
pub fn pours(period_us: u64) -> Vec<i32> {
    let mut session = Session::at(period_us);
    session.hold(2.5);
    for flow in [
        5.0, 6.0, 7.0, 8.0, 9.0, 10.0, 11.0, 12.0, 14.0, 16.0, 18.0, 20.0, 8.0, 7.5, 6.5, 5.5,
    ] {
        session.pour(TARGET_G + 0.25 * flow, flow);
    }
    session.codes().to_vec()
}

/// What every vessel is guided to.
pub const TARGET_G: f64 = 28.4;
