//! A station, a bench and a bartender, played against each other.
//!
//! [`Session`] is an iterator over [`Moment`]s: each is one input of the station with what it
//! answered. The bartender knows the order and then only what panel, light and sounder offer.
//! The round ends when the last glass was taken away, or when nothing has moved on for so long
//! that a person would give up.

mod bar;
mod bartender;
mod batch;
mod doing;
mod free;
mod lockstep;
mod panel_says;

use std::collections::VecDeque;

use pennyweight_core::pour::Habits;
use pennyweight_core::spec::{DrinkId, Sheet, SheetError};
use pennyweight_core::units::Millilitres;
use pennyweight_core::{Command, Mode, Station};

pub use bar::{BarBottle, bar_of};
pub use bartender::Bartender;
pub use free::{Free, Naming, Truth, improvise};
pub use lockstep::{Lockstep, Moment, setup_for};

use crate::plant::{Bench, BenchSetup, Held, Hidden, Surroundings, Table, VesselRef};

/// What is played.
#[derive(Clone, Debug, PartialEq)]
pub struct SessionSetup {
    /// Drinks to make, in their order.
    pub orders: Vec<DrinkId>,
    /// The way of working.
    pub mode: Mode,
    /// Nominal conversions per second.
    pub sps: f64,
    /// Everything random follows from it.
    pub seed: u64,
    /// The sounder can be heard.
    pub sound: bool,
    /// How lively the bar is.
    pub surroundings: Surroundings,
    /// Factors on hidden parameters.
    pub hidden: Hidden,
    /// So much of everything strained runs down outside, grams.
    pub spills_g: f64,
    /// The first of the drinks is a batch of this name, which the others are poured from.
    pub batch: Option<String>,
    /// What every strained glass is to hold, millilitres.
    pub serve_ml: Option<f32>,
    /// A person gives up when the round has not moved on for so long, seconds.
    pub patience_s: f64,
}

impl SessionSetup {
    /// A usual evening at 80 conversions a second.
    #[must_use]
    pub fn new(orders: Vec<DrinkId>, seed: u64) -> Self {
        Self {
            orders,
            mode: Mode::Service,
            sps: 80.0,
            seed,
            sound: true,
            surroundings: Surroundings::Usual,
            hidden: Hidden::default(),
            spills_g: 0.0,
            batch: None,
            serve_ml: None,
            patience_s: 90.0,
        }
    }
}

/// How a session stands.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Outcome {
    /// It is being played.
    Playing,
    /// Every drink was made.
    Finished,
    /// Nothing moved on for too long; so many drinks were made.
    GivenUp {
        /// Drinks made.
        made: usize,
    },
}

/// A round being played.
pub struct Session<'s> {
    rig: Lockstep<'s>,
    bartender: Bartender<'s>,
    commands: VecDeque<Command>,
    ordered: usize,
    made: usize,
    patience_us: u64,
    moved_on_us: u64,
    outcome: Outcome,
}

/// The scale sees its empty pan for so long before the round is ordered, microseconds.
const READY_US: u64 = 1_500_000;

/// More than this in the air at once is no drip, grams.
const STREAM_G: f64 = 0.3;

/// The bottles of a sheet, and a bench with a station that works from it.
fn rig<'s>(
    table: &Table,
    sheet: Sheet<'s>,
    setup: &SessionSetup,
    mode: Mode,
) -> Result<(Vec<BarBottle>, Lockstep<'s>), SheetError> {
    let bar = bar_of(&sheet, table, setup.seed)?;
    let liquids = bar.iter().map(|bottle| bottle.liquid.clone()).collect();
    let mut bench_setup = BenchSetup::new(setup.sps, setup.seed, liquids);
    bench_setup.surroundings = setup.surroundings;
    bench_setup.hidden = setup.hidden;
    let bench = Bench::new(table, bench_setup);
    let mut station = Station::new(setup_for(&bench, mode));
    station.load(sheet);
    Ok((bar, Lockstep::new(bench, station)))
}

impl<'s> Session<'s> {
    /// Sets a bar up.
    ///
    /// # Errors
    /// A sheet that cannot be read.
    pub fn new(table: &Table, sheet: Sheet<'s>, setup: &SessionSetup) -> Result<Self, SheetError> {
        let (bar, rig) = rig(table, sheet, setup, setup.mode)?;
        let hand_table = setup.hidden.applied(table);
        let mut bartender = Bartender::new(hand_table, bar, setup.seed, setup.sound)
            .weighing_back(setup.mode == Mode::Develop, setup.spills_g);
        if let Some(name) = &setup.batch {
            bartender.make_ahead(name.clone());
        }
        let serve = setup.serve_ml.map(|ml| Command::Serve(Millilitres(ml)));
        let orders = setup.orders.iter().copied().map(Command::Order);
        Ok(Self {
            rig,
            bartender,
            commands: serve.into_iter().chain(orders).collect(),
            ordered: setup.orders.len(),
            made: 0,
            patience_us: (setup.patience_s * 1e6) as u64,
            moved_on_us: 0,
            outcome: Outcome::Playing,
        })
    }

    /// How it stands.
    #[must_use]
    pub fn outcome(&self) -> Outcome {
        self.outcome
    }

    /// What the hands have taught the station.
    #[must_use]
    pub fn habits(&self) -> &Habits {
        self.rig.station.habits()
    }

    /// The bench, for its truths.
    #[must_use]
    pub fn bench(&self) -> &Bench {
        &self.rig.bench
    }

    /// The served glasses and what they truly hold, in the order in which they were served.
    #[must_use]
    pub fn served(&self) -> Vec<(VesselRef, Held)> {
        let served = self.bartender.served().iter();
        served
            .map(|&glass| (glass, self.rig.bench.held(glass)))
            .collect()
    }

    /// What truly landed in each pour, dash, spoon or piece, by the liquid's name, grams as
    /// shown, in their order.
    #[must_use]
    pub fn landed(&self) -> &[(String, f64)] {
        self.bartender.landed()
    }

    fn take_note(&mut self, moment: &Moment<'s>) {
        let now_us = moment.at.micros();
        let outputs = &moment.outputs;
        if outputs.done.is_some() {
            self.made += 1;
        }
        let moves_on = outputs.step.is_some()
            || outputs.poured.is_some()
            || outputs.done.is_some()
            || outputs.placed.is_some()
            || outputs.lifted
            // A jug takes minutes to fill.
            || self.rig.bench.in_air_g() > STREAM_G;
        if moves_on {
            self.moved_on_us = now_us;
        }
        if self.made >= self.ordered && self.bartender.is_at_rest(&self.rig.bench) {
            self.outcome = Outcome::Finished;
        } else if now_us > self.moved_on_us + self.patience_us {
            self.outcome = Outcome::GivenUp { made: self.made };
        }
    }
}

impl<'s> Iterator for Session<'s> {
    type Item = Moment<'s>;

    fn next(&mut self) -> Option<Moment<'s>> {
        while self.outcome == Outcome::Playing {
            if self.rig.now_us() >= READY_US
                && let Some(command) = self.commands.pop_front()
            {
                self.moved_on_us = self.rig.now_us();
                return Some(self.rig.command(command));
            }
            let action_us = self.bartender.next_us();
            match self.rig.step(action_us) {
                Some(moment) => {
                    let now_us = moment.at.micros();
                    self.bartender
                        .observe(now_us, &moment.outputs, &moment.view, &self.rig.bench);
                    self.take_note(&moment);
                    return Some(moment);
                }
                None => self.bartender.act(self.rig.now_us(), &mut self.rig.bench),
            }
        }
        None
    }
}
