//! How soon after the first liquid has landed a pour is told to have begun.

use pennyweight_core::Event;
use pennyweight_core::spec::Vessel;
use pennyweight_sim::plant::draw::{Draws, Process};
use pennyweight_sim::plant::{LiquidRef, Surroundings};
use pennyweight_sim::trial::quantile;

use super::watched::{Watched, seed_of};

/// A row of the table: flows in millilitres per second, and the median that stands for each rate.
struct Row {
    flow_ml_s: (f64, f64),
    pours: usize,
    lasts_s: f64,
    /// By 10, 80 and 320 samples a second, seconds.
    median_s: [f64; 3],
    /// Share that is never told.
    missed: f64,
}

/// Delays of `row`, seconds; infinite where nothing was told.
fn delays(row: &Row, sps: f64, series: u64) -> Vec<f64> {
    let mut delays = Vec::new();
    for bench in 0..4 {
        let seed = seed_of(20_000 + 100 * series + bench);
        let mut draws = Draws::new(seed, Process::Trial, 0);
        let mut watched = Watched::new(sps, Surroundings::Usual, Vessel::MixingGlass, seed);
        for _ in 0..row.pours / 4 {
            let flow_ml_s = draws.between(row.flow_ml_s.0, row.flow_ml_s.1);
            // A quarter of what may be syrup is.
            let thick = flow_ml_s < 10.0 && draws.chance(0.25);
            watched.pass(draws.between(0.0, 0.3));
            watched.told.clear();
            watched
                .rig
                .bench
                .tilt(LiquidRef(usize::from(thick)), flow_ml_s);
            watched.pass(row.lasts_s);
            let landed_s = watched
                .rig
                .bench
                .first_landed_us()
                .map_or(f64::NAN, |us| us as f64 * 1e-6);
            watched.rig.bench.tilt_back();
            watched.pass(8.0);
            let begun = watched
                .told
                .iter()
                .find(|(_, event)| matches!(event, Event::PourStarted));
            delays.push(begun.map_or(f64::INFINITY, |(at_s, _)| at_s - landed_s));
        }
    }
    delays
}

fn measure(row: &Row) {
    for (series, sps) in [10.0, 80.0, 320.0].into_iter().enumerate() {
        let delays = delays(row, sps, series as u64);
        let count = delays.len() as f64;
        let missed = delays.iter().filter(|delay| delay.is_infinite()).count();
        let median = quantile(delays.clone(), 0.5);
        let p95 = quantile(delays, 0.95);
        println!(
            "{:?} ml/s at {sps}: median {median:.3} s, P95 {p95:.3} s, {missed} of {count} missed",
            row.flow_ml_s
        );
        assert!(median <= row.median_s[series], "{sps}: {median}");
        assert!(missed as f64 <= row.missed * count, "{sps}: {missed}");
    }
}

#[test]
fn a_pour_is_seen_soon() {
    // Aims: 0.3 s at 10 samples a second, 0.15 s at 80. At 10 the first two samples of a knock
    // rise as those of a pour do, the third is the first to tell them apart: 0.4 s. With 0.33 s
    // every second knock began a pour. At 80 and 320 the medians lie at 0.147 and 0.153 s over 160
    // pours; 0.01 s is left for chance.
    measure(&Row {
        flow_ml_s: (5.5, 25.0),
        pours: 64,
        lasts_s: 3.0,
        median_s: [0.43, 0.16, 0.165],
        missed: 0.0,
    });
}

#[test]
fn a_slow_pour_is_seen() {
    // At 0.3 g/s a second brings as much as a draught pushes. Measured: 1.35, 0.70 and 0.98 s.
    measure(&Row {
        flow_ml_s: (0.3, 2.0),
        pours: 48,
        lasts_s: 6.0,
        median_s: [1.4, 1.2, 1.4],
        missed: 0.10,
    });
}
