//! What was voided, or left for something else, does not come back with the power.

use pennyweight_core::input::{Command, CommandError, Input, Known, Sample};
use pennyweight_core::output::Event;
use pennyweight_core::spec::DrinkId;

use super::power::{away, drinks_recorded, half_made, on_pan, step};

/// A measure of 50 ml that is filled from a bottle.
const MEASURE: Sample = Sample {
    volume_ul: 50_000,
    sigma_ul: 100,
    celsius: 2_000,
    known: Known::Nothing,
};

#[test]
fn voided_before_its_vessel_is_back_it_stays_voided() {
    let (bench, gross) = half_made();
    let mut bench = bench.cut();
    bench.hold(0.0, 1.5);
    assert_eq!(on_pan(&bench), Some((DrinkId(0), 1)));
    bench.give(Input::Command(Command::Void(DrinkId(0))));
    bench.hold(0.0, 1.0);
    // The other order is next, and begins in whatever is set down.
    bench.hold(gross, 2.0);
    assert_eq!(on_pan(&bench), Some((DrinkId(1), 2)));
    assert_eq!(step(&bench), Some(0));
    let bench = bench.cut();
    assert_eq!(on_pan(&bench), Some((DrinkId(1), 2)));
}

#[test]
fn voided_while_it_is_asked_about_it_stays_voided() {
    let (bench, gross) = half_made();
    let mut bench = bench.cut();
    bench.hold(gross + 150.0, 2.0);
    bench.give(Input::Command(Command::Void(DrinkId(0))));
    bench.pour(gross + 150.0, 15.0, 6.0);
    assert_eq!(step(&bench), None, "nothing of it goes on");
    bench.hold(0.0, 2.0);
    assert_eq!(on_pan(&bench), Some((DrinkId(1), 2)));
}

#[test]
fn voided_in_its_strain_it_is_not_recorded() {
    let mut bench = away();
    bench.hold(0.0, 26.0);
    bench.hold(160.0, 2.0);
    bench.pour(160.0, 15.0, 15.0);
    let mut bench = bench.cut();
    bench.hold(175.0, 0.5);
    bench.give(Input::Command(Command::Void(DrinkId(0))));
    bench.hold(175.0, 9.0);
    bench.hold(0.0, 2.0);
    assert_eq!(drinks_recorded(&mut bench), [0; 0]);
    assert_eq!(on_pan(&bench), Some((DrinkId(1), 2)));
}

/// Until it is known where a drink stood there is nothing to skip, to mend or to double.
#[test]
fn before_it_is_taken_up_it_can_only_be_voided() {
    let (bench, gross) = half_made();
    let mut bench = bench.cut();
    bench.hold(0.0, 1.5);
    for command in [
        Command::Skip,
        Command::Fix,
        Command::Two,
        Command::Again,
        Command::Other,
    ] {
        bench.told.clear();
        bench.give(Input::Command(command));
        let why = CommandError::NotRestored;
        assert_eq!(bench.told, [Event::Refused(why)], "{command:?}");
    }
    bench.told.clear();
    bench.hold(gross, 2.0);
    assert_eq!(on_pan(&bench), Some((DrinkId(0), 1)));
    assert_eq!(step(&bench), Some(1));
}

/// What was left behind for something else does not come back with the power.
#[test]
fn a_drink_voided_before_a_bottle_is_learned_does_not_rise_again() {
    let (mut bench, gross) = half_made();
    bench.give(Input::Command(Command::Void(DrinkId(1))));
    bench.give(Input::Command(Command::Void(DrinkId(0))));
    bench.hold(gross, 1.0);
    bench.hold(0.0, 2.0);
    bench.give(Input::Command(Command::Learn(MEASURE)));
    bench.hold(80.0, 2.0);
    let mut bench = bench.cut();
    bench.hold(0.0, 2.0);
    assert_eq!(on_pan(&bench), None);
    bench.give(Input::Command(Command::Order(DrinkId(0))));
    assert_eq!(on_pan(&bench), Some((DrinkId(0), 2)), "numbers go on");
}
