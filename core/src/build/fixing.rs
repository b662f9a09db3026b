//! After an over-pour: what is offered, and how it is taken up.
//!
//! Nothing waits for an answer. The only liquid in the vessel may be tipped out, and what came
//! out is weighed when the vessel is back. Else the fix is offered where the vessel, the cost and
//! the alcohol allow it: the drink grows, its earlier ingredients are added to one after the
//! other, and the spec's volume is strained. The next bottle means "keep it".

use crate::input::CommandError;
use crate::limits::{FIX_MOST, FIX_MOST_SERVED, PASSING_SIGMA_G, TIPPED_OUT_G};
use crate::output::{Fix, Judgement, Settled};
use crate::pour::{Crew, Judge};
use crate::spec::Unit;
use crate::units::Grams;

use super::drink::{Build, Phase};
use super::fix::{Part, growth};
use super::room::{has_room, is_strained};
use super::step::{self, Open, Portion, PourStep};
use super::tally::Tally;
use super::turn::Turn;

/// How many steps of a drink are remembered for a fix; later ones are kept as they are. A long build
/// takes 16.
pub(super) const MENDED: usize = 16;

/// What is in of one step, grams as the scale shows them.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Kept {
    /// What one glass of the spec asks for; nothing for what is not judged by its volume.
    target: Grams,
    poured: Grams,
}

impl Kept {
    pub(super) const NONE: Self = Self {
        target: Grams::ZERO,
        poured: Grams::ZERO,
    };

    /// What is in, where the step was poured.
    pub(super) fn poured(&self) -> Option<Grams> {
        (*self != Self::NONE).then_some(self.poured)
    }
}

/// Filling up what the grown drink asks for.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Mending {
    /// The next step to look at.
    pub(super) at: u8,
    /// The step that was open.
    back: u8,
}

impl Mending {
    /// The step to come back to.
    pub(super) const fn back(self) -> u8 {
        self.back
    }

    /// From the first step on.
    pub(super) const fn from_the_first(back: u8) -> Self {
        Self { at: 0, back }
    }
}

impl<'s> Build<'s> {
    /// Counts what was poured, in place of what was known of that step.
    pub(super) fn keep(&mut self, step: &PourStep<'s>, poured: Settled) {
        let fresh = self.kept(step, poured.mass);
        let mut more = poured;
        if let Some(kept) = self.held.kept.get_mut(usize::from(step.step)) {
            more.mass = poured.mass - kept.poured;
            *kept = fresh;
        }
        let rinsed = step.amount.unit == Unit::Rinse;
        self.held.tally.pour(&step.composition, more, rinsed);
    }

    /// The step was poured before, and is only filled up.
    pub(super) fn is_kept(&self, step: &PourStep<'s>) -> bool {
        let kept = self.held.kept.get(usize::from(step.step));
        kept.is_some_and(|kept| *kept != Kept::NONE)
    }

    fn kept(&self, step: &PourStep<'s>, poured: Grams) -> Kept {
        let target = if step.count.is_some() {
            Grams::ZERO
        } else {
            step.pour.judge().target * (1.0 / self.held.portion.factor())
        };
        Kept { target, poured }
    }

    /// What can be done about a pour that is too much.
    pub(super) fn offer(&self, step: &PourStep<'s>, judged: &Judgement) -> Option<Fix> {
        if self.held.tally.poured_g() == 0.0 {
            return Some(Fix::TipOut(judged.error));
        }
        let over = self.kept(step, judged.poured.mass);
        let grown = self.needs(Some((step.step, over)));
        self.may_grow(grown).is_ok().then_some(Fix::Grow(grown))
    }

    /// The drink may grow so much: the vessel holds it, and neither cost nor alcohol forbids it.
    fn may_grow(&self, grown: f32) -> Result<(), CommandError> {
        let most = if is_strained(&self.sheet, self.held.id) {
            FIX_MOST
        } else {
            FIX_MOST_SERVED
        };
        if grown <= self.held.portion.growth {
            Err(CommandError::NothingOver)
        } else if self.held.tally.is_strained() {
            Err(CommandError::Strained)
        } else if grown > most {
            let most_percent = (100.0 * most + 0.5) as u8;
            Err(CommandError::FixTooLarge { most_percent })
        } else if has_room(&self.sheet, self.held.id, self.held.portion.glasses, grown) {
            Ok(())
        } else {
            Err(CommandError::NoRoom)
        }
    }

    fn part(&self, kept: Kept) -> Part {
        Part {
            target: kept.target * f32::from(self.held.portion.glasses),
            poured: kept.poured,
            // A gram counts as a millilitre: a little stricter for a syrup.
            least: Grams(self.band.0),
            share: self.band.1,
        }
    }

    /// By how much the drink has to grow for what is in; with `fresh` in place of what is known of
    /// that step.
    fn needs(&self, fresh: Option<(u8, Kept)>) -> f32 {
        let parts = (0..)
            .zip(&self.held.kept)
            .map(|(number, kept)| match fresh {
                Some((step, fresh)) if step == number => self.part(fresh),
                Some(_) | None => self.part(*kept),
            });
        growth(parts).max(self.held.portion.growth)
    }

    /// Takes the fix up.
    ///
    /// # Errors
    /// There is none, the drink cannot grow so much, or the next pour has begun.
    pub fn mend(&mut self, turn: &mut Turn<'_>) -> Result<(), CommandError> {
        self.is_between_pours()?;
        self.record_closing(turn);
        let grown = self.needs(None);
        self.may_grow(grown)?;
        self.grow(
            Portion {
                growth: grown,
                ..self.held.portion
            },
            turn,
        );
        Ok(())
    }

