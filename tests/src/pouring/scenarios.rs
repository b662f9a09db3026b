//! What happens at a bar, told step by step; a failure prints the sentences up to it.

mod anybody;
mod balance;
mod evening;
mod goes;
mod lent;
mod mending;
mod others;
mod play;
mod rinsing;
mod saturday;
mod strategies;
mod unsensed;

use pennyweight_core::output::Verdict;
use pennyweight_core::spec::Vessel;
use pennyweight_core::view::Sound;
use pennyweight_sim::plant::Surroundings;

use play::{Do, Is, Step, four_dashes, tell, tell_at, tell_at_every_rate, tell_at_quick_rates};

/// A step with its sentence.
const fn step(what: Do, sentence: &'static str) -> Step {
    Step { what, sentence }
}

/// The drink is ordered and its glass stands there.
const fn begin(drink: &'static str, vessel: Vessel) -> [Step; 4] {
    [
        step(Do::Wait(2.0), "the scale sees its empty pan"),
        step(Do::Order(drink), "a drink is ordered"),
        step(Do::Place(vessel), "its glass is set down"),
        step(Do::Expect(Is::Placed, 3.0), "the scale sees the glass"),
    ]
}

/// Nothing was told that did not happen.
const NOTHING_FALSE: [Step; 5] = [
    step(Do::Never(Is::Bumped), "nobody knocked"),
    step(Do::Never(Is::Added(0.0, 1e9)), "nothing was tipped in"),
    step(Do::Never(Is::Lifted), "nobody lifted the glass"),
    step(Do::Never(Is::Pressed), "nobody pressed"),
    step(Do::Never(Is::Fault), "nothing was wrong"),
];

/// One bottle is poured as the cues say, and the record is true.
const FOLLOWED: [Step; 6] = [
    step(Do::Follow, "the hand follows the cues"),
    step(
        Do::Expect(Is::PourStarted, 0.0),
        "the pour was seen to begin",
    ),
    step(
        Do::Expect(Is::Stop, 0.0),
        "stop was cued before the hand moved",
    ),
    step(Do::Expect(Is::Landed, 2.0), "the early value comes soon"),
    step(
        Do::MoreIfAsked("whiskey"),
        "a little more goes in where the panel asks for it",
    ),
    step(Do::Expect(Is::Poured(None), 9.0), "the pour is recorded"),
];

const TRUE: [Step; 1] = [step(Do::RecordIsTrue, "the record is what landed")];

#[test]
fn a_fast_short_pour() {
    tell(&[
        &begin("Short", Vessel::Rocks),
        &[step(
            Do::Tilt("whiskey", 20.0),
            "20 ml at 20 ml/s: one second",
        )],
        &FOLLOWED,
        &TRUE,
        &NOTHING_FALSE,
    ]);
}

#[test]
fn a_fast_long_pour() {
    tell(&[
        &begin("Long", Vessel::Highball),
        &[step(Do::Tilt("whiskey", 20.0), "60 ml at 20 ml/s")],
        &FOLLOWED,
        &[step(Do::Happened(Is::Ease), "there was time to ease")],
        &TRUE,
        &NOTHING_FALSE,
    ]);
}

#[test]
fn soda_out_of_an_open_neck() {
    tell(&[
        &begin("Fizz", Vessel::Highball),
        &[
            step(Do::Tilt("soda", 50.0), "100 ml at 50 ml/s, open neck"),
            step(Do::Follow, "the hand follows the cues"),
            step(
                Do::Expect(Is::PourStarted, 0.0),
                "the pour was seen to begin",
            ),
            step(
                Do::Expect(Is::Stop, 0.0),
                "stop was cued before the hand moved",
            ),
            step(Do::Expect(Is::Landed, 2.0), "the early value comes soon"),
            step(
                Do::MoreIfAsked("soda"),
                "a little more goes in where the panel asks for it",
            ),
            step(Do::Expect(Is::Poured(None), 9.0), "the pour is recorded"),
        ],
        &TRUE,
        &NOTHING_FALSE,
    ]);
}

