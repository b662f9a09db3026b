//! A drink whose vessel is away from the pan, put aside so that the next one can be built.
//!
//! Only what cannot be read from the sheet again is kept: an open step that nothing has come into
//! is opened anew.

use crate::limits::{CLOSELY_G, WORK_SHARE};
use crate::output::Outputs;
use crate::spec::{DrinkId, Sheet, Step, Vessel};
use crate::time::Instant;
use crate::units::Grams;
use crate::view::Next;

use super::drink::{Build, Held, Phase};
use super::fixing::Mending;
use super::step::Open;
use super::turn::Turn;

/// A drink put aside.
#[derive(Clone, Copy, Debug)]
pub struct Aside(pub(super) Held);

/// How well something set down fits a drink that is away.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Fit {
    /// It weighs what its vessel weighed.
    Returns,
    /// It may be the glass that it is to be strained into.
    Glass,
    /// It may be the vessel to build it in.
    Vessel,
    /// Nothing is expected yet.
    Early,
    /// It is this drink's whatever it weighs.
    Here,
}

impl Aside {
    /// The drink of the sheet.
    #[must_use]
    pub const fn drink(&self) -> DrinkId {
        self.0.id
    }

    /// The step it goes on with, where its vessel left between two.
    #[must_use]
    pub fn goes_on_at(&self) -> Option<u8> {
        let between = matches!(self.0.phase, Phase::Astray) && self.0.mending.is_none();
        between.then_some(self.0.number)
    }

    /// When its vessel left the pan; no two leave at the same time.
    #[must_use]
    pub const fn left(&self) -> Instant {
        self.0.left
    }

    /// When its time is up.
    #[must_use]
    pub fn due(&self) -> Instant {
        match self.0.phase {
            Phase::Away { since, seconds, .. } => since.offset(seconds.into()),
            Phase::Vessel
            | Phase::Working
            | Phase::Astray
            | Phase::Glass
            | Phase::Straining(_)
            | Phase::Finishing { .. }
            | Phase::Done
            | Phase::Back(_)
            | Phase::Over => self.0.left,
        }
    }

    /// When a reminder is due, until it was given.
    #[must_use]
    pub fn reminder(&self) -> Option<Instant> {
        let worked = matches!(self.0.phase, Phase::Away { .. });
        (worked && !self.0.reminded).then(|| self.due())
    }

    /// Reminds of it once its time is up.
    pub fn remind(&mut self, now: Instant, out: &mut Outputs) {
        if self.reminder().is_some_and(|due| due <= now) {
            self.0.reminded = true;
            out.due = Some(self.0.id);
        }
    }

    /// How well `placed` fits.
    #[must_use]
    pub fn fit(&self, sheet: &Sheet<'_>, placed: Grams, now: Instant) -> Fit {
        self.0.fit(sheet, true, placed, now)
    }

    /// What it is served in.
    #[must_use]
    pub fn glass(&self, sheet: &Sheet<'_>) -> Option<Vessel> {
        sheet.drink(self.0.id).ok().map(|drink| drink.glass)
    }
}

impl Held {
    /// How well `placed` fits; `suspended` when the vessel left between two steps.
    fn fit(&self, sheet: &Sheet<'_>, suspended: bool, placed: Grams, now: Instant) -> Fit {
        match self.phase {
            Phase::Vessel => Fit::Vessel,
            Phase::Astray | Phase::Away { .. } | Phase::Glass
                if super::away::weighs_the_same(placed, self.gross) =>
            {
                Fit::Returns
            }
            Phase::Astray if suspended => Fit::Early,
            // Its glass is expected once most of the time is up.
            Phase::Away { since, seconds, .. } => {
                if now.seconds_since(since) < WORK_SHARE * f32::from(seconds) {
                    Fit::Early
                } else if matches!(
                    sheet.step(self.id, self.number.saturating_add(1)),
                    Ok(Step::Strain | Step::Rinse { .. })
                ) {
                    Fit::Glass
                } else {
                    // What it was worked in may come back without its lid.
                    Fit::Here
                }
            }
            Phase::Glass => Fit::Glass,
            Phase::Working
            | Phase::Astray
            | Phase::Straining(_)
            | Phase::Finishing { .. }
            | Phase::Done
            | Phase::Back(_)
            | Phase::Over => Fit::Here,
        }
    }
}

impl<'s> Build<'s> {
    /// How well `placed` fits.
    #[must_use]
    pub fn fit(&self, placed: Grams, now: Instant) -> Fit {
        let suspended = self.is_suspended();
        self.held.fit(&self.sheet, suspended, placed, now)
    }

    /// What it is built in.
    #[must_use]
    pub const fn vessel(&self) -> Vessel {
        self.drink.vessel
    }

    /// What it is served in.
    #[must_use]
    pub const fn glass(&self) -> Vessel {
        self.drink.glass
    }

