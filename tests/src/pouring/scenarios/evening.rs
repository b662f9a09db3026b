//! What happens in the course of an evening: over-pours, vessels away, orders that change.

use pennyweight_core::Command;
use pennyweight_core::output::Verdict;
use pennyweight_core::spec::{DrinkId, Vessel};

use super::play::{Do, Is, Step, tell};
use super::{begin, step};

/// Drinks of the sheet by their number.
const TWO: DrinkId = DrinkId(3);
const STIRRED: DrinkId = DrinkId(7);
const SOUR: DrinkId = DrinkId(8);

/// A pour in its order, followed to its end.
pub(super) const fn pour(name: &'static str, flow_ml_s: f64) -> [Step; 5] {
    [
        step(Do::Wait(1.2), "a bottle is fetched"),
        step(Do::Tilt(name, flow_ml_s), "and poured"),
        step(Do::Follow, "as the cues say"),
        step(Do::MoreIfAsked(name), "a little more if asked for"),
        step(Do::Wait(3.0), "it settles"),
    ]
}

/// Cubes until the range is reached.
pub(super) const ICE: [Step; 9] = [
    step(Do::Wait(1.0), "the scoop is fetched"),
    step(Do::DropIce(32.0), "a cube"),
    step(Do::Wait(0.6), "and"),
    step(Do::DropIce(33.0), "another"),
    step(Do::Wait(0.6), "and"),
    step(Do::DropIce(31.0), "another"),
    step(Do::Wait(0.6), "and"),
    step(Do::DropIce(34.0), "a fourth"),
    step(Do::Wait(4.0), "that is all"),
];

/// Lemon poured until about 4 ml too much is in.
const LEMON_OVER: [Step; 5] = [
    step(Do::Wait(1.0), "the lemon juice is fetched"),
    step(Do::Tilt("lemon juice", 8.0), "and poured"),
    step(Do::UntilIn(24.6), "past the stop"),
    step(Do::TiltBack, "then it stops"),
    step(
        Do::Expect(Is::Verdict(Verdict::Over), 5.0),
        "that was too much",
    ),
];

#[test]
fn the_only_liquid_is_tipped_out_and_the_return_weighed() {
    tell(&[
        &begin("Sour", Vessel::Tin),
        &LEMON_OVER,
        &[
            step(Do::Happened(Is::Fix), "tipping out is offered"),
            step(Do::Wait(1.5), "the panel is read"),
            step(Do::Lift, "the tin is taken"),
            step(Do::Expect(Is::Lifted, 2.0), "the scale sees it go"),
            step(Do::Wait(1.0), "over the sink"),
            step(Do::TipOut(4.0), "4 g are tipped out"),
            step(Do::Wait(1.0), "and"),
            step(Do::PutBack, "it is back"),
            step(
                Do::Expect(Is::Poured(None), 4.0),
                "what is left is recorded",
            ),
            step(Do::RecordIsNearly(2.5), "as what is in"),
            step(Do::Wait(1.0), "the panel is read"),
            step(Do::Page("syrup"), "the syrup comes next"),
        ],
    ]);
}

#[test]
fn an_over_pour_kept_by_pouring_the_next_bottle() {
    tell(&[
        &begin("Sour", Vessel::Tin),
        &LEMON_OVER,
        &[step(Do::Wait(6.0), "the panel is read")],
        &pour("syrup", 6.0),
        &[
            step(
                Do::Happened(Is::Poured(Some(Verdict::Over))),
                "the lemon is recorded as it was",
            ),
            step(Do::Page("rye"), "and the rye comes next"),
        ],
    ]);
}

#[test]
fn an_over_pour_mended_by_the_fix_and_strained_to_the_volume_of_the_spec() {
    tell(&[
        &begin("Sour", Vessel::Tin),
        &pour("lemon juice", 8.0),
        &[
            step(Do::Tilt("syrup", 7.0), "syrup is poured"),
            step(Do::UntilIn(54.0), "past the stop"),
            step(Do::TiltBack, "then it stops"),
            step(Do::Expect(Is::Fix, 6.0), "the fix is offered"),
            step(Do::Wait(3.0), "the panel is read"),
            step(Do::Shows("Judged"), "it offers it still"),
            step(Do::Press, "a hand rests on the pan"),
            step(Do::Expect(Is::Step(0), 4.0), "lemon is to be added"),
            step(Do::Wait(0.5), "the panel is read"),
            step(Do::Page("lemon juice"), "it asks for it"),
        ],
        &pour("lemon juice", 4.0),
        &[step(Do::Page("rye"), "then for the rye, more of it")],
        &pour("rye", 8.0),
        &ICE,
        &[
            step(Do::Ratios(0.13), "every ratio is within its bands"),
            step(Do::Lift, "it is shaken"),
            step(Do::Melt(60.0), "and ice melts"),
            step(Do::Wait(11.0), "for a while"),
            step(Do::Place(Vessel::Coupe), "a coupe is set down"),
            step(Do::Wait(2.5), "the scale sees it"),
            step(Do::Shows("Strain"), "it is strained"),
            step(Do::StrainNumber(0), "until the stop"),
            step(
                Do::Holds(128.0, 152.0),
                "the volume of the spec, not of the grown drink",
            ),
            step(Do::Expect(Is::Done, 9.0), "the drink is done"),
        ],
    ]);
}