#[test]
fn a_glass_lifted_in_the_middle_of_a_pour() {
    tell_at_every_rate(&[
        &begin("Two", Vessel::Rocks),
        &[
            step(Do::Wait(1.0), "the bottle is fetched"),
            step(Do::Tilt("whiskey", 8.0), "whiskey is poured"),
            step(Do::Wait(2.0), "about 15 ml are in"),
            step(Do::TiltBack, "somebody needs room: the bottle goes up"),
            step(Do::Wait(0.15), "at once"),
            step(Do::Lift, "and so does the glass"),
            step(Do::Expect(Is::Lifted, 1.0), "the scale sees it go"),
            step(Do::Never(Is::Poured(None)), "the pour is not closed"),
            step(Do::Wait(3.0), "a moment later"),
            step(Do::PutBack, "the glass is back"),
            step(Do::Expect(Is::Placed, 3.0), "the scale sees it again"),
            step(Do::Wait(1.0), "the panel is read"),
            step(Do::Page("whiskey"), "it still asks for whiskey"),
            step(Do::Tilt("whiskey", 8.0), "the rest is poured"),
            step(Do::Follow, "as the cues say"),
            step(
                Do::Expect(Is::Poured(None), 9.0),
                "the whole pour is recorded",
            ),
            step(Do::RecordIsNearly(1.0), "with both parts of it"),
            step(Do::Happened(Is::Step(1)), "and the syrup comes next"),
        ],
    ]);
}

/// A knock when so many seconds of a pour of seven have passed.
fn knocked(after_s: f64) {
    tell_at_every_rate(&[
        &begin("Long", Vessel::Highball),
        &[
            step(Do::Tilt("whiskey", 8.0), "whiskey is poured"),
            step(Do::Wait(after_s), "steadily"),
            step(
                Do::Expect(Is::PourStarted, 0.0),
                "the pour was seen to begin",
            ),
            step(Do::Knock(40.0), "somebody puts a shaker down hard"),
            step(Do::Follow, "the hand follows the cues"),
            step(Do::Happened(Is::Stop), "stop was cued"),
            step(Do::Never(Is::PourStarted), "the pour did not begin anew"),
            step(Do::Never(Is::Lifted), "nobody lifted the glass"),
            step(Do::Never(Is::Added(0.0, 1e9)), "nothing was tipped in"),
            step(
                Do::MoreIfAsked("whiskey"),
                "a little more goes in where the panel asks for it",
            ),
            step(Do::Expect(Is::Poured(None), 9.0), "the pour is recorded"),
            step(Do::RecordIsTrue, "the record is what landed"),
            step(Do::RecordIsOnTarget(4.5), "and about what was asked for"),
        ],
    ]);
}

#[test]
fn a_knock_early_in_a_pour() {
    knocked(2.0);
}

#[test]
fn a_knock_while_the_end_is_near() {
    for after_s in [5.5, 6.0, 6.5] {
        knocked(after_s);
    }
}

const UNCUED: [Step; 1] = [step(
    Do::Never(Is::Stop),
    "no cue is sounded after the fact",
)];

#[test]
fn a_jigger_tipped_in() {
    let steps = |judged_s, cued: &'static [Step]| {
        [
            &begin("Two", Vessel::Rocks)[..],
            &[
                step(Do::Wait(2.0), "the jigger is filled by eye"),
                step(Do::TipIn("whiskey", 42.0), "and tipped in at once"),
                step(
                    Do::Expect(Is::Verdict(Verdict::Good), judged_s),
                    "that is judged",
                ),
                step(Do::Expect(Is::Step(1), 0.5), "and the syrup comes next"),
            ],
            cued,
            &[
                step(Do::Tilt("syrup", 6.0), "it is poured"),
                step(
                    Do::Expect(Is::Poured(Some(Verdict::Good)), 3.0),
                    "the jigger is recorded",
                ),
                step(Do::FirstRecordIsNearly(42.0, 0.5), "as what it was"),
            ],
        ]
        .concat()
    };
    tell(&[&steps(2.0, &UNCUED)]);
    // At 320 a second one in eight is slow enough to be followed like a stream, and settles as one.
    for sps in [10.0, 320.0] {
        tell_at(sps, &[&steps(5.0, &[])]);
    }
}

#[test]
fn an_egg_white_as_one_blob() {
    tell_at_every_rate(&[
        &begin("Egg", Vessel::Rocks),
        &[
            step(Do::Wait(2.0), "an egg is parted"),
            step(Do::TipIn("egg white", 34.0), "its white falls in at once"),
            step(Do::Expect(Is::Step(1), 2.0), "the whiskey comes next"),
            step(Do::Tilt("whiskey", 8.0), "it is poured"),
            step(
                Do::Expect(Is::Poured(Some(Verdict::Good)), 4.0),
                "the egg white is recorded",
            ),
            step(Do::FirstRecordIsNearly(34.0, 0.5), "as what it was"),
            step(Do::Follow, "the hand follows the cues"),
            step(Do::Expect(Is::Poured(None), 9.0), "the whiskey is recorded"),
        ],
    ]);
}

