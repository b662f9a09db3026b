//! What drips so slowly that it could be mistaken for creep or a draught.

use pennyweight_core::Event;
use pennyweight_core::output::Verdict;
use pennyweight_core::spec::Vessel;
use pennyweight_sim::plant::Surroundings;

use super::bench::{SPIRIT, Weighing};

/// A pour is offered, 3 g drip into the glass, and then it is poured: what the scale says of all
/// of it less what landed, and its sigma.
fn dripped(sps: f64, seed: u64, surroundings: Surroundings, rate_g_s: f64) -> (f64, f64) {
    let mut weighing = Weighing::new(sps, seed, surroundings, 1200.0);
    weighing.offer(60.0);
    weighing.pass(3.0);
    let vessel = weighing.place(Vessel::Rocks);
    weighing.pass(10.0);
    weighing.rig.bench.drip(SPIRIT, rate_g_s, 3.0);
    weighing.pass(3.0 / rate_g_s + 2.0);
    weighing.pour(SPIRIT, 8.0, 4.0);
    let landed_g = weighing.rig.bench.contents_shown_g(vessel);
    assert!(landed_g > 15.0, "{landed_g}");
    let (said_g, sigma_g) = weighing.take_said();
    (said_g - landed_g, sigma_g)
}

#[test]
fn a_slow_drip_is_part_of_the_pour() {
    for surroundings in [Surroundings::Quiet, Surroundings::Usual] {
        for rate_g_s in [0.05, 0.1, 0.3] {
            let errors: Vec<_> = [10.0, 80.0, 320.0]
                .into_iter()
                .flat_map(|sps| (0..6).map(move |seed| (sps, seed)))
                .map(|(sps, seed)| dripped(sps, seed, surroundings, rate_g_s))
                .collect();
            let worst = errors
                .iter()
                .map(|(error, _)| error.abs())
                .fold(0.0, f64::max);
            let mean = errors.iter().map(|(error, _)| error).sum::<f64>() / errors.len() as f64;
            println!("{surroundings:?}, {rate_g_s} g/s: mean {mean:+.3} g, worst {worst:.2} g");
            for (error, sigma) in &errors {
                assert!(
                    error.abs() <= 3.0 * sigma,
                    "{rate_g_s} g/s: {error} g, {sigma} g"
                );
            }
            // Of 3 g: what creep and draught could as well have been. At 0.3 g/s it is taken for
            // several slow pours, and what falls between two of them is lost: measured 0.17 g, 0.21 g
            // with a draught.
            let most = if rate_g_s < 0.3 { 0.15 } else { 0.25 };
            assert!(
                mean.abs() <= most,
                "{surroundings:?}, {rate_g_s} g/s: {mean} g"
            );
        }
    }
}

/// Nothing drips, but a fan blows: nothing is added to the pour.
#[test]
fn a_draught_is_no_drip() {
    for sps in [10.0, 80.0] {
        for seed in 0..12 {
            let mut weighing = Weighing::new(sps, seed, Surroundings::Usual, 1200.0);
            weighing.offer(60.0);
            weighing.pass(3.0);
            let vessel = weighing.place(Vessel::MixingGlass);
            weighing.pass(60.0);
            weighing.pour(SPIRIT, 8.0, 4.0);
            let landed_g = weighing.rig.bench.contents_shown_g(vessel);
            let (said_g, sigma_g) = weighing.take_said();
            let error_g = said_g - landed_g;
            println!("{sps} SPS, bench {seed}: {error_g:+.2} g, sigma {sigma_g:.2} g");
            assert!(
                error_g.abs() <= 3.0 * sigma_g,
                "{sps} SPS, bench {seed}: {error_g} g"
            );
        }
    }
}

/// The glass goes with a drip in it: what came is of the pour.
#[test]
fn a_drip_stays_with_the_pour_when_the_glass_is_lifted() {
    let mut weighing = Weighing::new(80.0, 3, Surroundings::Quiet, 1200.0);
    weighing.offer(60.0);
    weighing.pass(3.0);
    let _glass = weighing.place(Vessel::Rocks);
    weighing.pass(10.0);
    weighing.rig.bench.drip(SPIRIT, 0.05, 3.0);
    weighing.pass(65.0);
    weighing.rig.bench.lift();
    weighing.pass(2.0);
    let short = |event: &Event| {
        matches!(event, Event::Verdict(judged)
            if judged.verdict == Verdict::Short && (judged.poured.mass.0 - 3.0).abs() < 0.4)
    };
    assert!(weighing.has_told(short), "{:?}", weighing.told);
}
