//! From one step to the next, and to the end.

use crate::limits::{FINISH_S, NOTE_S};
use crate::output::{Fault, Outputs, StepBegun};
use crate::spec::Step;
use crate::time::Instant;
use crate::view::{Next, Work};

use super::drink::{Build, Held, Phase};
use super::step::{self, Open};
use super::turn::Turn;

/// What was found where a step was to be opened.
pub(super) enum Opened<'s> {
    /// A step, and it is open.
    Step,
    /// A note, to be passed.
    Note(&'s str),
    /// Nothing that can be read.
    Nothing,
}

impl<'s> Build<'s> {
    pub(super) fn advance(&mut self, turn: &mut Turn<'_>) {
        self.ice_ready = None;
        self.opened = turn.now;
        self.open = None;
        if self.held.mending.is_some() {
            if self.open_missing(turn) {
                return;
            }
        } else {
            self.held.number = self.held.number.saturating_add(1);
        }
        self.open_step(turn);
    }

    /// Opens the step at `number`, passing notes; without one the drink is finishing.
    pub(super) fn open_step(&mut self, turn: &mut Turn<'_>) {
        while self.held.number < self.drink.steps {
            match self.open_here(turn) {
                Opened::Step => return,
                Opened::Note(text) => {
                    self.note = Some((text, turn.now.offset(NOTE_S)));
                    self.held.number = self.held.number.saturating_add(1);
                }
                Opened::Nothing => {
                    turn.out.fault = Some(Fault::Sheet);
                    self.held.number = self.drink.steps;
                }
            }
        }
        self.next = Next::Nothing;
        self.held.phase = Phase::Finishing {
            until: turn.now.offset(FINISH_S),
            strained: None,
        };
    }

    /// Opens the step at `number`, if it is one.
    pub(super) fn open_here(&mut self, turn: &mut Turn<'_>) -> Opened<'s> {
        let Held {
            id,
            number,
            portion,
            ..
        } = self.held;
        match step::open(&self.sheet, id, number, portion, turn.crew) {
            Ok(Ok(open)) => {
                self.learn_band(turn.crew);
                self.begin(open, turn.out);
                Opened::Step
            }
            Ok(Err(text)) => Opened::Note(text),
            Err(_) => Opened::Nothing,
        }
    }

    /// What is to be done now.
    pub(super) fn begin(&mut self, open: Open<'s>, out: &mut Outputs) {
        let target = match &open {
            Open::Pour(step) => Some(step.pour.judge().target),
            Open::Ice { .. } | Open::Work { .. } | Open::Strain => None,
        };
        out.step = Some(StepBegun {
            drink: self.held.id,
            step: self.held.number,
            target,
        });
        if matches!((&open, &self.held.phase), (Open::Strain, Phase::Working)) {
            self.held.phase = Phase::Glass;
        }
        self.open = Some(open);
        self.next = self.look_ahead();
    }

    pub(super) fn look_ahead(&self) -> Next<'s> {
        let mut number = self.held.number;
        loop {
            number = number.saturating_add(1);
            if number >= self.drink.steps {
                return Next::Nothing;
            }
            let Ok(step) = self.sheet.step(self.held.id, number) else {
                return Next::Nothing;
            };
            return match step {
                Step::Pour { liquid, .. }
                | Step::Dash { liquid, .. }
                | Step::Barspoon { liquid, .. }
                | Step::Whole { liquid, .. }
                | Step::Rinse { liquid }
                | Step::Soda { liquid, .. } => self
                    .sheet
                    .liquid(liquid)
                    .map_or(Next::Nothing, |liquid| Next::Liquid(liquid.name)),
                Step::Ice { .. } => Next::Ice,
                Step::Stir { .. } => Next::Work(Work::Stir),
                Step::Shake { .. } => Next::Work(Work::Shake),
                Step::Strain => Next::Strain(self.drink.glass),
                Step::Note { .. } => continue,
            };
        }
    }

    pub(super) fn finish(&mut self, turn: &mut Turn<'_>) {
        self.record_closing(turn);
        self.record_assumed(turn.out);
        if self.assumed.is_some() {
            // One record a call: this one and the drink itself come with the next.
            self.held.phase = Phase::Finishing {
                until: Instant::ZERO,
                strained: None,
            };
            return;
        }
        self.complete(turn);
    }

    fn complete(&mut self, turn: &mut Turn<'_>) {
        self.open = None;
        turn.out.done = Some(self.held.tally.record(self.held.id));
        let more = self.next_glass();
        self.held.phase = match (core::mem::take(&mut self.gone), more) {
            (true, true) => Phase::Glass,
            (true, false) => self.after_last_glass(turn),
            (false, _) => Phase::Done,
        };
    }

    /// The finished glass has gone: over, or the next one of the same vessel.
    pub(super) fn after_glass(&self, turn: &Turn<'_>) -> Phase {
        if matches!(self.open, Some(Open::Strain)) {
            Phase::Glass
        } else {
            self.after_last_glass(turn)
        }
    }
}