#[test]
fn ice_dropped_into_the_glass() {
    tell_at_every_rate(&[
        &begin("Cold", Vessel::Rocks),
        &[
            step(Do::Wait(1.5), "tongs are fetched"),
            step(Do::DropIce(28.0), "one cube"),
            step(Do::Wait(0.6), "and another"),
            step(Do::DropIce(30.0), "falls in"),
            step(Do::Wait(0.5), "and"),
            step(Do::DropIce(26.0), "a third one"),
            step(Do::Wait(0.5), "and"),
            step(Do::DropIce(29.0), "a fourth: 113 g of 80 to 140"),
            step(Do::Expect(Is::Step(1), 5.0), "the whiskey comes next"),
            step(Do::Never(Is::Poured(None)), "ice is no pour"),
            step(Do::Tilt("whiskey", 8.0), "it is poured"),
        ],
        &FOLLOWED,
        &[step(
            Do::RecordIsNearly(0.6),
            "the whiskey alone is in the record",
        )],
    ]);
}

/// Common practice, no source: a count that is wrong more often is of no use. Measured: 85 and
/// 86 of 100.
#[test]
fn four_dashes_are_counted() {
    for surroundings in [Surroundings::Quiet, Surroundings::Usual] {
        let counts: Vec<[Option<u8>; 4]> = (0..100)
            .map(|seed| four_dashes(seed, surroundings))
            .collect();
        let one_by_one = [Some(1), Some(2), Some(3), None];
        let exact = counts.iter().filter(|count| **count == one_by_one).count();
        let closed_by_the_fourth =
            |count: &&[Option<u8>; 4]| count[3].is_none() && count[2].is_some();
        let right = counts.iter().filter(closed_by_the_fourth).count();
        println!("{surroundings:?}: of 100, {exact} one by one, {right} closed by the fourth");
        assert!(right >= 75, "{surroundings:?}: {right} of 100");
    }
}

#[test]
fn an_over_pour_is_recorded_and_the_next_bottle_goes_on() {
    tell_at_every_rate(&[
        &begin("Two", Vessel::Rocks),
        &[
            step(Do::Tilt("whiskey", 8.0), "whiskey is poured"),
            step(Do::Expect(Is::Stop, 9.0), "stop is cued"),
            step(Do::Wait(1.2), "nobody listens"),
            step(Do::TiltBack, "then it stops"),
            step(
                Do::Expect(Is::Verdict(Verdict::Over), 3.0),
                "that was too much",
            ),
            step(
                Do::Expect(Is::Step(1), 0.5),
                "the syrup comes next all the same",
            ),
            step(Do::Wait(1.0), "the bottle is changed"),
            step(Do::Tilt("syrup", 6.0), "it is poured"),
            step(
                Do::Expect(Is::Poured(Some(Verdict::Over)), 3.0),
                "the whiskey is recorded",
            ),
            step(Do::Follow, "the hand follows the cues"),
            step(Do::Expect(Is::Poured(None), 9.0), "so is the syrup"),
            step(Do::RecordIsTrue, "as what it was"),
        ],
    ]);
}

/// Good within 2.1 g, interrupted beyond 3.4 g.
fn tipped_over(grams: f64, heard: Sound, asked: &'static str) {
    tell_at_every_rate(&[
        &begin("Two", Vessel::Rocks),
        &[
            step(Do::Wait(2.0), "a jigger is filled by eye"),
            step(Do::TipIn("whiskey", grams), "and tipped in at once"),
            step(
                Do::Expect(Is::Verdict(Verdict::Over), 5.0),
                "that was too much",
            ),
            step(Do::Sounds(heard), "the sounder says as much as it must"),
            step(Do::Page(asked), "and so does the panel"),
            step(Do::Wait(2.0), "the bottle is fetched"),
            step(Do::Tilt("syrup", 6.0), "the syrup is poured"),
            step(
                Do::Expect(Is::Poured(Some(Verdict::Over)), 3.0),
                "the whiskey is recorded",
            ),
            step(Do::RecordIsTrue, "as what it was"),
        ],
    ]);
}

#[test]
fn an_over_pour_nobody_would_taste_is_only_recorded() {
    tipped_over(45.0, Sound::Next, "syrup");
}

#[test]
fn an_over_pour_beyond_the_band_interrupts() {
    tipped_over(47.5, Sound::Look, "");
}

