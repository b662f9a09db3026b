//! What the scale cannot sense, or senses for something else: leaves, muddling, a spoon.

use pennyweight_core::output::Verdict;
use pennyweight_core::spec::Vessel;

use super::play::{Do, Is, tell};
use super::{begin, step};

#[test]
fn a_gram_of_leaves_gates_nothing() {
    tell(&[
        &begin("Smash", Vessel::Rocks),
        &[
            step(Do::Shows("Note"), "the leaves are a note"),
            step(Do::DropIce(1.0), "a gram of leaves falls in"),
            step(Do::Wait(1.0), "a hand fetches the muddler"),
            step(Do::Lift, "muddling is done off the pan"),
            step(Do::Expect(Is::Lifted, 2.0), "the scale sees it go"),
            step(Do::Wait(6.0), "the leaves are pressed"),
            step(Do::PutBack, "the glass is back"),
            step(Do::Expect(Is::Placed, 3.0), "the scale sees it"),
            step(Do::Wait(1.0), "the panel is read"),
            step(Do::Page("whiskey"), "it asks for the whiskey"),
            step(Do::Tilt("whiskey", 8.0), "which is poured"),
            step(Do::Follow, "as the cues say"),
            step(Do::MoreIfAsked("whiskey"), "a little more if asked for"),
            step(Do::Expect(Is::Step(2), 9.0), "the syrup comes next"),
            step(Do::Tilt("syrup", 6.0), "it is poured"),
            step(Do::Follow, "as the cues say"),
            step(Do::MoreIfAsked("syrup"), "a little more if asked for"),
            step(Do::Wait(6.0), "it settles"),
            step(
                Do::RecordsAreNearly(0.6),
                "the records say what landed of each, the leaves of none",
            ),
            step(Do::Never(Is::Fault), "nothing was wrong"),
        ],
    ]);
}

#[test]
fn a_spoon_on_the_glass_is_not_judged() {
    tell(&[
        &begin("Layers", Vessel::Rocks),
        &[
            step(Do::Wait(1.0), "the syrup is fetched"),
            step(Do::Tilt("syrup", 6.0), "the lower layer is poured"),
            step(Do::Follow, "as the cues say"),
            step(Do::MoreIfAsked("syrup"), "a little more if asked for"),
            step(Do::Expect(Is::Step(1), 9.0), "the whiskey comes next"),
            step(Do::Wait(2.0), "the syrup comes to rest"),
            step(Do::RestOn(18.0, 9.0), "a spoon is leant on the rim"),
            step(Do::Wait(1.0), "and held there"),
            step(
                Do::Tilt("whiskey", 4.0),
                "the upper layer runs down its back",
            ),
            step(Do::Wait(4.5), "slowly"),
            step(Do::TiltBack, "until it is in"),
            step(Do::Wait(2.5), "the spoon still presses"),
            step(
                Do::Never(Is::Verdict(Verdict::Over)),
                "the spoon is not taken for whiskey",
            ),
            step(Do::Wait(4.0), "the spoon is taken away"),
            step(Do::MoreIfAsked("whiskey"), "a little more if asked for"),
            step(Do::Wait(6.0), "it settles"),
            step(
                Do::RecordsAreNearly(1.0),
                "the records say what landed of either",
            ),
            step(Do::Never(Is::Fault), "nothing was wrong"),
        ],
    ]);
}
