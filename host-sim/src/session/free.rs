//! A drink made up as it goes: pours by feel, named before or after, and a sip.

use pennyweight_core::spec::{LiquidId, Sheet, SheetError, Vessel};
use pennyweight_core::{Instant, Mode};

use super::bar::BarBottle;
use super::doing::HOLD_UP_G;
use super::{Lockstep, Moment, READY_US, SessionSetup, rig};
use crate::capture::{Capture, Captured, Said, Which};
use crate::plant::draw::{Draws, Process};
use crate::plant::ice::{Chilling, melted_g};
use crate::plant::reflex::micros;
use crate::plant::{LiquidRef, Table, VesselRef};

/// A pour by feel ends so far from what was meant: one standard deviation, as a share (assumption).
const BY_FEEL: f64 = 0.06;

/// Nobody pours longer than this, seconds.
const LONGEST_POUR_S: f64 = 40.0;

/// What somebody does who makes up a drink.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Free {
    /// A vessel is set down.
    Place(Vessel),
    /// So many millilitres by feel, named before, after, or not at all.
    Pour(LiquidId, f64, Naming),
    /// So many grams of ice.
    Ice(f64),
    /// The vessel goes up for so many seconds.
    Stir(f64),
    /// So many grams are drunk.
    Sip(f64),
    /// Into a new glass of this kind.
    Strain(Vessel),
    /// Somebody says something of what was captured.
    Say(Said),
}

/// When a pour is named.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Naming {
    /// Before it.
    Before,
    /// Once it has landed.
    After,
    /// Not at all.
    Never,
}

/// What truly happened.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Truth {
    /// What landed of each pour, grams as shown, in their order.
    pub landed_g: Vec<(LiquidId, f64)>,
    /// What was drunk, grams as shown.
    pub sipped_g: f64,
    /// How often something was said of what was never captured.
    pub unheard: usize,
}

/// Does all of `moves` on a bench with a station that captures, showing every moment.
///
/// # Errors
/// A sheet that cannot be read.
pub fn improvise<'s>(
    table: &Table,
    sheet: Sheet<'s>,
    setup: &SessionSetup,
    moves: &[Free],
    show: impl FnMut(&Moment<'s>, &[Captured]),
) -> Result<Truth, SheetError> {
    let (bar, rig) = rig(table, sheet, setup, Mode::Develop)?;
    let mut free = Improviser {
        capture: Capture::begin(Instant::ZERO, &rig.station),
        heard: Vec::new(),
        rig,
        bar,
        draws: Draws::new(setup.seed, Process::Fetch, 9_999),
        vessel: None,
        truth: Truth::default(),
        show,
    };
    free.pass(READY_US as f64 * 1e-6);
    for one in moves {
        free.act(*one);
    }
    free.pass(7.0);
    Ok(free.truth)
}

struct Improviser<'s, F> {
    rig: Lockstep<'s>,
    capture: Capture,
    /// Told with the next moment.
    heard: Vec<Captured>,
    bar: Vec<BarBottle>,
    draws: Draws,
    vessel: Option<VesselRef>,
    truth: Truth,
    show: F,
}