#[test]
fn a_short_pour_asks_for_more() {
    tell_at_every_rate(&[
        &begin("Two", Vessel::Rocks),
        &[
            step(Do::Tilt("whiskey", 8.0), "whiskey is poured"),
            step(Do::Wait(3.2), "not long enough"),
            step(Do::TiltBack, "it stops"),
            step(
                Do::Expect(Is::Verdict(Verdict::Short), 5.0),
                "that was too little",
            ),
            step(Do::Never(Is::Step(1)), "the syrup has to wait"),
            step(Do::Wait(0.5), "the panel is read"),
            step(Do::Page("add whiskey"), "it asks for the rest"),
            step(Do::Tilt("whiskey", 5.0), "a second go"),
            step(Do::Follow, "as the cues say"),
            step(Do::Expect(Is::Step(1), 5.0), "now the syrup comes next"),
            step(
                Do::Expect(Is::Poured(None), 9.0),
                "both goes make one record",
            ),
            step(Do::RecordIsTrue, "of what landed"),
        ],
    ]);
}

/// Nobody reads the converter for a fifth of a second when so many seconds have passed.
fn unread(after_s: f64) {
    tell(&[
        &begin("Long", Vessel::Highball),
        &[
            step(Do::Tilt("whiskey", 8.0), "whiskey is poured"),
            step(Do::Wait(after_s), "steadily"),
            step(Do::Lose(0.2), "nobody reads the converter for 200 ms"),
            step(Do::Follow, "the hand follows the cues"),
            step(Do::Happened(Is::Stop), "stop was cued"),
            step(
                Do::MoreIfAsked("whiskey"),
                "a little more goes in where the panel asks for it",
            ),
            step(Do::Expect(Is::Poured(None), 12.0), "the pour is recorded"),
            step(Do::RecordIsTrue, "the record is what landed"),
            step(Do::RecordIsOnTarget(4.5), "and about what was asked for"),
        ],
        &NOTHING_FALSE,
    ]);
}

#[test]
fn conversions_missing_in_the_middle_of_a_pour() {
    unread(2.0);
}

#[test]
fn conversions_missing_while_the_end_is_near() {
    for after_s in [5.5, 6.0, 6.5] {
        unread(after_s);
    }
}

/// At 10 conversions a second there are two between the bottles, and one in three is missed.
#[test]
fn the_next_bottle_a_fifth_of_a_second_after_the_first() {
    tell_at_quick_rates(&[&hard_on_the_heels(0.2)]);
}

/// Whiskey, and the syrup so many seconds after the whiskey's bottle was tilted back.
fn hard_on_the_heels(after_s: f64) -> Vec<Step> {
    [
        &begin("Two", Vessel::Rocks)[..],
        &[
            step(Do::Wait(1.0), "the bottle is fetched"),
            step(Do::Tilt("whiskey", 8.0), "whiskey is poured"),
            step(Do::Follow, "as the cues say"),
            step(Do::Wait(after_s), "the other hand holds the syrup already"),
            step(Do::TiltAhead("syrup", 6.0), "and pours it"),
            step(
                Do::Expect(Is::Poured(Some(Verdict::Good)), 3.0),
                "the whiskey is closed while the syrup flows",
            ),
            step(Do::Follow, "the syrup's own cues are followed"),
            step(Do::Expect(Is::Stop, 0.0), "there was a stop for it"),
            step(Do::MoreIfAsked("syrup"), "a little more if asked for"),
            step(Do::Expect(Is::Poured(None), 9.0), "it is recorded too"),
            step(Do::RecordsAreNearly(1.2), "each is nearly what landed"),
            step(Do::RecordsSumUp(0.5), "and together they are"),
        ],
        &NOTHING_FALSE,
    ]
    .concat()
}

#[test]
fn the_next_bottle_as_soon_as_the_first_has_ended() {
    tell_at_every_rate(&[&hard_on_the_heels(0.5)]);
}

#[test]
fn the_next_bottle_before_the_first_is_judged() {
    tell_at_every_rate(&[&hard_on_the_heels(0.35)]);
}

/// One stream stands for both: the scale feels only their sum.
#[test]
fn two_bottles_at_once_are_one_joint_pour() {
    tell_at_every_rate(&[
        &begin("Two", Vessel::Rocks),
        &[
            step(Do::Wait(1.0), "both bottles are fetched"),
            step(Do::Tilt("whiskey", 14.0), "and poured together"),
            step(
                Do::Expect(Is::Stop, 9.0),
                "the stop of the first is passed over",
            ),
            step(Do::UntilIn(58.5), "until both are nearly in, 42 and 18 g"),
            step(Do::TiltBack, "by feel"),
            step(
                Do::Expect(Is::Verdict(Verdict::Good), 3.0),
                "the sum is judged",
            ),
            step(Do::Expect(Is::Poured(None), 9.0), "one is recorded"),
            step(Do::Expect(Is::Poured(None), 9.0), "and the other"),
            step(Do::RecordsSumUp(0.5), "together they are what landed"),
        ],
    ]);
}
