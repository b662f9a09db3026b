//! One drink under way.

use crate::limits::{FINISH_S, ICE_APART_S, ICE_QUIET_S, NOTE_S};
use crate::output::{Fault, Outputs, PourRecord, StepBegun};
use crate::pour::Crew;
use crate::spec::{Drink, DrinkId, Sheet, SheetError, Step};
use crate::time::Instant;
use crate::units::Grams;
use crate::view::{Next, Work};
use crate::weigh::pan::{Expectation, PanEvents};
use crate::weigh::settle::{Body, Settling};

use super::away::next_second;
use super::step::{self, Open, PourStep};
use super::strain::Strained;
use super::tally::Tally;

/// Where a drink stands.
#[derive(Clone, Copy, Debug)]
pub(super) enum Phase {
    /// The vessel is awaited.
    Vessel,
    /// The open step is worked on, the vessel on the pan.
    Working,
    /// The vessel was lifted in the middle of a step and is expected back.
    Astray,
    /// The vessel is away to be stirred or shaken.
    Away {
        work: Work,
        since: Instant,
        seconds: u8,
    },
    /// The served glass is awaited.
    Glass,
    /// Liquid is strained into the served glass.
    Straining(Strained),
    /// Everything is in; late drips may follow.
    Finishing {
        until: Instant,
        strained: Option<Strained>,
    },
    /// Recorded; the glass still stands there.
    Done,
    /// Recorded and taken away.
    Over,
}

