//! What a pour teaches, and which pours teach nothing.

use pennyweight_core::pour::Habit;
use pennyweight_core::spec::{Family, Vessel};
use pennyweight_core::units::{Grams, GramsPerSecond};
use pennyweight_core::view::Page;
use pennyweight_core::weigh::settle::Body;
use pennyweight_core::{Command, Mode, Station};
use pennyweight_sim::plant::{
    Bench, BenchSetup, HandNature, Liquid, LiquidRef, Move, Reflex, Sensed, Surroundings, Table,
};
use pennyweight_sim::session::{Lockstep, setup_for};

const TARGET_G: f32 = 28.0;
const FLOW_ML_S: f64 = 8.0;
const FULL_G: f64 = 600.0;
const SEEDS: std::ops::Range<u64> = 0..8;

/// A station that asks for the same pour into every glass, and a hand that eases.
struct Stand {
    rig: Lockstep<'static>,
    table: Table,
    hand: HandNature,
    pours: u64,
}

impl Stand {
    fn new(seed: u64) -> Self {
        let table = Table::nominal();
        let spirit = Liquid::of_strength("rye whiskey", Family::Spirit, 40.0, 0.0);
        let mut setup = BenchSetup::new(80.0, seed, vec![spirit]);
        setup.surroundings = Surroundings::Usual;
        let bench = Bench::new(&table, setup);
        let station = Station::new(setup_for(&bench, Mode::Service));
        let hand = (seed * 100..)
            .map(|hand_seed| HandNature::drawn(&table, hand_seed))
            .find(|hand| !hand.never_eases)
            .unwrap();
        let mut stand = Self {
            rig: Lockstep::new(bench, station),
            table,
            hand,
            pours: 0,
        };
        stand.pass(1.5);
        let _told = stand.rig.command(Command::Target(Grams(TARGET_G)));
        stand
    }

    fn pass(&mut self, seconds: f64) {
        let until = self.rig.now_us() + (seconds * 1e6) as u64;
        while self.rig.step(Some(until)).is_some() {}
    }

    /// Sets a fresh glass down and waits until the panel asks for the pour.
    fn place(&mut self) {
        let glass = self.rig.bench.take_vessel(Vessel::Rocks);
        self.rig.bench.place(glass);
        let until = self.rig.now_us() + 6_000_000;
        while let Some(moment) = self.rig.step(Some(until)) {
            if matches!(moment.view.page, Page::Pour { .. }) {
                break;
            }
        }
        self.pass(0.7);
    }

    fn lift(&mut self) {
        self.rig.bench.lift();
        self.pass(1.5);
    }

    fn tilt(&mut self, left_g: f64) {
        let draw = self.rig.bench.next_pour(LiquidRef(0), FLOW_ML_S);
        self.rig.bench.tilt_drawn(LiquidRef(0), draw, left_g);
    }

    /// Follows the cues until the bottle is tilted back, and lets the last drop fall.
    fn follow(&mut self) {
        let mut reflex = Reflex::new(self.hand.pour(&self.table, self.pours, 0.0));
        self.pours += 1;
        let give_up = self.rig.now_us() + 12_000_000;
        while !reflex.has_stopped() {
            let due = reflex.next_us().unwrap_or(give_up).min(give_up);
            if let Some(moment) = self.rig.step(Some(due)) {
                let sensed = Sensed::of(&moment.outputs, &moment.view, true);
                reflex.observe(moment.at.micros(), &sensed);
                continue;
            }
            let now = self.rig.now_us();
            let moved = if now >= give_up {
                Some(reflex.give_up())
            } else {
                reflex.take(now, self.rig.bench.flow_g_s())
            };
            match moved {
                Some(Move::Ease { to_g_s, lasts_s }) => self.rig.bench.set_flow(to_g_s, lasts_s),
                Some(Move::TiltBack) => self.rig.bench.tilt_back(),
                None => {}
            }
        }
        self.pass(6.0);
    }

    /// A whole pour that nothing disturbs.
    fn pour(&mut self) {
        self.place();
        self.tilt(FULL_G);
        self.follow();
        self.lift();
    }

    /// How many pours each owner's habit rests on.
    fn taught(&self) -> Vec<(Option<u8>, u16)> {
        let known = self.rig.station.habits().known().iter();
        known
            .map(|(owner, habit)| (owner.hand, habit.pours()))
            .collect()
    }
}

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
fn what_was_taught_can_be_kept_and_read_back() {
    let mut stand = Stand::new(5);
    stand.pour();
    let (_, habit) = stand.rig.station.habits().known()[0];
    let values = habit.values();
    let kept = Habit::from_values(values).map(|habit| habit.values());
    assert_eq!(kept, Some(values));
}

#[test]
fn a_habit_that_no_pour_could_have_taught_is_refused() {
    let sound = Habit::population(Body::Thin).values();
    assert!(Habit::from_values(sound).is_some());
    for index in 0..sound.len() {
        for wrong in [f32::NAN, f32::INFINITY, -1.0, 1e6] {
            let mut values = sound;
            values[index] = wrong;
            assert_eq!(Habit::from_values(values), None, "value {index}: {wrong}");
        }
    }
}
