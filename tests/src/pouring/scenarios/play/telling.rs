//! On which benches a scenario is played, and how a failure is told.

use pennyweight_core::Instant;
use pennyweight_sim::plant::Surroundings;

use super::{Scene, Step};
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
