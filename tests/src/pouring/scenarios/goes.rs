//! A pour in more than one go.

use pennyweight_core::spec::Vessel;

use super::play::{Do, Is, Step, tell};
use super::{NOTHING_FALSE, begin, step};

/// What is left is poured as the cues say, and one record holds all of it.
const THE_REST: [Step; 5] = [
    step(Do::Follow, "as the cues say"),
    step(Do::Expect(Is::Step(1), 9.0), "now the syrup comes next"),
    step(Do::Tilt("syrup", 6.0), "it is poured"),
    step(
        Do::Expect(Is::Poured(None), 9.0),
        "all goes make one record",
    ),
    step(Do::RecordsAreNearly(0.6), "of what landed"),
];

#[test]
fn a_pour_interrupted_and_resumed() {
    tell(&[
        &begin("Two", Vessel::Rocks),
        &[
            step(Do::Tilt("whiskey", 8.0), "whiskey is poured"),
            step(Do::UntilIn(18.0), "not half of it is in"),
            step(Do::TiltBack, "when somebody asks for the bill"),
            step(Do::Wait(6.0), "a moment later"),
            step(Do::Never(Is::Step(1)), "the syrup has to wait"),
            step(Do::Page("whiskey"), "it still asks for whiskey"),
            step(Do::Tilt("whiskey", 8.0), "the rest is poured"),
        ],
        &THE_REST,
        &NOTHING_FALSE,
    ]);
}

#[test]
fn a_bottle_run_dry_and_a_second_one() {
    tell(&[
        &begin("Two", Vessel::Rocks),
        &[
            step(
                Do::TiltNearlyEmpty("whiskey", 8.0, 20.0),
                "the bottle holds 20 g and no more",
            ),
            step(Do::Expect(Is::PourStarted, 2.0), "the pour is seen"),
            step(Do::Wait(5.0), "it gurgles and is empty"),
            step(Do::TiltBack, "it goes up"),
            step(Do::Wait(6.0), "a new one is opened"),
            step(Do::Never(Is::Step(1)), "the syrup has to wait"),
            step(Do::Page("whiskey"), "it still asks for whiskey"),
            step(Do::Tilt("whiskey", 8.0), "the second bottle is poured"),
        ],
        &THE_REST,
        &NOTHING_FALSE,
    ]);
}