#[test]
fn the_next_vessel_while_the_first_is_stirred() {
    tell(&[
        &begin("Stirred", Vessel::MixingGlass),
        &[step(Do::Command(Command::Order(SOUR)), "a sour is added")],
        &[
            step(Do::Wait(1.0), "the bitters are fetched"),
            step(Do::Dash(0.8), "a dash"),
            step(Do::Wait(0.8), "and"),
            step(Do::Dash(0.8), "another"),
            step(Do::Wait(3.0), "both are seen"),
        ],
        &pour("fino", 8.0),
        &pour("rye", 20.0),
        &ICE,
        &[
            step(Do::Lift, "it is stirred on the bench"),
            step(Do::Melt(40.0), "and ice melts"),
            step(Do::Wait(2.0), "the bar spoon turns"),
            step(Do::Shows("Away"), "its timer runs"),
            step(Do::Place(Vessel::Tin), "the next drink's tin is set down"),
            step(Do::Wait(2.5), "the scale sees it"),
            step(Do::Page("lemon juice"), "the sour is begun at once"),
        ],
        &pour("lemon juice", 8.0),
        &[
            step(Do::Expect(Is::Due, 20.0), "a reminder that it is stirred"),
            step(Do::Page("syrup"), "which gates nothing"),
            step(Do::Lift, "the tin leaves the pan between two bottles"),
            step(Do::Wait(1.5), "and"),
            step(Do::Place(Vessel::Coupe), "a coupe is set down"),
            step(Do::Wait(2.5), "the scale sees it"),
            step(
                Do::PressUnless("Stirred"),
                "a coupe and the tin may weigh the same: a press answers",
            ),
            step(Do::Wait(1.5), "and"),
            step(Do::StrainNumber(0), "the stirred drink is strained"),
            step(Do::Expect(Is::Done, 9.0), "it is done"),
            step(Do::Wait(1.0), "and"),
            step(Do::Lift, "served"),
            step(Do::Wait(2.0), "then"),
            step(Do::PutBackNumber(1), "the tin is back"),
            step(Do::Wait(2.5), "the scale sees it"),
            step(Do::Page("syrup"), "and goes on where it was"),
        ],
    ]);
}

#[test]
fn two_of_a_kind_are_built_in_one_tin_and_split() {
    tell(&[
        &[
            step(Do::Wait(2.0), "the scale sees its empty pan"),
            step(Do::Order("Short"), "a short drink is under way"),
            step(Do::Order("Sour"), "a sour is ordered"),
            step(Do::Order("Sour"), "and another"),
            step(
                Do::Command(Command::Void(DrinkId(0))),
                "the first is voided",
            ),
            step(Do::Place(Vessel::Tin), "a tin is set down"),
            step(Do::Wait(2.0), "the scale sees it"),
            step(Do::Page("lemon juice"), "lemon for both"),
        ],
        &pour("lemon juice", 8.0),
        &pour("syrup", 6.0),
        &pour("rye", 10.0),
        &ICE,
        &ICE,
        &[
            step(Do::Happened(Is::Poured(None)), "they are recorded"),
            step(Do::Lift, "it is shaken"),
            step(Do::Melt(105.0), "and ice melts"),
            step(Do::Wait(11.0), "for a while"),
            step(Do::Place(Vessel::Coupe), "a wet coupe is set down"),
            step(Do::Wait(2.5), "the scale sees it"),
            step(Do::StrainNumber(0), "half of it"),
            step(Do::Expect(Is::Done, 9.0), "one is done"),
            step(Do::Wait(1.0), "and"),
            step(Do::Lift, "served"),
            step(Do::Wait(1.5), "then"),
            step(Do::Place(Vessel::Coupe), "another coupe"),
            step(Do::Wait(4.0), "the scale sees it"),
            step(Do::StrainNumber(0), "the same again"),
            step(Do::Expect(Is::Done, 9.0), "both are done"),
            step(Do::Alike(3.0), "within 3 g of each other"),
        ],
    ]);
}

#[test]
fn the_second_of_a_kind_joins_the_first_while_its_vessel_is_awaited() {
    tell(&[&[
        step(Do::Wait(2.0), "the scale sees its empty pan"),
        step(Do::Order("Sour"), "a sour is ordered"),
        step(Do::Command(Command::Order(SOUR)), "and another"),
        step(Do::Command(Command::Order(SOUR)), "and a third"),
        step(Do::Command(Command::Void(SOUR)), "which is voided"),
        step(Do::Place(Vessel::Tin), "a tin is set down"),
        step(Do::Wait(2.0), "the scale sees it"),
        step(Do::Tilt("lemon juice", 8.0), "lemon is poured"),
        step(Do::UntilIn(30.0), "too much for one"),
        step(Do::TiltBack, "and paused"),
        step(Do::Wait(4.0), "the scale sees it"),
        step(Do::Page("lemon juice"), "more is asked for: there are two"),
    ]]);
}

#[test]
fn orders_change_while_the_round_runs() {
    tell(&[
        &begin("Two", Vessel::Rocks),
        &[
            step(Do::Command(Command::Order(STIRRED)), "one is added"),
            step(Do::Command(Command::Change(STIRRED, TWO)), "and changed"),
            step(Do::Command(Command::Order(SOUR)), "another is added"),
            step(Do::Command(Command::Void(SOUR)), "and voided"),
            step(Do::Command(Command::Void(TWO)), "so is the changed one"),
            step(Do::Page("whiskey"), "the first goes on"),
            step(Do::Command(Command::Void(TWO)), "then it is voided too"),
            step(Do::Wait(0.5), "and"),
            step(Do::Lift, "taken away"),
            step(Do::Wait(2.0), "nothing is left"),
            step(Do::Shows("Again"), "the last one is offered again"),
            step(Do::Press, "a hand rests on the empty pan"),
            step(Do::Wait(3.0), "and"),
            step(Do::Shows("Place"), "its glass is asked for"),
        ],
    ]);
}