    /// Its name.
    #[must_use]
    pub const fn name(&self) -> &'s str {
        self.drink.name
    }

    /// Which drink of the sheet it is.
    #[must_use]
    pub const fn drink(&self) -> DrinkId {
        self.held.id
    }

    /// The step that is open.
    #[must_use]
    pub const fn step_number(&self) -> u8 {
        self.held.number
    }

    /// How many glasses of it are built in one vessel.
    #[must_use]
    pub const fn glasses(&self) -> u8 {
        self.held.portion.glasses
    }

    /// When its vessel left the pan.
    #[must_use]
    pub const fn left(&self) -> Instant {
        self.held.left
    }

    /// What was set down weighs what its vessel did, to a few grams.
    #[must_use]
    pub fn returns_closely(&self, placed: Grams) -> bool {
        (placed - self.held.gross).abs().0 <= CLOSELY_G
    }

    /// Nothing has been done of it: no vessel, or one into which nothing came.
    #[must_use]
    pub fn is_untouched(&self) -> bool {
        let here = matches!(
            self.held.phase,
            Phase::Vessel | Phase::Working | Phase::Astray
        );
        here && !self.has_begun()
            && self.closing.is_none()
            && self.held.tally.poured_g() == 0.0
            && self.held.iced.is_none()
    }

    /// Offers something else in place of what comes next, where nothing of the open step is in.
    pub fn look_elsewhere(&mut self, next: Next<'s>) {
        if matches!(&self.open, Some(Open::Pour(_) | Open::Ice { .. })) && self.is_suspended() {
            self.next = next;
        }
    }

    /// Tells what comes next again.
    pub fn look_on(&mut self) {
        self.next = self.look_ahead();
    }

    /// Its vessel is away between two steps.
    #[must_use]
    pub fn is_between(&self) -> bool {
        matches!(self.held.phase, Phase::Astray) && self.is_suspended()
    }

    /// The vessel left between two steps.
    fn is_suspended(&self) -> bool {
        match &self.open {
            Some(Open::Pour(_)) => !self.has_begun() && !self.tipping,
            Some(Open::Ice { so_far, .. }) => so_far.0 <= 0.0,
            Some(Open::Work { .. } | Open::Strain) | None => false,
        }
    }

    /// What to keep of it while another drink is built; `None` in the middle of a step.
    #[must_use]
    pub fn aside(&self) -> Option<Aside> {
        let phase = match self.held.phase {
            away @ (Phase::Away { .. } | Phase::Glass) => away,
            Phase::Straining(strained) if strained.mass().0 < 1.0 => Phase::Glass,
            Phase::Astray | Phase::Working if self.is_suspended() => Phase::Astray,
            Phase::Astray
            | Phase::Vessel
            | Phase::Working
            | Phase::Straining(_)
            | Phase::Finishing { .. }
            | Phase::Done
            | Phase::Back(_)
            | Phase::Over => return None,
        };
        Some(Aside(Held { phase, ..self.held }))
    }

    /// Takes up a drink that was put aside; this one has not been begun and is the same of the
    /// sheet.
    pub fn take_up(&mut self, aside: &Aside, turn: &mut Turn<'_>) {
        self.held = aside.0;
        self.learn_band(turn.crew);
        self.open = match self.held.phase {
            Phase::Away { work, seconds, .. } => Some(Open::Work { work, seconds }),
            Phase::Glass => Some(Open::Strain),
            Phase::Vessel
            | Phase::Working
            | Phase::Astray
            | Phase::Straining(_)
            | Phase::Finishing { .. }
            | Phase::Done
            | Phase::Back(_)
            | Phase::Over => {
                self.open_again(turn);
                return;
            }
        };
        self.next = self.look_ahead();
    }

    /// Opens the step that was open when the vessel left.
    fn open_again(&mut self, turn: &mut Turn<'_>) {
        if let Some(Mending { at, .. }) = &mut self.held.mending {
            *at = self.held.number;
            if self.open_missing(turn) {
                return;
            }
        }
        // It was open before, so it is no note.
        self.open_here(turn);
    }

    /// The drink is given up; what stands on the pan is to go.
    pub fn give_up(&mut self, turn: &mut Turn<'_>) {
        let on_pan = matches!(
            self.held.phase,
            Phase::Working | Phase::Straining(_) | Phase::Finishing { .. } | Phase::Done
        );
        self.abandon(on_pan, "voided", turn);
    }

    /// Nothing more comes of what was begun; the note stays until its vessel has gone.
    pub(super) fn abandon(&mut self, on_pan: bool, note: &'static str, turn: &mut Turn<'_>) {
        self.close_begun(turn);
        self.record_closing(turn);
        self.open = None;
        self.notice = None;
        self.held.mending = None;
        self.held.phase = if on_pan { Phase::Done } else { Phase::Over };
        self.note = Some((note, Instant::from_micros(u64::MAX)));
    }

    /// A pour that has begun is closed as it stands.
    pub(super) fn close_begun(&mut self, turn: &mut Turn<'_>) {
        if let Some(Open::Pour(step)) = self.open
            && step.pour.has_begun()
        {
            self.record_closing(turn);
            self.closing = Some(step);
        }
    }
}
