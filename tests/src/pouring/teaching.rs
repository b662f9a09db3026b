//! What a pour teaches, and which pours teach nothing.

use crate::journal::things::habit;
use pennyweight_core::Command;
use pennyweight_core::pour::Habit;
use pennyweight_core::units::GramsPerSecond;
use pennyweight_core::weigh::settle::Body;
use pennyweight_sim::plant::LiquidRef;

use super::stand::{FULL_G, Stand, TARGET_G};

const SEEDS: std::ops::Range<u64> = 0..8;

/// Nothing may have been taught by what happens on any of the benches.
fn teaches_nothing(what: &str, happens: impl Fn(&mut Stand)) {
    for seed in SEEDS {
        let mut stand = Stand::new(seed);
        stand.place();
        happens(&mut stand);
        stand.lift();
        assert_eq!(stand.taught(), [], "{what}, bench {seed}");
    }
}

#[test]
fn every_clean_pour_teaches_and_what_it_taught_can_be_forgotten() {
    for seed in SEEDS {
        let mut stand = Stand::new(seed);
        for pours in 1..=3 {
            stand.pour();
            assert_eq!(stand.taught(), [(None, pours)], "bench {seed}");
        }
        let (_, habit) = stand.rig.station.habits().known()[0];
        let flow = habit.usual();
        assert!((4.0..13.0).contains(&flow.0), "bench {seed}: {flow:?}");
        assert!(habit.eased(flow) < flow * 0.75, "bench {seed}: {habit:?}");
        let overrun = habit.overrun(GramsPerSecond(3.0));
        assert!((0.3..2.0).contains(&overrun.0), "bench {seed}: {overrun:?}");
        let _told = stand.rig.command(Command::Forget);
        assert_eq!(stand.taught(), [], "bench {seed}");
    }
}

#[test]
fn a_named_hand_keeps_what_it_taught() {
    let mut stand = Stand::new(3);
    for hand in [1, 2, 2] {
        let _told = stand.rig.command(Command::Hand(hand));
        stand.pour();
    }
    assert_eq!(stand.taught(), [(Some(1), 1), (Some(2), 2)]);
}

#[test]
fn a_knocked_pour_teaches_nothing() {
    teaches_nothing("knocked", |stand| {
        stand.tilt(FULL_G);
        stand.pass(1.5);
        stand.rig.bench.knock(60.0);
        stand.follow();
    });
}

#[test]
fn a_glass_lifted_in_the_middle_teaches_nothing() {
    teaches_nothing("lifted", |stand| {
        stand.tilt(FULL_G);
        stand.pass(2.0);
        stand.rig.bench.tilt_back();
        stand.pass(0.15);
    });
}

#[test]
fn a_bottle_run_dry_and_the_next_one_teach_nothing() {
    teaches_nothing("run dry", |stand| {
        stand.tilt(12.0);
        stand.pass(5.0);
        stand.rig.bench.tilt_back();
        stand.pass(2.0);
        stand.tilt(FULL_G);
        stand.follow();
    });
}

#[test]
fn what_is_tipped_in_teaches_nothing() {
    teaches_nothing("tipped in", |stand| {
        stand.rig.bench.tip_in(LiquidRef(0), f64::from(TARGET_G));
        stand.pass(6.0);
    });
}

#[test]
fn a_second_go_teaches_nothing() {
    teaches_nothing("second go", |stand| {
        stand.tilt(FULL_G);
        stand.pass(2.0);
        stand.rig.bench.tilt_back();
        stand.pass(5.0);
        stand.tilt(FULL_G);
        stand.follow();
    });
}

#[test]
fn what_pours_taught_is_sound() {
    let mut stand = Stand::new(5);
    stand.pour();
    let (_, habit) = stand.rig.station.habits().known()[0];
    assert!(habit.is_sound());
    assert!(Habit::population(Body::Thin).is_sound());
}

#[test]
fn a_habit_that_no_pour_could_have_taught_is_refused() {
    let sound = [0.04, 0.3, 6e-4, -1e-5, 9e-4, 3.2, 8.7, 0.4];
    assert!(habit(sound, 640).is_sound());
    for index in 0..sound.len() {
        for wrong in [f32::NAN, f32::INFINITY, -1.0, 1e6] {
            let mut values = sound;
            values[index] = wrong;
            assert!(!habit(values, 640).is_sound(), "value {index}: {wrong}");
        }
    }
}
