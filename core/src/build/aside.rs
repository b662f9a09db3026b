//! A drink whose vessel is away from the pan, put aside so that the next one can be built.
//!
//! Only what cannot be read from the sheet again is kept: an open step that nothing has come into
//! is opened anew.

use crate::limits::{CLOSELY_G, WORK_SHARE};
use crate::output::Outputs;
use crate::spec::{DrinkId, Sheet, Step, Vessel};
use crate::time::Instant;
use crate::units::Grams;
use crate::view::Work;

use super::drink::{Build, Held, Phase};
use super::fixing::Mending;
use super::step::Open;
use super::turn::Turn;

/// What such a vessel waits for.
#[derive(Clone, Copy, Debug, PartialEq)]
enum Waits {
    /// It is stirred or shaken for so many seconds.
    Worked(Work, u8),
    /// Its glass is to be set down.
    Strained,
    /// It left between two steps.
    Back,
}

/// A drink put aside.
#[derive(Clone, Copy, Debug)]
pub struct Aside {
    held: Held,
    waits: Waits,
}

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
        self.held.id
    }

    /// When its vessel left the pan; no two leave at the same time.
    #[must_use]
    pub const fn left(&self) -> Instant {
        self.held.left
    }

    /// When its time is up.
    #[must_use]
    pub fn due(&self) -> Instant {
        match self.waits {
            Waits::Worked(_, seconds) => self.held.left.offset(seconds.into()),
            Waits::Strained | Waits::Back => self.held.left,
        }
    }

    /// When a reminder is due, until it was given.
    #[must_use]
    pub fn reminder(&self) -> Option<Instant> {
        let worked = matches!(self.waits, Waits::Worked(..));
        (worked && !self.held.reminded).then(|| self.due())
    }

    /// Reminds of it once its time is up.
    pub fn remind(&mut self, now: Instant, out: &mut Outputs) {
        if self.reminder().is_some_and(|due| due <= now) {
            self.held.reminded = true;
            out.due = Some(self.held.id);
        }
    }

    /// How well `placed` fits.
    #[must_use]
    pub fn fit(&self, sheet: &Sheet<'_>, placed: Grams, now: Instant) -> Fit {
        if super::away::weighs_the_same(placed, self.held.gross) {
            return Fit::Returns;
        }
        match self.waits {
            Waits::Strained => Fit::Glass,
            Waits::Worked(_, seconds) => glass_fit(
                sheet,
                self.held.id,
                self.held.number,
                self.held.left,
                seconds,
                now,
            ),
            Waits::Back => Fit::Early,
        }
    }

    /// What it is served in.
    #[must_use]
    pub fn glass(&self, sheet: &Sheet<'_>) -> Option<Vessel> {
        sheet.drink(self.held.id).ok().map(|drink| drink.glass)
    }
}

/// What is expected back from a stir or a shake: its glass once most of the time is up.
fn glass_fit(
    sheet: &Sheet<'_>,
    id: DrinkId,
    number: u8,
    left: Instant,
    seconds: u8,
    now: Instant,
) -> Fit {
    let strains = matches!(sheet.step(id, number.saturating_add(1)), Ok(Step::Strain));
    let away_s = now.seconds_since(left);
    match (strains, away_s >= WORK_SHARE * f32::from(seconds)) {
        (true, true) => Fit::Glass,
        // What it was worked in may come back without its lid.
        (false, true) => Fit::Here,
        (_, false) => Fit::Early,
    }
}

