//! What lies on the pan for a while in mid-pour.

use pennyweight_core::spec::Vessel;

use super::play::{Do, Is, Step, tell_at};
use super::{begin, step};

/// So many grams lie beside the glass for so many seconds while it is poured.
fn lent(grams: f64, seconds: f64) -> [Step; 10] {
    [
        step(Do::Tilt("whiskey", 8.0), "it is poured"),
        step(Do::UntilIn(9.0), "some is in"),
        step(Do::LayBeside(grams), "something is laid beside the glass"),
        step(Do::Wait(seconds), "and lies there"),
        step(Do::TakeUp(grams), "it is taken up again"),
        step(Do::Follow, "the hand follows the cues"),
        step(Do::MoreIfAsked("whiskey"), "a little more if asked for"),
        step(Do::Expect(Is::Poured(None), 9.0), "it is recorded"),
        step(Do::RecordIsTrue, "as what landed"),
        step(Do::RecordIsOnTarget(2.0), "and that is what was asked for"),
    ]
}

#[test]
fn what_is_taken_up_again_in_mid_pour_was_never_in() {
    for (grams, seconds) in [(31.0, 2.5), (31.0, 3.5), (70.0, 2.8)] {
        tell_at(
            80.0,
            &[
                &begin("Long", Vessel::Rocks),
                &lent(grams, seconds),
                &[step(Do::Never(Is::Lifted), "the glass stood there")],
            ],
        );
    }
}