impl<'s, F: FnMut(&Moment<'s>, &[Captured])> Improviser<'s, F> {
    fn pass(&mut self, seconds: f64) {
        let until_us = self.rig.now_us() + micros(seconds);
        while let Some(moment) = self.rig.step(Some(until_us)) {
            let (pan, _) = self.rig.station.weight();
            let mut entries = std::mem::take(&mut self.heard);
            entries.extend(self.capture.take(moment.at, &moment.outputs, pan));
            (self.show)(&moment, &entries);
        }
    }

    fn say(&mut self, said: Said) {
        match self.capture.hear(said) {
            Some(entries) => self.heard.extend(entries),
            None => self.truth.unheard += 1,
        }
    }

    fn held_g(&self) -> f64 {
        self.vessel
            .map_or(0.0, |vessel| self.rig.bench.contents_shown_g(vessel))
    }

    fn act(&mut self, one: Free) {
        match one {
            Free::Place(kind) => {
                let vessel = self.rig.bench.take_vessel(kind);
                self.vessel = Some(vessel);
                self.rig.bench.place(vessel);
                self.pass(2.0);
            }
            Free::Pour(id, ml, naming) => self.named(id, naming, |free| free.pour(id, ml)),
            Free::Ice(grams) => {
                let mut left_g = grams;
                while left_g > 0.0 {
                    let cube_g = self.rig.bench.usual_cube_g();
                    self.rig.bench.drop_ice(cube_g);
                    left_g -= cube_g;
                    self.pass(0.8);
                }
                self.pass(1.5);
            }
            Free::Stir(seconds) => {
                self.lift();
                if let Some(vessel) = self.vessel {
                    let held = self.rig.bench.held(vessel);
                    let melted = melted_g(&held, Chilling::Stirred, seconds, &mut self.draws);
                    self.rig.bench.melt(vessel, melted);
                }
                self.pass(seconds);
                self.put_back();
            }
            Free::Sip(grams) => {
                self.lift();
                if let Some(vessel) = self.vessel {
                    let before_g = self.held_g();
                    let contents = self.rig.bench.contents(vessel);
                    let liquid_g: f64 = contents.iter().map(|(_, part)| part).sum();
                    let _ = self
                        .rig
                        .bench
                        .strain_from(vessel, (liquid_g - grams).max(0.0));
                    self.truth.sipped_g += before_g - self.held_g();
                }
                self.pass(3.0);
                self.put_back();
            }
            Free::Strain(kind) => self.strain(kind),
            Free::Say(said) => self.say(said),
        }
    }

    fn lift(&mut self) {
        self.rig.bench.lift();
        self.pass(1.0);
    }

    fn put_back(&mut self) {
        if let Some(vessel) = self.vessel {
            self.rig.bench.place(vessel);
        }
        self.pass(2.0);
    }

    fn named(&mut self, id: LiquidId, naming: Naming, pour: impl FnOnce(&mut Self)) {
        if naming == Naming::Before {
            self.say(Said::Name(Which::Next, id));
        }
        let before_g = self.held_g();
        pour(self);
        self.pass(6.5);
        self.truth.landed_g.push((id, self.held_g() - before_g));
        if naming == Naming::After {
            self.say(Said::Name(Which::Last, id));
        }
        self.pass(0.5);
    }

    /// Until it looks right.
    fn pour(&mut self, id: LiquidId, ml: f64) {
        let place = usize::from(id.0);
        let Some(bottle) = self.bar.get(place).cloned() else {
            return;
        };
        let meant_g = ml * bottle.liquid.density_g_ml * (1.0 + BY_FEEL * self.draws.normal());
        let enough_g = self.held_g() + meant_g;
        self.rig.bench.tilt(LiquidRef(place), bottle.flow_ml_s);
        let give_up_us = self.rig.now_us() + micros(LONGEST_POUR_S);
        while self.held_g() < enough_g && self.rig.now_us() < give_up_us {
            self.pass(0.02);
        }
        self.rig.bench.tilt_back();
    }

    fn strain(&mut self, kind: Vessel) {
        let Some(source) = self.vessel else {
            return;
        };
        self.lift();
        let glass = self.rig.bench.take_vessel(kind);
        self.vessel = Some(glass);
        self.rig.bench.place(glass);
        self.pass(2.0);
        let hold_up_g = self.draws.between(HOLD_UP_G.0, HOLD_UP_G.1);
        let (mixture, grams) = self.rig.bench.strain_from(source, hold_up_g);
        let draw = self
            .rig
            .bench
            .next_pour(mixture, super::doing::STRAINED_ML_S);
        self.rig.bench.tilt_drawn(mixture, draw, grams);
        while !self.rig.bench.bottle_is_empty() {
            self.pass(0.05);
        }
        self.rig.bench.tilt_back();
        self.pass(7.0);
    }
}
