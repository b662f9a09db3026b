//! What may not be of the drink: asked about, and answered by doing the next thing.

use crate::build::Build;
use crate::input::Mode;
use crate::limits::{LEFT_BEHIND, RESIDUE_S, SPLASH_G};
use crate::output::Settled;
use crate::spec::{Reading, Unit};
use crate::time::Instant;
use crate::units::Grams;
use crate::view::Page;
use crate::weigh::pan::{PanEvents, settled_of};

use super::{Station, Task};

/// What came and was not counted.
#[derive(Clone, Copy, Debug)]
pub(super) struct Aside {
    grams: Grams,
    /// What the pan carried without it.
    origin: Grams,
    /// Nobody has answered yet.
    asking: bool,
    /// Until when a little more or less belongs to what has gone.
    residue: Instant,
}

impl Aside {
    pub(super) const NONE: Self = Self {
        grams: Grams::ZERO,
        origin: Grams::ZERO,
        asking: false,
        residue: Instant::ZERO,
    };

    /// It has gone, and may not have gone quite.
    fn gone(now: Instant) -> Self {
        Self {
            residue: now.offset(RESIDUE_S),
            ..Self::NONE
        }
    }

    /// Nothing more comes of it without a further event.
    pub(super) const fn is_asking(&self) -> bool {
        self.asking
    }
}

impl<'s> Station<'s> {
    /// Takes out of `events` what may be no part of the drink, and asks; puts it back in when a
    /// press says that it is. Apart from what every sample passes through.
    #[cold]
    #[inline(never)]
    pub(super) fn set_aside(&mut self, events: &mut PanEvents) {
        if let Some(grams) = events.dripped {
            self.drip(grams);
        }
        if events.void {
            self.void();
            self.aside.residue = self.now.offset(RESIDUE_S);
        }
        if self.aside.asking && !events.lifted && events.placed.is_none() {
            self.answer(events);
            return;
        }
        if self.now < self.aside.residue {
            let _ = events.added.take_if(|grams| grams.0 < SPLASH_G);
            let _ = events.removed.take_if(|grams| grams.0 < SPLASH_G);
        }
        let build = self.build();
        let _ = events
            .added
            .take_if(|grams| build.is_some_and(|build| build.is_of_note(*grams)));
        let unclear = match events.placed {
            Some(placed) => self.came_back_with(placed),
            None => self.no_part(events),
        };
        let grams = self.aside.grams;
        if let Some(grams) = unclear {
            self.aside = Aside {
                grams,
                origin: self.pan.gross() - grams,
                asking: true,
                residue: self.now.offset(RESIDUE_S),
            };
        } else if let Some(removed) = events.removed
            && (removed - grams).abs().0 <= LEFT_BEHIND.0.max(LEFT_BEHIND.1 * grams.0)
            && grams.0 > SPLASH_G
        {
            events.removed = None;
            self.aside = Aside::gone(self.now);
        } else if events.lifted || events.placed.is_some() {
            self.aside = Aside::NONE;
        }
    }

    /// While the question stands, what comes and goes at once belongs to it: a push is never quite
    /// still. A pour that lands says no.
    fn answer(&mut self, events: &mut PanEvents) {
        if events.pressed {
            // It is the answer, and asks for nothing else.
            events.pressed = false;
            events.added = Some(self.aside.grams);
            self.aside = Aside::NONE;
            return;
        }
        let _ = self.no_part(events).or_else(|| self.rest_of_it(events));
        (events.added, events.removed) = (None, None);
        if events.settling.is_some() {
            self.aside.asking = false;
            return;
        }
        self.aside.grams = self.pan.gross() - self.aside.origin;
        if self.aside.grams.abs().0 < SPLASH_G {
            self.aside = Aside::gone(self.now);
        }
    }

    /// A splash that lands hard on the heels of what came at once is the rest of it.
    fn rest_of_it(&mut self, events: &mut PanEvents) -> Option<Grams> {
        let mass = settled_of(events.settling?).mass;
        if self.now >= self.aside.residue || mass.0 > SPLASH_G {
            return None;
        }
        self.forget_pour(events);
        Some(mass)
    }

    fn forget_pour(&mut self, events: &mut PanEvents) {
        self.void();
        self.pan.forget_pour();
        (events.settling, events.pouring) = (None, None);
    }

    /// What came at once and is no part of what is asked for, taken out of `events`.
    fn no_part(&mut self, events: &mut PanEvents) -> Option<Grams> {
        if events.burst
            && let Some(settling) = events.settling
            && let Settled { mass, .. } = settled_of(settling)
            && !self.may_be(mass, true)
        {
            self.forget_pour(events);
            // What lay there meanwhile is no more of it.
            events.added = None;
            return Some(mass);
        }
        events.added.take_if(|grams| !self.may_be(*grams, false))
    }

    /// What came too slowly for a pour belongs to the open step.
    pub(super) fn drip(&mut self, grams: Grams) {
        match &mut self.task {
            Task::Single {
                pour: Some(pour), ..
            } => pour.drip(grams),
            Task::Round => {
                if let Some(build) = self.round.build_mut() {
                    build.drip(grams);
                }
            }
            Task::Single { pour: None, .. } | Task::Plain | Task::Learn(_) => {}
        }
    }

    fn void(&mut self) {
        match &mut self.task {
            Task::Single {
                pour: Some(pour), ..
            } => pour.void(),
            Task::Round => {
                if let Some(build) = self.round.build_mut() {
                    build.void();
                }
            }
            Task::Single { pour: None, .. } | Task::Plain | Task::Learn(_) => {}
        }
    }

    /// The zero stays where it is while a step is open.
    pub(super) fn hold_zero(&mut self) {
        let held = match &self.task {
            Task::Plain => false,
            Task::Learn(_) => true,
            Task::Single { pour, .. } => pour.is_some(),
            Task::Round => self.round.build().is_some_and(Build::has_open_step),
        };
        self.pan.hold_zero(held || self.zero_due.is_some());
    }

    /// The question, where one is open.
    pub(super) fn question(&self) -> Option<Page<'s>> {
        let grams = self.pan.gross() - self.aside.origin;
        let asks = self.aside.asking && grams.abs().0 >= SPLASH_G && !self.pan.is_pouring();
        asks.then(|| Page::Ask {
            what: self.build().map_or("", Build::asked_for),
            grams: Reading::of_mass(grams, 1.0, Unit::Gram),
        })
    }

    fn came_back_with(&self, placed: Grams) -> Option<Grams> {
        match (&self.task, &self.sheet) {
            (Task::Round, Some(sheet)) if self.crew.mode != Mode::Prep => {
                self.round.came_back_with(placed, sheet, self.now)
            }
            (_, _) => None,
        }
    }

    fn build(&self) -> Option<&Build<'s>> {
        match &self.task {
            Task::Round => self.round.build(),
            Task::Single { .. } | Task::Plain | Task::Learn(_) => None,
        }
    }

    fn may_be(&self, grams: Grams, burst: bool) -> bool {
        match &self.task {
            Task::Single { pour, .. } => pour.as_ref().is_none_or(|pour| pour.may_be(grams, burst)),
            Task::Round => self
                .round
                .build()
                .is_none_or(|build| build.may_be(grams, burst)),
            Task::Plain | Task::Learn(_) => true,
        }
    }
}
