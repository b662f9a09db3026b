//! Other weights on the pan: what lies there, leans there or was spilled there is not of the
//! drink, and where the scale cannot know, the panel asks.

use pennyweight_core::spec::Vessel;

use super::play::{Do, Is, Step, tell_at_every_rate, tell_at_quick_rates};
use super::{TRUE, begin, step};

/// Nothing has been closed or counted.
const STILL_ASKED_FOR: [Step; 2] = [
    step(Do::Never(Is::Step(1)), "the syrup has to wait"),
    step(Do::Never(Is::Poured(None)), "nothing is recorded"),
];

/// The whiskey is poured as if nothing had been.
const WHISKEY: [Step; 2] = [
    step(Do::Wait(1.0), "the bottle is at hand"),
    step(Do::Tilt("whiskey", 8.0), "whiskey is poured"),
];

/// It is poured as the cues say, and a little more where the panel asks for it.
const fn followed(liquid: &'static str) -> [Step; 3] {
    [
        step(Do::Follow, "the hand follows the cues"),
        step(
            Do::MoreIfAsked(liquid),
            "a little more goes in where the panel asks for it",
        ),
        step(Do::Expect(Is::Poured(None), 9.0), "the pour is recorded"),
    ]
}

const FOLLOWED: [Step; 3] = followed("whiskey");

/// It was closed by its own pour, and the syrup comes next.
const SYRUP_NEXT: [Step; 1] = [step(Do::Happened(Is::Step(1)), "the syrup comes next")];

/// Something of so many grams is laid beside the glass and stays.
fn laid_beside(grams: f64) {
    tell_at_every_rate(&[
        &begin("Two", Vessel::Rocks),
        &[
            step(Do::Wait(1.0), "the bottle is fetched"),
            step(Do::LayBeside(grams), "something is laid beside the glass"),
            step(Do::Wait(4.0), "and stays"),
            step(Do::Asks(true), "the panel asks"),
        ],
        &STILL_ASKED_FOR,
        &WHISKEY,
        &FOLLOWED,
        &TRUE,
        &SYRUP_NEXT,
        &[
            step(Do::Lift, "the glass goes"),
            step(Do::Expect(Is::Lifted, 2.0), "the scale sees it go"),
            step(Do::Wait(2.0), "a moment later"),
            step(Do::PutBack, "it is back"),
            step(Do::Expect(Is::Placed, 3.0), "the scale sees it again"),
            step(Do::Wait(1.0), "the panel is read"),
            step(Do::Page("syrup"), "it asks for the syrup"),
            step(Do::TakeUp(grams), "what lay there is taken away"),
            step(Do::Wait(2.0), "a moment later"),
            step(Do::Page("syrup"), "it still does"),
            step(Do::Tilt("syrup", 6.0), "it is poured"),
        ],
        &followed("syrup"),
        &TRUE,
        &[
            step(Do::Lift, "the drink is served"),
            step(Do::Expect(Is::Lifted, 2.0), "the scale sees it go"),
            step(Do::Wait(5.0), "nobody touches the pan"),
            step(Do::ReadsWithin(3.5), "nothing but a puddle is left"),
        ],
    ]);
}

#[test]
fn a_wet_towel_laid_beside_the_glass() {
    laid_beside(130.0);
}

#[test]
fn a_cube_beside_the_glass() {
    laid_beside(26.0);
}

/// The same, and taken away again before anything is poured.
fn laid_and_taken(grams: f64) {
    tell_at_every_rate(&[
        &begin("Two", Vessel::Rocks),
        &[
            step(Do::Wait(1.0), "the bottle is fetched"),
            step(Do::LayBeside(grams), "something is laid beside the glass"),
            step(Do::Wait(2.0), "the panel is read"),
            step(Do::TakeUp(grams), "it is taken away"),
            step(Do::Wait(2.0), "a moment later"),
            step(Do::Asks(false), "nothing is asked any more"),
            step(Do::Page("whiskey"), "but for the whiskey"),
        ],
        &WHISKEY,
        &FOLLOWED,
        &TRUE,
        &SYRUP_NEXT,
    ]);
}

#[test]
fn what_is_laid_down_and_taken_away_again_is_forgotten() {
    // The last weighs what a jigger of the whiskey would: it was taken for it until it went.
    for grams in [130.0, 26.0, 42.0] {
        laid_and_taken(grams);
    }
}

