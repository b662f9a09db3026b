//! A pour in more than one go, or with a hand on the glass.

use pennyweight_core::spec::Vessel;

use super::play::{Do, Is, Step, tell_at, tell_at_every_rate};
use super::{NOTHING_FALSE, TRUE, begin, step};

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
    tell_at_every_rate(&[
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
    tell_at_every_rate(&[
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

#[test]
fn a_hand_on_the_rim() {
    for sps in [10.0, 80.0, 320.0] {
        for presses_g in [15.0, 80.0] {
            tell_at(
                sps,
                &[
                    &begin("Long", Vessel::Highball),
                    &[
                        step(Do::Tilt("whiskey", 8.0), "whiskey is poured"),
                        step(Do::UntilIn(20.0), "a third of it is in"),
                        step(Do::RestOn(presses_g, 0.7), "a hand steadies the glass"),
                        step(Do::Follow, "the hand with the bottle follows the cues"),
                        step(
                            Do::MoreIfAsked("whiskey"),
                            "a little more goes in where the panel asks for it",
                        ),
                        step(Do::Expect(Is::Poured(None), 12.0), "the pour is recorded"),
                    ],
                    &TRUE,
                    &NOTHING_FALSE,
                ],
            );
        }
    }
}
