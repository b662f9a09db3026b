//! One drink under way.

use crate::input::Mode;
use crate::limits::{JOLT_S, KEPT_AFTER_G, SERVICE_BAND};
use crate::output::PourRecord;
use crate::spec::{Drink, DrinkId, Reading, Sheet};
use crate::time::Instant;
use crate::units::Grams;
use crate::view::{Next, Work};
use crate::weigh::pan::{Expectation, PanEvents};
use crate::weigh::settle::{Body, Settling};

use super::away::next_second;
use super::back::Back;
use super::fixing::{Kept, MENDED, Mending};
use super::step::{Open, Portion, PourStep};
use super::strain::Strained;
use super::tally::Tally;
use super::turn::Turn;

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
    /// Recorded and taken away; what stayed behind may be weighed.
    Back(Back),
    /// Recorded and taken away.
    Over,
}

/// An over-pour that is told.
#[derive(Clone, Copy, Debug)]
pub(super) struct Notice<'s> {
    pub(super) liquid: &'s str,
    pub(super) error: Reading,
    pub(super) until: Instant,
    /// A press takes up the fix.
    pub(super) fix: bool,
}

/// What of a drink cannot be read from the sheet again.
#[derive(Clone, Copy, Debug)]
pub(super) struct Held {
    pub(super) id: DrinkId,
    /// Under which it was begun.
    pub(super) order: u16,
    pub(super) number: u8,
    pub(super) iced: Option<Instant>,
    pub(super) tally: Tally,
    /// What is in of each step.
    pub(super) kept: [Kept; MENDED],
    pub(super) portion: Portion,
    /// Earlier steps are filled up after an over-pour.
    pub(super) mending: Option<Mending>,
    /// Glasses of it that are done.
    pub(super) served: u8,
    /// What the first of several glasses holds.
    pub(super) first_served: Option<Grams>,
    /// When the vessel left the pan.
    pub(super) left: Instant,
    /// That its time is up has been told.
    pub(super) reminded: bool,
    /// What the pan carried before the vessel was lifted.
    pub(super) gross: Grams,
    /// What the pan carried before the served glass was set down: puddles.
    pub(super) bare: Grams,
    pub(super) phase: Phase,
}

/// One drink under way.
#[derive(Debug)]
pub struct Build<'s> {
    /// What is kept of it while its vessel is away.
    pub(super) held: Held,
    pub(super) sheet: Sheet<'s>,
    pub(super) drink: Drink<'s>,
    pub(super) open: Option<Open<'s>>,
    pub(super) next: Next<'s>,
    pub(super) note: Option<(&'s str, Instant)>,
    pub(super) notice: Option<Notice<'s>>,
    pub(super) closing: Option<PourStep<'s>>,
    /// Nothing more will be told of it, unless something is tipped back out.
    pub(super) closed_steady: bool,
    /// Taken as done without having been seen, and to be recorded.
    pub(super) assumed: Option<PourRecord>,
    /// The glass has left the pan for good.
    pub(super) gone: bool,
    pub(super) ice_ready: Option<Instant>,
    /// When the open step was opened.
    pub(super) opened: Instant,
    /// How pours are judged: at max(ml, share).
    pub(super) band: (f32, f32),
    /// The only liquid is being tipped back out.
    pub(super) tipping: bool,
    /// A pour by loss in weight is done: what is set down next is another bottle.
    pub(super) changes_bottle: bool,
    /// It is to be started again once the vessel is gone.
    pub(super) again: bool,
}

impl<'s> Build<'s> {
    /// A drink that has not been begun, so many glasses of it in one vessel; `drink` is what the
    /// sheet says of `id`.
    #[must_use]
    pub const fn new(sheet: Sheet<'s>, id: DrinkId, drink: Drink<'s>, glasses: u8) -> Self {
        Self {
            held: Held {
                id,
                order: 0,
                number: 0,
                iced: None,
                tally: Tally::EMPTY,
                kept: [Kept::NONE; MENDED],
                portion: Portion {
                    growth: 1.0,
                    glasses,
                },
                mending: None,
                served: 0,
                first_served: None,
                left: Instant::ZERO,
                reminded: false,
                gross: Grams::ZERO,
                bare: Grams::ZERO,
                phase: Phase::Vessel,
            },
            sheet,
            drink,
            open: None,
            next: Next::Nothing,
            note: None,
            notice: None,
            closing: None,
            closed_steady: false,
            assumed: None,
            gone: false,
            ice_ready: None,
            opened: Instant::ZERO,
            band: SERVICE_BAND,
            tipping: false,
            changes_bottle: false,
            again: false,
        }
    }

