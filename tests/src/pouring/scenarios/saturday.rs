//! A Saturday: six drinks at once, and all that a bar does to them.

use pennyweight_core::Command;
use pennyweight_core::spec::{DrinkId, Vessel};
use pennyweight_sim::plant::Surroundings;

use super::evening::{ICE, pour};
use super::play::{Do, Is, Step, tell_in};
use super::step;

/// Drinks of the sheet by their number.
const SHORT: DrinkId = DrinkId(0);
const FIZZ: DrinkId = DrinkId(2);

const fn served() -> [Step; 3] {
    [
        step(Do::Wait(7.5), "it is looked at"),
        step(Do::Lift, "and served"),
        step(Do::Wait(2.0), "the pan is empty"),
    ]
}

#[test]
fn six_drinks_on_a_saturday() {
    let orders = [
        step(Do::Wait(2.0), "the scale sees its empty pan"),
        step(Do::Order("Stirred"), "a stirred drink is ordered"),
        step(Do::Order("Sour"), "a sour"),
        step(Do::Order("Bitter"), "a bitter one"),
        step(Do::Order("Two"), "a short one"),
        step(Do::Order("Two"), "another of the same"),
        step(Do::Order("Short"), "and a sixth"),
    ];
    let stirred = [
        step(Do::Place(Vessel::MixingGlass), "a mixing glass is set down"),
        step(Do::Wait(2.5), "the scale sees it"),
        step(Do::DashWhileAsked(0.8), "dashes, until the panel has them"),
    ];
    let away = [
        step(Do::Command(Command::Order(FIZZ)), "a seventh is added"),
        step(Do::Lift, "it is stirred on the bench"),
        step(Do::Melt(40.0), "and ice melts"),
        step(Do::Wait(2.0), "the bar spoon turns"),
        step(Do::Command(Command::Void(SHORT)), "the sixth is voided"),
        step(Do::Place(Vessel::Tin), "the tin of the sour is set down"),
        step(Do::Wait(2.5), "the scale sees it"),
        step(Do::Page("lemon juice"), "it is begun at once"),
        step(Do::LayBeside(70.0), "a wet towel is laid beside the tin"),
        step(Do::Wait(4.0), "and stays"),
        step(Do::Asks(true), "the panel asks what it is"),
        step(Do::SoundOff, "the sound is switched off"),
    ];
    let beside = [
        step(Do::TakeUp(70.0), "the towel is taken away"),
        step(Do::Wait(2.0), "and"),
        step(Do::AnotherHand, "somebody else goes on"),
    ];
    let cube = [
        step(Do::LayBeside(25.0), "a cube falls beside the tin"),
        step(Do::Wait(3.0), "and lies there"),
        step(Do::TakeUp(25.0), "until somebody flicks it away"),
        step(Do::Wait(2.0), "and"),
    ];
    let coupes = [
        step(Do::Lift, "the tin is shaken"),
        step(Do::Melt(60.0), "and ice melts"),
        step(Do::Wait(11.0), "for a while"),
        step(Do::Happened(Is::Due), "the first has been stirred"),
        step(Do::Place(Vessel::Coupe), "a coupe is set down"),
        step(Do::Wait(2.5), "the scale sees it"),
        step(Do::Shows("Question"), "it may be for either"),
        step(
            Do::PressUnless("Stirred"),
            "for the stirred one: a press says so where the other was taken",
        ),
        step(Do::Wait(1.5), "and"),
        step(Do::StrainNumber(0), "it is strained"),
        step(Do::Expect(Is::Done, 9.0), "it is done"),
        step(Do::Lift, "and served"),
        step(Do::Wait(2.0), "then"),
        step(Do::Place(Vessel::Coupe), "another coupe"),
        step(Do::Wait(4.0), "the scale sees it"),
        step(Do::StrainNumber(1), "the sour is strained"),
        step(Do::Expect(Is::Done, 9.0), "it is done"),
        step(Do::Lift, "and served"),
        step(Do::Wait(2.0), "then"),
    ];
    let bitter = [
        step(Do::Place(Vessel::Rocks), "a rocks glass for the bitter one"),
        step(Do::Wait(3.0), "the scale sees it"),
        step(Do::DashWhileAsked(0.8), "dashes, until the panel has them"),
    ];
    let next_glass = [
        step(Do::Place(Vessel::Rocks), "a glass just like it"),
        step(Do::Wait(2.5), "the scale sees it"),
    ];
    let twins = [
        step(Do::Next("Two"), "the panel offers the glass of the other"),
        step(Do::Lift, "so this one is set aside"),
        step(Do::Wait(2.0), "and"),
        step(Do::Shows("Place { drink: \"Two\""), "asks for it"),
        step(Do::Place(Vessel::Rocks), "its twin is set down"),
        step(Do::Wait(2.5), "the scale sees it"),
        step(Do::Page("whiskey"), "the bottle is in the hand still"),
    ];
    let back = [
        step(Do::PutBackNumber(5), "the first of the two is back"),
        step(Do::Wait(2.5), "the scale sees it"),
        step(Do::Page("syrup"), "and goes on where it was"),
    ];
    let soda = [
        step(Do::Place(Vessel::Highball), "a highball for the added one"),
        step(Do::Wait(2.5), "the scale sees it"),
    ];
    tell_in(
        Surroundings::Bass,
        80.0,
        &[
            &orders,
            &stirred,
            &pour("fino", 8.0),
            &pour("rye", 20.0),
            &ICE,
            &away,
            &pour("lemon juice", 8.0),
            &beside,
            &pour("syrup", 6.0),
            &cube,
            &pour("rye", 10.0),
            &ICE,
            &coupes,
            &bitter,
            &pour("whiskey", 8.0),
            &served(),
            &next_glass,
            &pour("whiskey", 8.0),
            &twins,
            &pour("whiskey", 8.0),
            &pour("syrup", 6.0),
            &served(),
            &back,
            &pour("syrup", 6.0),
            &served(),
            &soda,
            &pour("soda", 15.0),
            &served(),
            &[
                step(Do::Times(Is::Done, 6), "six drinks are done"),
                step(Do::StepsInTurn, "no step came out of turn"),
                step(Do::Questions(1), "and one thing was asked"),
            ],
        ],
    );
}
