//! Dashes, counted one by one.

use pennyweight_core::spec::Vessel;
use pennyweight_core::view::Page;
use pennyweight_sim::plant::Surroundings;
use pennyweight_sim::plant::draw::{Draws, Process};

use super::{Do, Is, Scene};

/// Four dashes about three quarters of a second apart; what the panel has counted after each,
/// `None` once it asks for the next bottle.
pub(in super::super) fn four_dashes(seed: u64, surroundings: Surroundings) -> [Option<u8>; 4] {
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
