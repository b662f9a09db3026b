//! A weighing station on a simulated bench, and what it said of the pours.

use pennyweight_core::spec::{Family, Vessel};
use pennyweight_core::units::Grams;
use pennyweight_core::{Command, Event, Mode, Station};
use pennyweight_sim::plant::{
    Bench, BenchSetup, Liquid, LiquidRef, Surroundings, Table, VesselRef,
};
use pennyweight_sim::session::{Lockstep, setup_for};

/// The first bottle of the bench.
pub(super) const SPIRIT: LiquidRef = LiquidRef(0);
/// The second one.
pub(super) const SYRUP: LiquidRef = LiquidRef(1);

/// A weighing station on a bench.
pub(super) struct Weighing {
    pub(super) rig: Lockstep<'static>,
    pub(super) told: Vec<Event>,
    /// What has settled since the count began, earlier goes apart.
    before_g: f64,
    now_g: f64,
    variance: f64,
    sigma: f64,
}

impl Weighing {
    /// On for `on_for_s` already.
    pub(super) fn new(sps: f64, seed: u64, surroundings: Surroundings, on_for_s: f64) -> Self {
        Self::on(Self::bench(sps, seed, surroundings, on_for_s))
    }

    /// A bench with two bottles.
    pub(super) fn bench(sps: f64, seed: u64, surroundings: Surroundings, on_for_s: f64) -> Bench {
        let spirit = Liquid::of_strength("rye whiskey", Family::Spirit, 40.0, 0.0);
        let syrup = Liquid::of_strength("ginger syrup", Family::Syrup, 0.0, 800.0);
        let mut setup = BenchSetup::new(sps, seed, vec![spirit, syrup]);
        setup.surroundings = surroundings;
        setup.on_for_s = on_for_s;
        Bench::new(&Table::nominal(), setup)
    }

    /// A station put on this bench.
    pub(super) fn on(bench: Bench) -> Self {
        let station = Station::new(setup_for(&bench, Mode::Service));
        Self {
            rig: Lockstep::new(bench, station),
            told: Vec::new(),
            before_g: 0.0,
            now_g: 0.0,
            variance: 0.0,
            sigma: 0.0,
        }
    }

    pub(super) fn offer(&mut self, grams: f32) {
        let _told = self.rig.command(Command::Target(Grams(grams)));
    }

    pub(super) fn pass(&mut self, seconds: f64) {
        let until_us = self.rig.now_us() + (seconds * 1e6) as u64;
        while let Some(moment) = self.rig.step(Some(until_us)) {
            for event in moment.outputs.events() {
                match event {
                    Event::PourStarted => {
                        self.before_g += self.now_g;
                        self.variance += self.sigma * self.sigma;
                        (self.now_g, self.sigma) = (0.0, 0.0);
                    }
                    Event::Landed(settled) | Event::Amended(settled) | Event::Steady(settled) => {
                        self.now_g = f64::from(settled.mass.0);
                        self.sigma = f64::from(settled.sigma.0);
                    }
                    _ => {}
                }
                self.told.push(event);
            }
        }
    }

    /// Sets a fresh vessel down.
    pub(super) fn place(&mut self, kind: Vessel) -> VesselRef {
        let vessel = self.rig.bench.take_vessel(kind);
        self.rig.bench.place(vessel);
        vessel
    }

    /// Pours for so many seconds and waits until all drips are in.
    pub(super) fn pour(&mut self, liquid: LiquidRef, flow_ml_s: f64, seconds: f64) {
        self.rig.bench.tilt(liquid, flow_ml_s);
        self.pass(seconds);
        self.rig.bench.tilt_back();
        self.pass(9.0);
    }

    /// What has been said of pours since the last call, and its sigma.
    pub(super) fn take_said(&mut self) -> (f64, f64) {
        let said = self.before_g + self.now_g;
        let sigma = (self.variance + self.sigma * self.sigma).sqrt();
        (self.before_g, self.now_g) = (0.0, 0.0);
        (self.variance, self.sigma) = (0.0, 0.0);
        (said, sigma)
    }

    /// What the pan carries above zero, as the scale says.
    pub(super) fn reading_g(&self) -> f64 {
        f64::from(self.rig.station.weight().0.0)
    }

    pub(super) fn has_told(&self, is: impl Fn(&Event) -> bool) -> bool {
        self.told.iter().any(is)
    }
}
