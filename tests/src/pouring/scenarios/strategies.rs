//! Pours that are not eased on the way: floats, barspoons, a soda gun; each at every rate.

use pennyweight_core::output::Verdict;
use pennyweight_core::spec::Vessel;

use super::play::{Do, Is, Step, tell_at, tell_at_every_rate};
use super::{NOTHING_FALSE, TRUE, begin, step};

#[test]
fn a_float_is_only_stopped() {
    tell_at_every_rate(&[
        &begin("Short", Vessel::Rocks),
        &[
            step(
                Do::Tilt("whiskey", 3.0),
                "20 ml run over the back of a spoon at 3 ml/s",
            ),
            step(Do::Expect(Is::PourStarted, 2.0), "that is seen"),
            step(Do::UntilIn(15.0), "three quarters of it are in"),
            step(Do::Never(Is::Ease), "slower would end it"),
            step(Do::Follow, "the hand follows the cues"),
            step(Do::Expect(Is::Stop, 0.0), "stop was cued"),
            step(Do::MoreIfAsked("whiskey"), "a little more if asked for"),
            step(Do::Expect(Is::Poured(None), 9.0), "it is recorded"),
            step(Do::RecordIsOnTarget(1.5), "as about what was asked for"),
        ],
        &TRUE,
        &NOTHING_FALSE,
    ]);
}

/// An egg white and the whiskey are in; a barspoon of syrup comes next.
const UP_TO_THE_SPOON: [Step; 8] = [
    step(Do::Wait(2.0), "an egg is parted"),
    step(Do::TipIn("egg white", 34.0), "its white falls in"),
    step(Do::Expect(Is::Step(1), 3.0), "the whiskey comes next"),
    step(Do::Tilt("whiskey", 8.0), "it is poured"),
    step(Do::Follow, "as the cues say"),
    step(Do::MoreIfAsked("whiskey"), "a little more if asked for"),
    step(Do::Expect(Is::Step(2), 9.0), "the barspoon comes next"),
    step(Do::Wait(4.0), "the spoon is fetched"),
];

/// A spoon is the measure: nothing is cued, one is counted and what is in is recorded.
fn a_spoonful(comes: &[Step]) {
    tell_at_every_rate(&[
        &begin("Egg", Vessel::Rocks),
        &UP_TO_THE_SPOON,
        comes,
        &[
            step(
                Do::Expect(Is::Poured(Some(Verdict::Good)), 9.0),
                "one barspoon is recorded",
            ),
            step(Do::RecordIsNearly(0.6), "as what it weighed"),
            step(Do::Never(Is::Fault), "nothing was wrong"),
        ],
    ]);
}

#[test]
fn a_barspoon_tipped_in_is_counted() {
    a_spoonful(&[
        step(Do::TipIn("syrup", 6.2), "it is tipped in"),
        step(Do::Wait(1.0), "and drips"),
        step(Do::Never(Is::Stop), "no cue is sounded after the fact"),
    ]);
}

#[test]
fn a_barspoon_poured_off_the_bottle_is_counted() {
    a_spoonful(&[
        step(Do::Tilt("syrup", 3.0), "it is poured, slowly"),
        step(Do::Wait(1.7), "for less than two seconds"),
        step(Do::TiltBack, "by feel"),
        step(Do::Never(Is::Stop), "no cue is sounded"),
    ]);
}

#[test]
fn soda_from_a_gun_in_two_goes() {
    tell_at_every_rate(&[
        &begin("Fizz", Vessel::Highball),
        &[
            step(Do::Tilt("soda", 30.0), "the gun is pressed"),
            step(Do::UntilIn(45.0), "until foam comes up"),
            step(Do::TiltBack, "then let go"),
            step(Do::Wait(4.0), "the foam sinks"),
            step(Do::Never(Is::Poured(None)), "the soda is not closed"),
            step(Do::Page("soda"), "the rest is asked for"),
            step(Do::Tilt("soda", 30.0), "the gun is pressed again"),
            step(Do::Follow, "as the cues say"),
            step(Do::Happened(Is::Stop), "stop was cued"),
            step(Do::MoreIfAsked("soda"), "a little more if asked for"),
            step(
                Do::Expect(Is::Poured(None), 12.0),
                "both goes make one record",
            ),
            step(Do::RecordIsOnTarget(12.0), "within soda's band"),
            step(Do::RecordIsNearly(1.0), "and what landed"),
        ],
        &NOTHING_FALSE,
    ]);
}

/// A cube somebody else let go of is no whiskey. Between two conversions at 10 a second whiskey of
/// 0.7 g comes with it, and nothing tells the two apart. At quicker rates its blow still costs some
/// benches more than that: stated in tests/FIGURES.md.
#[test]
fn a_cube_falls_in_while_whiskey_is_poured() {
    tell_at(
        10.0,
        &[
            &begin("Two", Vessel::Rocks),
            &[
                step(Do::Tilt("whiskey", 8.0), "whiskey is poured"),
                step(Do::UntilIn(18.0), "nearly half of it is in"),
                step(Do::DropIce(28.0), "a cube falls in"),
                step(Do::Follow, "the hand follows the cues"),
                step(Do::Expect(Is::Stop, 0.0), "stop was cued"),
                step(Do::MoreIfAsked("whiskey"), "a little more if asked for"),
                step(Do::Expect(Is::Step(1), 9.0), "the syrup comes next"),
                step(Do::Tilt("syrup", 6.0), "it is poured"),
                step(Do::Expect(Is::Poured(None), 9.0), "whiskey is recorded"),
                step(Do::RecordIsNearly(1.7), "without the cube"),
            ],
        ],
    );
}
