//! A glass is rinsed: what stays behind is recorded, not judged.

use pennyweight_core::output::Verdict;
use pennyweight_core::spec::Vessel;

use super::evening::ICE;
use super::play::{Do, Is, Step, tell};
use super::{begin, step};

/// The vessel on the pan is rinsed, about a gram stays in it.
const RINSED: [Step; 11] = [
    step(Do::Shows("Count"), "a rinse is asked for"),
    step(Do::Wait(1.0), "the fino is fetched"),
    step(Do::Tilt("fino", 6.0), "a little is poured"),
    step(Do::UntilIn(7.0), "about 8 g"),
    step(Do::TiltBack, "that is enough"),
    step(Do::Wait(1.5), "the bottle is put down"),
    step(Do::Lift, "the glass is taken up"),
    step(Do::Wait(4.0), "and swirled"),
    step(Do::TipOut(7.0), "dumped"),
    step(Do::PutBack, "and set down again"),
    step(
        Do::Expect(Is::Poured(Some(Verdict::Good)), 4.0),
        "what stays behind is recorded",
    ),
];

#[test]
fn what_a_rinse_leaves_is_recorded() {
    tell(&[
        &begin("Washed", Vessel::Rocks),
        &RINSED,
        &[
            step(Do::RecordIsNearly(1.2), "as what is in"),
            step(Do::Wait(1.0), "the panel is read"),
            step(Do::Page("whiskey"), "it asks for the whiskey"),
            step(Do::Tilt("whiskey", 8.0), "which is poured"),
            step(Do::Follow, "as the cues say"),
            step(Do::MoreIfAsked("whiskey"), "a little more if asked for"),
            step(Do::Wait(6.0), "it settles"),
            step(
                Do::RecordsAreNearly(1.2),
                "the records say what is in of either",
            ),
            step(
                Do::Never(Is::Verdict(Verdict::Over)),
                "the rinse was not judged",
            ),
            step(Do::Never(Is::Fault), "nothing was wrong"),
        ],
    ]);
}

#[test]
fn the_served_glass_is_rinsed_before_the_strain() {
    tell(&[
        &begin("Rinsed", Vessel::MixingGlass),
        &[
            step(Do::Wait(1.2), "the rye is fetched"),
            step(Do::Tilt("rye", 12.0), "and poured"),
            step(Do::Follow, "as the cues say"),
            step(Do::MoreIfAsked("rye"), "a little more if asked for"),
            step(Do::Wait(3.0), "it settles"),
        ],
        &ICE,
        &[
            step(Do::Lift, "the mixing glass is taken off to be stirred"),
            step(Do::Expect(Is::Lifted, 2.0), "the scale sees it go"),
            step(Do::Melt(20.0), "some of the ice melts"),
            step(Do::Wait(19.0), "it is stirred"),
            step(Do::Place(Vessel::Coupe), "its glass is set down"),
            step(Do::Expect(Is::Placed, 3.0), "the scale sees it"),
        ],
        &RINSED,
        &[
            step(Do::RecordIsNearly(1.2), "as what is in"),
            step(Do::Wait(1.0), "the panel is read"),
            step(
                Do::Shows("Strain"),
                "the strain comes next, into this glass",
            ),
            step(Do::StrainNumber(0), "it is strained"),
            step(Do::Expect(Is::Done, 9.0), "the drink is recorded"),
            step(Do::Never(Is::Fault), "nothing was wrong"),
        ],
    ]);
}

#[test]
fn a_glass_that_came_rinsed_gates_nothing() {
    tell(&[
        &begin("Washed", Vessel::Rocks),
        &[
            step(Do::Shows("Count"), "a rinse is asked for"),
            step(Do::Wait(1.0), "the glass came rinsed"),
            step(Do::Tilt("whiskey", 8.0), "the whiskey is poured at once"),
            step(Do::UntilIn(40.0), "by eye"),
            step(Do::TiltBack, "about 42 g"),
            step(Do::MoreIfAsked("whiskey"), "a little more if asked for"),
            step(
                Do::Expect(Is::Poured(None), 9.0),
                "the rinse is passed over",
            ),
            step(Do::Wait(8.0), "it settles"),
            step(
                Do::RecordsAreNearly(1.0),
                "the whiskey is the whiskey's, and no rinse is recorded that was none",
            ),
            step(Do::Never(Is::Fault), "nothing was wrong"),
        ],
    ]);
}