impl<'s> Build<'s> {
    /// How well `placed` fits.
    #[must_use]
    pub fn fit(&self, placed: Grams, now: Instant) -> Fit {
        match self.phase {
            Phase::Vessel => Fit::Vessel,
            Phase::Astray | Phase::Away { .. } | Phase::Glass if self.is_same(placed) => {
                Fit::Returns
            }
            Phase::Astray if self.is_suspended() => Fit::Early,
            Phase::Away { since, seconds, .. } => glass_fit(
                &self.sheet,
                self.held.id,
                self.held.number,
                since,
                seconds,
                now,
            ),
            Phase::Glass => Fit::Glass,
            Phase::Working
            | Phase::Astray
            | Phase::Straining(_)
            | Phase::Finishing { .. }
            | Phase::Done
            | Phase::Over => Fit::Here,
        }
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
        let open = match &self.open {
            Some(Open::Pour(step)) => !step.pour.has_begun(),
            Some(Open::Ice { so_far, .. }) => so_far.0 <= 0.0,
            Some(Open::Work { .. } | Open::Strain) | None => true,
        };
        let here = matches!(self.phase, Phase::Vessel | Phase::Working | Phase::Astray);
        here && open
            && self.closing.is_none()
            && self.held.tally.poured_g() == 0.0
            && self.held.iced.is_none()
    }

    /// The vessel left between two steps.
    fn is_suspended(&self) -> bool {
        match &self.open {
            Some(Open::Pour(step)) => !step.pour.has_begun() && !self.tipping,
            Some(Open::Ice { so_far, .. }) => so_far.0 <= 0.0,
            Some(Open::Work { .. } | Open::Strain) | None => false,
        }
    }

    /// What to keep of it while another drink is built; `None` in the middle of a step.
    #[must_use]
    pub fn aside(&self) -> Option<Aside> {
        let waits = match self.phase {
            Phase::Away { work, seconds, .. } => Waits::Worked(work, seconds),
            Phase::Glass => Waits::Strained,
            Phase::Straining(strained) if strained.mass().0 < 1.0 => Waits::Strained,
            Phase::Astray | Phase::Working if self.is_suspended() => Waits::Back,
            Phase::Astray
            | Phase::Vessel
            | Phase::Working
            | Phase::Straining(_)
            | Phase::Finishing { .. }
            | Phase::Done
            | Phase::Over => return None,
        };
        Some(Aside {
            held: self.held,
            waits,
        })
    }

    /// Takes up a drink that was put aside; this one has not been begun and is the same of the
    /// sheet.
    pub fn take_up(&mut self, aside: &Aside, turn: &mut Turn<'_>) {
        self.held = aside.held;
        self.learn_band(turn.crew);
        match aside.waits {
            Waits::Worked(work, seconds) => {
                self.open = Some(Open::Work { work, seconds });
                self.phase = Phase::Away {
                    work,
                    since: self.held.left,
                    seconds,
                };
                self.next = self.look_ahead();
            }
            Waits::Strained => {
                self.open = Some(Open::Strain);
                self.phase = Phase::Glass;
                self.next = self.look_ahead();
            }
            Waits::Back => {
                self.phase = Phase::Astray;
                self.open_again(turn);
            }
        }
    }

    /// Opens the step that was open when the vessel left.
    fn open_again(&mut self, turn: &mut Turn<'_>) {
        if let Some(Mending { at, .. }) = &mut self.held.mending {
            *at = self.held.number;
            if self.open_missing(turn) {
                return;
            }
        }
        if let Ok(Ok(open)) = super::step::open(
            &self.sheet,
            self.held.id,
            self.held.number,
            self.held.portion,
            turn.crew,
        ) {
            self.begin(open, turn.out);
        }
    }

    /// The drink is given up; what stands on the pan is to go.
    pub fn give_up(&mut self, turn: &mut Turn<'_>) {
        if let Some(Open::Pour(step)) = self.open
            && step.pour.has_begun()
        {
            self.record_closing(turn);
            self.closing = Some(step);
        }
        self.record_closing(turn);
        self.open = None;
        self.notice = None;
        self.held.mending = None;
        let on_pan = matches!(
            self.phase,
            Phase::Working | Phase::Straining(_) | Phase::Finishing { .. } | Phase::Done
        );
        self.phase = if on_pan { Phase::Done } else { Phase::Over };
        self.note = Some(("voided", Instant::from_micros(u64::MAX)));
    }
}