    /// The drink is recorded and its glass gone.
    #[must_use]
    pub fn is_over(&self) -> bool {
        matches!(self.held.phase, Phase::Over)
    }

    /// The drink is recorded, its glass perhaps not gone.
    #[must_use]
    pub fn is_done(&self) -> bool {
        matches!(self.held.phase, Phase::Done | Phase::Back(_) | Phase::Over)
    }

    /// Its vessel is awaited.
    #[must_use]
    pub fn is_awaited(&self) -> bool {
        matches!(self.held.phase, Phase::Vessel)
    }

    /// How many glasses of it are to be built, where its vessel is awaited.
    pub fn awaited_glasses(&mut self) -> Option<&mut u8> {
        self.is_awaited().then_some(&mut self.held.portion.glasses)
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
        let phase = match self.held.phase {
            // The panel counts whole seconds.
            Phase::Away { since, .. } => next_second(since, now),
            Phase::Finishing { until, .. } => Some(until),
            Phase::Back(back) => back.until(),
            Phase::Vessel
            | Phase::Working
            | Phase::Astray
            | Phase::Glass
            | Phase::Straining(_)
            | Phase::Done
            | Phase::Over => None,
        };
        let note = self.note.map(|(_, until)| until);
        let notice = self.notice.map(|notice| notice.until);
        let mut due = pour;
        for other in &[phase, note, notice, self.ice_ready] {
            due = Instant::sooner(due, *other);
        }
        due
    }

    /// What stands on the pan is the vessel.
    pub fn adopt(&mut self, turn: &mut Turn<'_>) {
        if matches!(self.held.phase, Phase::Vessel) {
            self.held.phase = Phase::Working;
            self.open_step(turn);
        }
    }

    /// Takes what the pan told; `gross` is what it carried before.
    pub fn take(&mut self, events: &PanEvents, gross: Grams, turn: &mut Turn<'_>) {
        // What settles after the next step has opened is the pour before it.
        let settled_before = self.closing.is_some() && !self.pours_in_doubt();
        let steady = matches!(events.settling, Some(Settling::Steady(_)));
        self.reopen(events, turn);
        self.late(events, turn);
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
        if events.placed.is_some() && matches!(self.held.phase, Phase::Away { .. } | Phase::Glass) {
            self.held.bare = gross;
        }
        match self.held.phase {
            Phase::Vessel => {
                if events.placed.is_some() {
                    self.adopt(turn);
                }
            }
            Phase::Working => self.work(events, gross, turn),
            Phase::Astray => {
                if let Some(placed) = events.placed {
                    if turn.crew.mode == Mode::Prep {
                        self.take_loss(placed, turn);
                        return;
                    }
                    self.held.phase = Phase::Working;
                    if self.tipping {
                        self.take_tipped(placed, turn);
                    } else if let Some(rinse) = self.rinse() {
                        self.take_rinsed(rinse, placed, turn);
                    } else {
                        self.reweigh(placed, turn.out);
                    }
                }
            }
            Phase::Away { .. } => {
                if let Some(placed) = events.placed {
                    self.come_back(placed, turn);
                }
            }
            Phase::Glass => {
                if let Some(placed) = events.placed
                    && !self.is_same(placed)
                {
                    self.start_straining(turn.crew.serve);
                }
            }
            Phase::Straining(strained) => {
                self.strain(strained, events, turn);
                if events.lifted && matches!(self.held.phase, Phase::Working) {
                    self.leave(gross, turn);
                }
                self.finishing(steady, events, turn);
            }
            Phase::Finishing { strained, .. } => {
                if let Some(strained) = strained
                    && (events.pour_started || events.settling.is_some())
                {
                    self.strain(strained, events, turn);
                }
                self.finishing(steady, events, turn);
            }
            Phase::Done => {
                if events.lifted {
                    self.held.phase = self.after_glass(turn);
                    self.start_again();
                }
            }
            Phase::Back(_) => self.weigh_back(events, gross, turn),
            Phase::Over => {}
        }
        self.tick(turn);
    }