/// A spoon pressed on the glass, a neck on its rim: a push of so many grams for so many seconds.
fn leant(grams: f64, seconds: f64) {
    tell_at_every_rate(&[
        &begin("Two", Vessel::Rocks),
        &[
            step(Do::Wait(1.0), "the bottle is fetched"),
            step(Do::Lean(grams, seconds), "something pushes on the glass"),
            step(Do::Wait(seconds + 1.0), "and is gone"),
            step(Do::Never(Is::Lifted), "nobody lifted the glass"),
            step(Do::Asks(false), "nothing is asked"),
            step(Do::Page("whiskey"), "but for the whiskey"),
        ],
        &STILL_ASKED_FOR,
        &WHISKEY,
        &FOLLOWED,
        &TRUE,
        &SYRUP_NEXT,
    ]);
}

#[test]
fn a_spoon_pressed_on_the_glass() {
    leant(150.0, 1.5);
    leant(300.0, 0.8);
}

#[test]
fn a_neck_leaning_on_the_rim() {
    leant(90.0, 4.0);
    leant(20.0, 3.0);
}

/// Liquid beside the glass weighs what it would in it: it is taken back when it is wiped up.
#[test]
fn a_spill_beside_the_glass_is_taken_back_when_it_is_wiped_up() {
    for (grams, seconds) in [(20.0, 0.2), (12.0, 2.0)] {
        tell_at_every_rate(&[
            &begin("Two", Vessel::Rocks),
            &[
                step(Do::Wait(1.0), "the bottle is fetched"),
                step(Do::Spill(grams, seconds), "it runs down beside the glass"),
                step(Do::Wait(7.0), "a cloth is fetched"),
                step(Do::Wipe, "it is wiped up"),
                step(Do::Wait(3.0), "the panel is read"),
            ],
            &STILL_ASKED_FOR,
            &WHISKEY,
            &FOLLOWED,
            &SYRUP_NEXT,
            &TRUE,
        ]);
    }
}

#[test]
fn a_puddle_left_by_the_glass() {
    tell_at_every_rate(&[
        &begin("Short", Vessel::Rocks),
        &[step(Do::Tilt("whiskey", 8.0), "whiskey is poured")],
        &FOLLOWED,
        &[
            step(Do::Lift, "the drink is served"),
            step(Do::Expect(Is::Lifted, 2.0), "the scale sees it go"),
            step(Do::Wait(3.0), "a puddle is left"),
            step(Do::Order("Short"), "the next drink is ordered"),
            step(Do::Place(Vessel::Rocks), "and its glass set into it"),
            step(Do::Expect(Is::Placed, 3.0), "the scale sees it"),
            step(Do::Tilt("whiskey", 8.0), "whiskey is poured"),
        ],
        &FOLLOWED,
        &TRUE,
        &[
            step(Do::Lift, "the glass goes"),
            step(Do::Expect(Is::Lifted, 2.0), "the scale sees it go"),
            step(Do::Wait(1.0), "a cloth comes"),
            step(Do::Wipe, "the pan is wiped"),
            step(Do::Wait(6.0), "a moment later"),
            step(Do::ReadsWithin(1.0), "nothing is left"),
        ],
    ]);
}

#[test]
fn a_glass_that_comes_back_heavier() {
    tell_at_every_rate(&[
        &begin("Two", Vessel::Rocks),
        &[
            step(Do::Wait(1.0), "a moment later"),
            step(Do::Lift, "the glass is taken to the well"),
            step(Do::Expect(Is::Lifted, 2.0), "the scale sees it go"),
            step(Do::Wait(1.0), "and"),
            step(Do::IceElsewhere(60.0), "filled with ice there"),
            step(Do::PutBack, "it is back"),
            step(Do::Expect(Is::Placed, 3.0), "the scale sees it"),
            step(Do::Wait(0.5), "the panel is read"),
            step(Do::Asks(true), "it asks whether that is whiskey"),
        ],
        &STILL_ASKED_FOR,
        &WHISKEY,
        &FOLLOWED,
        &TRUE,
        &SYRUP_NEXT,
    ]);
}

#[test]
fn a_press_says_that_it_is_of_the_drink() {
    tell_at_quick_rates(&[
        &begin("Two", Vessel::Rocks),
        &[
            step(Do::Wait(1.0), "a cube of frozen whiskey is fetched"),
            step(Do::LayBeside(20.0), "and put in"),
            step(Do::Wait(4.0), "the panel is read"),
            step(Do::Asks(true), "it asks whether that is whiskey"),
            step(Do::PressUntilSeen(200.0), "it is"),
            step(Do::Wait(2.0), "the panel is read again"),
            step(Do::Page("add whiskey"), "it asks for the rest"),
        ],
    ]);
}