    /// Makes two of it.
    ///
    /// # Errors
    /// The vessel has no room for two, the drink is not strained or no single one any more, or the
    /// next pour has begun.
    pub fn make_two(&mut self, turn: &mut Turn<'_>) -> Result<(), CommandError> {
        self.is_between_pours()?;
        let Portion { growth, glasses } = self.held.portion;
        if glasses > 1 {
            return Err(CommandError::AlreadySeveral { glasses });
        }
        if growth > 1.0 {
            return Err(CommandError::Grown);
        }
        if !is_strained(&self.sheet, self.held.id) {
            return Err(CommandError::NotStrained);
        }
        if !has_room(&self.sheet, self.held.id, 2, 1.0) {
            return Err(CommandError::NoRoom);
        }
        self.record_closing(turn);
        let two = Portion {
            growth: 1.0,
            glasses: 2,
        };
        self.grow(two, turn);
        Ok(())
    }

    /// Starts the drink again, with an empty vessel.
    ///
    /// # Errors
    /// Nothing of it is begun, or its served glass is awaited or there.
    pub fn begin_again(&mut self, turn: &mut Turn<'_>) -> Result<(), CommandError> {
        let on_pan = match self.held.phase {
            Phase::Working => true,
            Phase::Astray | Phase::Away { .. } => false,
            Phase::Vessel => return Err(CommandError::NotBegun),
            Phase::Glass
            | Phase::Straining(_)
            | Phase::Finishing { .. }
            | Phase::Done
            | Phase::Back(_)
            | Phase::Over => return Err(CommandError::Built),
        };
        self.abandon(on_pan, "start again", turn);
        self.again = true;
        if !on_pan {
            self.start_again();
        }
        Ok(())
    }

    /// The vessel of a drink that is to be started again has gone.
    pub(super) fn start_again(&mut self) {
        if core::mem::take(&mut self.again) {
            self.held.tally = Tally::EMPTY;
            self.held.kept = [Kept::NONE; _];
            self.held.portion.growth = 1.0;
            self.held.mending = None;
            self.held.iced = None;
            self.note = None;
            self.held.number = 0;
            self.held.phase = Phase::Vessel;
        }
    }

    /// Something is offered that a press takes up.
    #[must_use]
    pub fn offers_fix(&self) -> bool {
        self.notice.is_some_and(|notice| notice.fix)
    }

    fn is_between_pours(&self) -> Result<(), CommandError> {
        let begun = self.has_begun() && self.held.mending.is_none();
        if matches!(self.held.phase, Phase::Working) && !begun {
            Ok(())
        } else {
            Err(CommandError::NotBetweenPours)
        }
    }

    fn grow(&mut self, portion: Portion, turn: &mut Turn<'_>) {
        self.held.portion = portion;
        self.notice = None;
        self.note = None;
        self.tipping = false;
        let back = self
            .held
            .mending
            .map_or(self.held.number, |mending| mending.back);
        self.held.mending = Some(Mending { at: 0, back });
        self.advance(turn);
    }

    /// The next step that the grown drink has too little of; `false` when all of them are well.
    pub(super) fn open_missing(&mut self, turn: &mut Turn<'_>) -> bool {
        while let Some(Mending { at, back }) = self.held.mending {
            if at >= back {
                self.held.mending = None;
                self.held.number = back;
                return false;
            }
            self.held.number = at;
            self.held.mending = Some(Mending {
                at: at.saturating_add(1),
                back,
            });
            let Some(kept) = self.held.kept.get(usize::from(at)).copied() else {
                continue;
            };
            if self.part(kept).missing(self.held.portion.growth).is_none() {
                continue;
            }
            if let Ok(Ok(Open::Pour(mut step))) =
                step::open(&self.sheet, self.held.id, at, self.held.portion, turn.crew)
            {
                step.pour.resume(Settled {
                    mass: kept.poured,
                    sigma: Grams(PASSING_SIGMA_G),
                });
                self.begin(Open::Pour(step), turn.out);
                return true;
            }
        }
        false
    }

    /// The next pour is in: what might have been tipped out is kept.
    pub(super) fn keep_over_pour(&mut self, turn: &mut Turn<'_>) {
        if core::mem::take(&mut self.tipping) {
            self.record_closing(turn);
        }
    }

    /// The vessel is back after a tip-out: what came out is weighed.
    pub(super) fn take_tipped(&mut self, placed: Grams, turn: &mut Turn<'_>) {
        self.tipping = false;
        self.notice = None;
        let gone = self.held.gross - placed;
        let Some(step) = &mut self.closing else {
            return;
        };
        if gone.0 > TIPPED_OUT_G {
            // It came to this though some of it is gone, and that teaches.
            step.pour.close(turn.crew, turn.out);
            let gone = Grams(gone.0.min(step.pour.poured().mass.0.max(0.0)));
            step.pour.take_back(gone, turn.out);
            if step.pour.wants_more() {
                // Too much of it: a little more is asked for.
                let mut step = *step;
                step.pour.resume(step.pour.poured());
                self.closing = None;
                self.held.number = step.step;
                self.begin(Open::Pour(step), turn.out);
                return;
            }
        }
        self.record_closing(turn);
    }

    /// The narrowest band and the share in which pours are judged.
    pub(super) fn learn_band(&mut self, crew: &Crew) {
        self.band = Judge::band(crew.mode);
    }
}