    /// Does what time alone brings.
    pub fn tick(&mut self, turn: &mut Turn<'_>) {
        if self.note.is_some_and(|(_, until)| until <= turn.now) {
            self.note = None;
        }
        if self.notice.is_some_and(|notice| notice.until <= turn.now) {
            self.notice = None;
        }
        if self.closed_steady && self.notice.is_none() && !self.tipping {
            self.record_closing(turn);
        }
        if let Some(Open::Pour(step)) = &mut self.open {
            step.pour.tick(turn.now, turn.out);
        }
        if self.ice_ready.is_some_and(|ready| ready <= turn.now) {
            self.advance(turn);
        }
        if let Phase::Away { since, seconds, .. } = self.held.phase
            && !self.held.reminded
            && since.offset(seconds.into()) <= turn.now
        {
            self.held.reminded = true;
            turn.out.due = Some(self.held.id);
        }
        if let Phase::Finishing { until, .. } = self.held.phase
            && until <= turn.now
        {
            self.finish(turn);
        }
        if let Phase::Back(back) = self.held.phase
            && back.until().is_some_and(|until| until <= turn.now)
        {
            self.held.phase = Phase::Over;
        }
        self.record_assumed(turn.out);
    }

    /// Leaves the open step as it stands.
    pub fn skip(&mut self, turn: &mut Turn<'_>) {
        match self.held.phase {
            Phase::Vessel | Phase::Astray | Phase::Straining(_) | Phase::Finishing { .. } => {
                self.finish(turn);
            }
            Phase::Working => {
                self.close_begun(turn);
                self.advance(turn);
            }
            Phase::Away { .. } => {
                self.held.phase = Phase::Working;
                self.advance(turn);
            }
            Phase::Glass => self.finish(turn),
            Phase::Done => self.held.phase = self.after_glass(turn),
            Phase::Back(_) => self.held.phase = Phase::Over,
            Phase::Over => {}
        }
    }

    /// Late drips and returns belong to the pour before, until the next thing happens.
    pub(super) fn late(&mut self, events: &PanEvents, turn: &mut Turn<'_>) {
        let trickles = events.pour_started && self.awaits_ice(turn.now);
        let pours = self.pours_in_doubt();
        if let Some(step) = &mut self.closing
            && !pours
        {
            if let Some(grams) = events.removed {
                step.pour.take_back(grams, turn.out);
            }
            if trickles || events.settling.is_some() {
                let mut of_it = PanEvents::default();
                (of_it.pour_started, of_it.settling) = (trickles, events.settling);
                step.pour.take(turn.now, &of_it, turn.crew, turn.out);
            }
        }
        let steady = matches!(events.settling, Some(Settling::Steady(_)));
        let poured = events.pour_started && !trickles;
        let next = if self.is_in_doubt() {
            // A lift, or a hand that sways, may look like the begin of a pour: only what has come
            // in says "keep it".
            events.added.is_some() || self.pours_on(turn.now)
        } else {
            poured || events.added.is_some() || events.placed.is_some()
        };
        if next || events.lifted {
            self.notice = None;
            self.note = None;
        }
        if next {
            self.tipping = false;
        }
        if next || (!self.tipping && (events.lifted || steady)) {
            self.record_closing(turn);
        }
    }

    pub(super) fn record_closing(&mut self, turn: &mut Turn<'_>) {
        self.closed_steady = false;
        if let Some(mut step) = self.closing.take() {
            step.pour.close(turn.crew, turn.out);
            let record = step.record();
            self.keep(&step, record.poured);
            turn.out.poured = Some(record);
        }
    }

    /// The open step is a pour, and has begun.
    pub(super) fn has_begun(&self) -> bool {
        match &self.open {
            Some(Open::Pour(step)) => step.pour.has_begun(),
            Some(Open::Ice { .. } | Open::Work { .. } | Open::Strain) | None => false,
        }
    }

    /// What was poured last may go again: it is being tipped out, or it may have been a hand.
    fn is_in_doubt(&self) -> bool {
        let closing = self.closing.as_ref();
        self.tipping || closing.is_some_and(|step| step.pour.came_at_once())
    }

    /// Something flows meanwhile, or has.
    fn pours_in_doubt(&self) -> bool {
        self.is_in_doubt() && self.has_begun()
    }

    /// So much has come in of the open step that it is poured.
    fn pours_on(&self, now: Instant) -> bool {
        match &self.open {
            Some(Open::Pour(step)) => {
                step.pour.flowed_s() > JOLT_S && step.pour.mass(now).0 > KEPT_AFTER_G
            }
            Some(Open::Ice { .. } | Open::Work { .. } | Open::Strain) | None => false,
        }
    }
}
