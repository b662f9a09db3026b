//! A bench whose station is listened to, and what truly happened on it.

use pennyweight_core::spec::{Family, Vessel};
use pennyweight_core::units::Grams;
use pennyweight_core::{Command, Event, Mode, Station};
use pennyweight_sim::plant::{Bench, BenchSetup, Liquid, Surroundings, Table};
use pennyweight_sim::session::{Lockstep, setup_for};

/// A bench with a glass on the pan and a pour offered.
pub(super) struct Watched {
    pub(super) rig: Lockstep<'static>,
    /// Bench time, seconds.
    pub(super) now_s: f64,
    /// What was told since the glass stood, and when.
    pub(super) told: Vec<(f64, Event)>,
    /// When knocks truly came, seconds, and how hard, grams.
    pub(super) knocks: Vec<(f64, f64)>,
    felt: u64,
}

impl Watched {
    /// The bench of that seed, six seconds after it was switched on.
    pub(super) fn new(sps: f64, surroundings: Surroundings, vessel: Vessel, seed: u64) -> Self {
        let spirit = Liquid::of_strength("rye whiskey", Family::Spirit, 40.0, 0.0);
        let syrup = Liquid::of_strength("ginger syrup", Family::Syrup, 0.0, 700.0);
        let mut setup = BenchSetup::new(sps, seed, vec![spirit, syrup]);
        setup.surroundings = surroundings;
        let bench = Bench::new(&Table::nominal(), setup);
        let station = Station::new(setup_for(&bench, Mode::Service));
        let mut watched = Self {
            rig: Lockstep::new(bench, station),
            now_s: 0.0,
            told: Vec::new(),
            knocks: Vec::new(),
            felt: 0,
        };
        let _told = watched.rig.command(Command::Target(Grams(60.0)));
        watched.pass(2.0);
        watched.place(vessel);
        watched.pass(4.0);
        watched.told.clear();
        watched.knocks.clear();
        watched
    }

    /// Sets a vessel of that kind on the pan.
    pub(super) fn place(&mut self, vessel: Vessel) {
        let vessel = self.rig.bench.take_vessel(vessel);
        self.rig.bench.place(vessel);
    }

    /// Lets so many seconds pass.
    pub(super) fn pass(&mut self, seconds: f64) {
        self.now_s += seconds;
        let until_us = (self.now_s * 1e6).round() as u64;
        while let Some(moment) = self.rig.step(Some(until_us)) {
            let at_s = moment.at.micros() as f64 * 1e-6;
            self.told
                .extend(moment.outputs.events().map(|event| (at_s, event)));
            let (felt, last) = self.rig.bench.knocks();
            if felt != self.felt
                && let Some(knock) = last
            {
                self.felt = felt;
                self.knocks.push((knock.begins_s, knock.peak_g()));
            }
        }
    }

    /// How often such an event was told.
    pub(super) fn count(&self, wanted: impl Fn(&Event) -> bool) -> usize {
        self.told.iter().filter(|(_, event)| wanted(event)).count()
    }
}

/// The seed of bench `index`; `PENNYWEIGHT_SEED` begins another series.
pub(super) fn seed_of(index: u64) -> u64 {
    crate::pouring::chosen_seed()
        .unwrap_or(0)
        .wrapping_mul(100_000)
        .wrapping_add(index)
}
