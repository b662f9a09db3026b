//! On which benches a scenario is played, and how a failure is told.

use pennyweight_core::Instant;
use pennyweight_core::spec::Vessel;
use pennyweight_core::view::Page;
use pennyweight_sim::plant::Surroundings;
use pennyweight_sim::plant::draw::{Draws, Process};

use super::{Do, Is, Scene, Step};
use crate::pouring::chosen_seed;

/// Benches and hands on which every scenario is played: more where the first is chosen.
fn seeds() -> std::ops::Range<u64> {
    chosen_seed().map_or(0..8, |first| first..first + 40)
}

/// Plays the steps on several benches; every failure tells them up to the one that failed.
pub(in crate::pouring::scenarios) fn tell(steps: &[&[Step]]) {
    tell_at(80.0, steps);
}

/// The same at every rate.
pub(in crate::pouring::scenarios) fn tell_at_every_rate(steps: &[&[Step]]) {
    tell_at(10.0, steps);
    tell_at_quick_rates(steps);
}

/// The same at the rates that tell what comes within a tenth of a second.
pub(in crate::pouring::scenarios) fn tell_at_quick_rates(steps: &[&[Step]]) {
    tell_at(80.0, steps);
    tell_at(320.0, steps);
}

/// The same at this many conversions a second.
pub(in crate::pouring::scenarios) fn tell_at(sps: f64, steps: &[&[Step]]) {
    let steps = steps.concat();
    let mut failures = Vec::new();
    for seed in seeds() {
        let mut scene = Scene::new(seed, Surroundings::Usual, sps);
        let mut story = format!("bench {seed}, {sps} SPS:\n");
        for step in &steps {
            let outcome = scene.play(step.what);
            let seconds = scene.rig.now_us() as f64 * 1e-6;
            story.push_str(&format!("{seconds:7.2} s  {}\n", step.sentence));
            if let Err(why) = outcome {
                let told: Vec<String> = scene
                    .told
                    .iter()
                    .map(|(at, event)| {
                        format!("{:7.2} s  {event:?}\n", at.seconds_since(Instant::ZERO))
                    })
                    .collect();
                failures.push(format!(
                    "{story}But: {why}\n({:?})\nIt told:\n{}",
                    step.what,
                    told.concat()
                ));
                break;
            }
        }
    }
    assert!(
        failures.is_empty(),
        "{} of {} benches:\n{}",
        failures.len(),
        seeds().count(),
        failures.concat()
    );
}

/// Four dashes about three quarters of a second apart; what the panel has counted after each,
/// `None` once it asks for the next bottle.
pub(in crate::pouring::scenarios) fn four_dashes(
    seed: u64,
    surroundings: Surroundings,
) -> [Option<u8>; 4] {
    let mut scene = Scene::new(seed, surroundings, 80.0);
    let mut draws = Draws::new(seed, Process::Fetch, 77);
    for what in [
        Do::Wait(2.0),
        Do::Order("Bitter"),
        Do::Place(Vessel::Rocks),
        Do::Expect(Is::Placed, 9.0),
        Do::Wait(1.0),
    ] {
        scene.play(what).expect("the glass is seen");
    }
    std::array::from_fn(|number| {
        scene.play(Do::Dash(0.8)).unwrap();
        // The count is read when the last one has been seen, before the next.
        let seconds = if number == 3 {
            5.0
        } else {
            draws.between(0.6, 0.9)
        };
        scene.play(Do::Wait(seconds)).unwrap();
        match scene.rig.station.view().page {
            Page::Count { done, .. } => Some(done),
            _ => None,
        }
    })
}
