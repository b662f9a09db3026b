//! A station that asks for the same pour into every glass, and a hand that follows it.

use pennyweight_core::spec::{Family, Vessel};
use pennyweight_core::units::Grams;
use pennyweight_core::view::Page;
use pennyweight_core::{Command, Mode, Station};
use pennyweight_sim::plant::{
    Bench, BenchSetup, HandNature, Liquid, LiquidRef, Move, Reflex, Sensed, Surroundings, Table,
};
use pennyweight_sim::session::{Lockstep, Moment, setup_for};

/// What every pour is to come to, grams.
pub(super) const TARGET_G: f32 = 28.0;
/// How the bottle flows.
pub(super) const FLOW_ML_S: f64 = 8.0;
/// What a bottle holds that is not near its end.
pub(super) const FULL_G: f64 = 600.0;

/// A station that asks for the same pour into every glass, and a hand that eases.
pub(super) struct Stand {
    pub(super) rig: Lockstep<'static>,
    table: Table,
    hand: HandNature,
    pours: u64,
}

impl Stand {
    pub(super) fn new(seed: u64) -> Self {
        Self::working(seed, Mode::Service)
    }

    /// The same in another way of working.
    pub(super) fn working(seed: u64, mode: Mode) -> Self {
        let table = Table::nominal();
        let spirit = Liquid::of_strength("rye whiskey", Family::Spirit, 40.0, 0.0);
        let mut setup = BenchSetup::new(80.0, seed, vec![spirit]);
        setup.surroundings = Surroundings::Usual;
        let bench = Bench::new(&table, setup);
        let station = Station::new(setup_for(&bench, mode));
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

    pub(super) fn pass(&mut self, seconds: f64) {
        self.watch(seconds, |_| {});
    }

    /// Lets so many seconds pass while somebody looks at every moment.
    pub(super) fn watch(&mut self, seconds: f64, mut look: impl FnMut(&Moment<'_>)) {
        let until = self.rig.now_us() + (seconds * 1e6) as u64;
        while let Some(moment) = self.rig.step(Some(until)) {
            look(&moment);
        }
    }

    /// Sets a fresh glass down and waits until the panel asks for the pour.
    pub(super) fn place(&mut self) {
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

    pub(super) fn lift(&mut self) {
        self.rig.bench.lift();
        self.pass(1.5);
    }

    /// Tilts a bottle that holds so many grams.
    pub(super) fn tilt(&mut self, left_g: f64) {
        self.tilt_at(FLOW_ML_S, left_g);
    }

    /// The same at so many ml/s.
    pub(super) fn tilt_at(&mut self, flow_ml_s: f64, left_g: f64) {
        let draw = self.rig.bench.next_pour(LiquidRef(0), flow_ml_s);
        self.rig.bench.tilt_drawn(LiquidRef(0), draw, left_g);
    }

    /// Follows the cues until the bottle is tilted back, and lets the last drop fall.
    pub(super) fn follow(&mut self) {
        self.follow_watched(true, |_| {});
    }

    /// The same, with the sounder heard or not, while somebody looks at every moment.
    pub(super) fn follow_watched(&mut self, sound: bool, mut look: impl FnMut(&Moment<'_>)) {
        let mut reflex = Reflex::new(self.hand.pour(&self.table, self.pours, 0.0));
        self.pours += 1;
        let give_up = self.rig.now_us() + 12_000_000;
        while !reflex.has_stopped() {
            let due = reflex.next_us().unwrap_or(give_up).min(give_up);
            if let Some(moment) = self.rig.step(Some(due)) {
                look(&moment);
                let sensed = Sensed::of(&moment.outputs, &moment.view, sound);
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
        self.watch(6.0, look);
    }

    /// A whole pour that nothing disturbs.
    pub(super) fn pour(&mut self) {
        self.place();
        self.tilt(FULL_G);
        self.follow();
        self.lift();
    }

    /// How many pours each owner's habit rests on.
    pub(super) fn taught(&self) -> Vec<(Option<u8>, u16)> {
        let known = self.rig.station.habits().known().iter();
        known
            .map(|(owner, habit)| (owner.hand, habit.pours()))
            .collect()
    }
}