/// One drink under way.
#[derive(Debug)]
pub struct Build<'s> {
    pub(super) sheet: Sheet<'s>,
    pub(super) id: DrinkId,
    pub(super) drink: Drink<'s>,
    pub(super) number: u8,
    pub(super) open: Option<Open<'s>>,
    pub(super) next: Next<'s>,
    pub(super) note: Option<(&'s str, Instant)>,
    pub(super) notice: Option<(PourStep<'s>, Instant)>,
    pub(super) closing: Option<PourStep<'s>>,
    /// Taken as done without having been seen, and to be recorded.
    pub(super) assumed: Option<PourRecord>,
    /// The glass has left the pan for good.
    pub(super) gone: bool,
    ice_ready: Option<Instant>,
    pub(super) iced: Option<Instant>,
    pub(super) tally: Tally,
    pub(super) phase: Phase,
    /// What the pan carried before the vessel was lifted.
    pub(super) gross: Grams,
}

impl<'s> Build<'s> {
    /// Starts a drink; with `loaded`, what stands on the pan is its vessel.
    ///
    /// # Errors
    /// [`SheetError`] when the sheet does not hold the drink.
    pub fn new(sheet: Sheet<'s>, id: DrinkId) -> Result<Self, SheetError> {
        Ok(Self {
            sheet,
            id,
            drink: sheet.drink(id)?,
            number: 0,
            open: None,
            next: Next::Nothing,
            note: None,
            notice: None,
            closing: None,
            assumed: None,
            gone: false,
            ice_ready: None,
            iced: None,
            tally: Tally::EMPTY,
            phase: Phase::Vessel,
            gross: Grams::ZERO,
        })
    }

    /// The drink is recorded and its glass gone.
    #[must_use]
    pub fn is_over(&self) -> bool {
        matches!(self.phase, Phase::Over)
    }

    /// What the pan is to expect.
    #[must_use]
    pub fn expectation(&self) -> Expectation {
        match &self.open {
            Some(Open::Pour(step)) => Expectation {
                passes: self.passes(step),
                ..step.pour.expectation()
            },
            Some(Open::Ice { .. } | Open::Work { .. } | Open::Strain) | None => Expectation {
                body: Body::Thin,
                stopping: true,
                passes: None,
                at_once: false,
            },
        }
    }

    /// Progress of the ramp, while it runs.
    #[must_use]
    pub fn ramp(&self) -> Option<f32> {
        match &self.open {
            Some(Open::Pour(step)) => step.pour.control().and_then(|control| control.ramp()),
            Some(Open::Ice { .. } | Open::Work { .. } | Open::Strain) | None => None,
        }
    }

    /// When [`Build::tick`] is due.
    #[must_use]
    pub fn deadline(&self, now: Instant) -> Option<Instant> {
        let pour = match &self.open {
            Some(Open::Pour(step)) => step.pour.deadline(),
            Some(Open::Ice { .. } | Open::Work { .. } | Open::Strain) | None => None,
        };
        let phase = match self.phase {
            // The panel counts whole seconds.
            Phase::Away { since, .. } => next_second(since, now),
            Phase::Finishing { until, .. } => Some(until),
            Phase::Vessel
            | Phase::Working
            | Phase::Astray
            | Phase::Glass
            | Phase::Straining(_)
            | Phase::Done
            | Phase::Over => None,
        };
        let note = self.note.map(|(_, until)| until);
        let notice = self.notice.as_ref().map(|(_, until)| *until);
        [phase, note, notice, self.ice_ready]
            .into_iter()
            .fold(pour, Instant::sooner)
    }

    /// What stands on the pan is the vessel.
    pub fn adopt(&mut self, now: Instant, crew: &mut Crew, out: &mut Outputs) {
        if matches!(self.phase, Phase::Vessel) {
            self.phase = Phase::Working;
            self.open_step(now, crew, out);
        }
    }

    /// Takes what the pan told; `gross` is what it carried before.
    pub fn take(
        &mut self,
        now: Instant,
        events: &PanEvents,
        gross: Grams,
        crew: &mut Crew,
        out: &mut Outputs,
    ) {
        // What settles after the next step has opened is the pour before it.
        let settled_before = self.closing.is_some();
        let steady = matches!(events.settling, Some(Settling::Steady(_)));
        self.late(now, events, crew, out);
        let of_this_step;
        let events = if settled_before {
            of_this_step = PanEvents {
                settling: None,
                removed: None,
                ..*events
            };
            &of_this_step
        } else {
            events
        };
        match self.phase {
            Phase::Vessel => {
                if events.placed.is_some() {
                    self.adopt(now, crew, out);
                }
            }
            Phase::Working => self.work(now, events, gross, crew, out),
            Phase::Astray => {
                if let Some(placed) = events.placed {
                    self.phase = Phase::Working;
                    self.reweigh(placed);
                }
            }
            Phase::Away { .. } => {
                if let Some(placed) = events.placed {
                    self.come_back(now, placed, crew, out);
                }
            }
            Phase::Glass => {
                if let Some(placed) = events.placed
                    && !self.is_same(placed)
                {
                    self.phase = Phase::Straining(Strained::default());
                }
            }
            Phase::Straining(strained) => {
                self.strain(strained, now, events, crew, out);
                if events.lifted && matches!(self.phase, Phase::Working) {
                    self.leave(now, gross, crew, out);
                }
                self.finishing(steady, events, crew, out);
            }
            Phase::Finishing { strained, .. } => {
                if let Some(strained) = strained
                    && (events.pour_started || events.settling.is_some())
                {
                    self.strain(strained, now, events, crew, out);
                }
                self.finishing(steady, events, crew, out);
            }
            Phase::Done => {
                if events.lifted {
                    self.phase = Phase::Over;
                }
            }
            Phase::Over => {}
        }
        self.tick(now, crew, out);
    }

    /// Does what time alone brings.
    pub fn tick(&mut self, now: Instant, crew: &mut Crew, out: &mut Outputs) {
        if self.note.is_some_and(|(_, until)| until <= now) {
            self.note = None;
        }
        if let Some((_, until)) = &self.notice
            && *until <= now
        {
            self.notice = None;
        }
        if let Some(Open::Pour(step)) = &mut self.open {
            step.pour.tick(now, out);
        }
        if self.ice_ready.is_some_and(|ready| ready <= now) {
            self.advance(now, crew, out);
        }
        if let Phase::Finishing { until, .. } = self.phase
            && until <= now
        {
            self.finish(crew, out);
        }
        self.record_assumed(out);
    }

    /// Leaves the open step as it stands.
    pub fn skip(&mut self, now: Instant, crew: &mut Crew, out: &mut Outputs) {
        match self.phase {
            Phase::Vessel | Phase::Astray | Phase::Straining(_) | Phase::Finishing { .. } => {
                self.finish(crew, out);
            }
            Phase::Working => {
                if let Some(Open::Pour(step)) = self.open
                    && step.pour.has_begun()
                {
                    self.record_closing(crew, out);
                    self.closing = Some(step);
                }
                self.advance(now, crew, out);
            }
            Phase::Away { .. } => {
                self.phase = Phase::Working;
                self.advance(now, crew, out);
            }
            Phase::Glass => self.finish(crew, out),
            Phase::Done => self.phase = Phase::Over,
            Phase::Over => {}
        }
    }

    /// Late drips and returns belong to the pour before, until the next thing happens.
    pub(super) fn late(
        &mut self,
        now: Instant,
        events: &PanEvents,
        crew: &mut Crew,
        out: &mut Outputs,
    ) {
        if let Some(step) = &mut self.closing {
            if let Some(grams) = events.removed {
                step.pour.take_back(grams, out);
            }
            if events.settling.is_some() {
                let settling = PanEvents {
                    settling: events.settling,
                    ..PanEvents::default()
                };
                step.pour.take(now, &settling, crew, out);
            }
        }
        let steady = matches!(events.settling, Some(Settling::Steady(_)));
        let next = events.pour_started || events.added.is_some() || events.placed.is_some();
        if next || events.lifted {
            self.notice = None;
            self.note = None;
        }
        if next || events.lifted || steady {
            self.record_closing(crew, out);
        }
    }

    pub(super) fn record_closing(&mut self, crew: &mut Crew, out: &mut Outputs) {
        if let Some(mut step) = self.closing.take() {
            step.pour.close(crew, out);
            let record = step.record();
            self.tally.pour(&step.composition, record.poured);
            out.poured = Some(record);
        }
    }

    pub(super) fn work(
        &mut self,
        now: Instant,
        events: &PanEvents,
        gross: Grams,
        crew: &mut Crew,
        out: &mut Outputs,
    ) {
        if events.lifted {
            self.leave(now, gross, crew, out);
            return;
        }
        if self.is_unseen() {
            if events.pour_started || events.added.is_some() {
                self.assume(now, crew, out);
                self.work(now, events, gross, crew, out);
            }
            return;
        }
        match &mut self.open {
            Some(Open::Pour(_)) if events.pour_started && events.settling.is_some() => {
                self.pass_on(now, events, gross, crew, out);
            }
            Some(Open::Pour(step)) => {
                if let Some(pouring) = &events.pouring
                    && let Some(count) = &mut step.count
                {
                    count.seen.follow(pouring.jerk);
                }
                if events.added.is_some()
                    && let Some(count) = &mut step.count
                {
                    count.seen.tipped();
                }
                step.pour.take(now, events, crew, out);
                self.close_pour(now, events, crew, out);
            }
            Some(Open::Ice { so_far, low_g, .. }) => {
                let low = f32::from(*low_g);
                let apart = |last| now.seconds_since(last) >= ICE_APART_S;
                if events.pour_started && so_far.0 >= 0.5 * low && self.iced.is_none_or(apart) {
                    // The next thing: ice is in.
                    self.advance(now, crew, out);
                    self.work(now, events, gross, crew, out);
                    return;
                }
                let landed = match events.settling {
                    Some(Settling::Landed(settled)) => Some(settled.mass),
                    _ => None,
                };
                if let Some(grams) = events.added.or(landed) {
                    *so_far += grams;
                    self.iced = Some(now);
                    if so_far.0 >= low {
                        self.ice_ready = Some(now.offset(ICE_QUIET_S));
                    }
                } else if let Some(grams) = events.removed {
                    *so_far -= grams;
                } else if events.moving && self.ice_ready.is_some() {
                    // One more cube is on its way.
                    self.ice_ready = Some(now.offset(ICE_QUIET_S));
                }
            }
            Some(Open::Work { .. } | Open::Strain) | None => {}
        }
    }

    pub(super) fn advance(&mut self, now: Instant, crew: &mut Crew, out: &mut Outputs) {
        self.ice_ready = None;
        self.open = None;
        self.number = self.number.saturating_add(1);
        self.open_step(now, crew, out);
    }

    /// Opens the step at `number`, passing notes; without one the drink is finishing.
    pub(super) fn open_step(&mut self, now: Instant, crew: &mut Crew, out: &mut Outputs) {
        while self.number < self.drink.steps {
            match step::open(&self.sheet, self.id, self.number, crew) {
                Ok(Err(text)) => {
                    self.note = Some((text, now.offset(NOTE_S)));
                    self.number = self.number.saturating_add(1);
                }
                Ok(Ok(open)) => {
                    let target = match &open {
                        Open::Pour(step) => Some(step.pour.judge().target),
                        Open::Ice { .. } | Open::Work { .. } | Open::Strain => None,
                    };
                    out.step = Some(StepBegun {
                        drink: self.id,
                        step: self.number,
                        target,
                    });
                    if matches!((&open, &self.phase), (Open::Strain, Phase::Working)) {
                        self.phase = Phase::Glass;
                    }
                    self.open = Some(open);
                    self.next = self.look_ahead();
                    return;
                }
                Err(_) => {
                    out.fault = Some(Fault::Sheet);
                    self.number = self.drink.steps;
                }
            }
        }
        self.next = Next::Nothing;
        self.phase = Phase::Finishing {
            until: now.offset(FINISH_S),
            strained: None,
        };
    }

    fn look_ahead(&self) -> Next<'s> {
        let mut number = self.number;
        loop {
            number = number.saturating_add(1);
            if number >= self.drink.steps {
                return Next::Nothing;
            }
            let Ok(step) = self.sheet.step(self.id, number) else {
                return Next::Nothing;
            };
            return match step {
                Step::Pour { liquid, .. }
                | Step::Dash { liquid, .. }
                | Step::Barspoon { liquid, .. }
                | Step::Whole { liquid, .. }
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

    pub(super) fn finish(&mut self, crew: &mut Crew, out: &mut Outputs) {
        self.record_closing(crew, out);
        self.record_assumed(out);
        if self.assumed.is_some() {
            // One record a call: this one and the drink itself come with the next.
            self.phase = Phase::Finishing {
                until: Instant::ZERO,
                strained: None,
            };
            return;
        }
        self.complete(out);
    }

    fn complete(&mut self, out: &mut Outputs) {
        self.open = None;
        self.phase = if self.gone { Phase::Over } else { Phase::Done };
        out.done = Some(self.tally.record(self.id));
    }
}
