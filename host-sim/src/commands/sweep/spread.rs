//! How sure a P95 is: a bootstrap over hands.
//!
//! Pours of one hand resemble each other (a hand that never eases misses again and again), so
//! whole hands are drawn with replacement, not pours: the cluster bootstrap (Davison and Hinkley,
//! Bootstrap Methods and their Application, 1997, 3.8, from memory). The interval is the one
//! between the 2.5th and 97.5th percentile of the replicates.

use rand::{RngExt, SeedableRng};
use rand_pcg::Pcg64;
use serde::Serialize;

use crate::trial::{TrialPour, quantile};

/// Replicates.
const REPLICATES: usize = 300;
/// Fewer hands tell nothing of how hands differ.
const LEAST_HANDS: usize = 3;

/// Spread of a P95.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Spread {
    /// Standard error of the P95, grams.
    pub p95_se_g: f64,
    /// 95 % interval, grams.
    pub p95_low_g: f64,
    /// Its upper end.
    pub p95_high_g: f64,
    /// Standard error of the mean error, grams.
    pub bias_se_g: f64,
}

/// The spread over the hands that poured; none for too few hands.
#[must_use]
pub fn spread(pours: &[TrialPour], seed: u64) -> Option<Spread> {
    let hands: Vec<Vec<f64>> = pours
        .chunk_by(|a, b| a.hand == b.hand)
        .map(|pours| pours.iter().map(TrialPour::error_g).collect())
        .collect();
    if hands.len() < LEAST_HANDS {
        return None;
    }
    let mut chance = Pcg64::seed_from_u64(seed);
    let (mut p95s, mut means) = (Vec::new(), Vec::new());
    for _ in 0..REPLICATES {
        let mut errors = Vec::with_capacity(pours.len());
        for _ in 0..hands.len() {
            errors.extend_from_slice(&hands[chance.random_range(0..hands.len())]);
        }
        means.push(errors.iter().sum::<f64>() / errors.len() as f64);
        p95s.push(quantile(
            errors.iter().map(|error| error.abs()).collect(),
            0.95,
        ));
    }
    Some(Spread {
        p95_se_g: deviation(&p95s),
        p95_low_g: quantile(p95s.clone(), 0.025),
        p95_high_g: quantile(p95s, 0.975),
        bias_se_g: deviation(&means),
    })
}

fn deviation(values: &[f64]) -> f64 {
    let mean = values.iter().sum::<f64>() / values.len() as f64;
    let squares: f64 = values.iter().map(|value| (value - mean).powi(2)).sum();
    (squares / (values.len() - 1) as f64).sqrt()
}
