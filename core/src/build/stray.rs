//! What comes onto the pan without being of the drink.

use crate::limits::{ASIDE_ICE, ASIDE_STRAIN, SPLASH_G};
use crate::units::Grams;
use crate::weigh::pan::PanEvents;

use super::drink::{Build, Phase};
use super::step::Open;
use super::turn::Turn;

impl<'s> Build<'s> {
    /// A step is open.
    #[must_use]
    pub fn has_open_step(&self) -> bool {
        self.open.is_some()
    }

    /// What the open step takes.
    #[must_use]
    pub fn asked_for(&self) -> &'s str {
        match &self.open {
            Some(Open::Pour(step)) => step.name,
            Some(Open::Ice { .. }) => "ice",
            Some(Open::Work { .. } | Open::Strain) | None => self.drink.name,
        }
    }

    /// So much at once may be what the open step takes. Where nothing is taken, nothing is asked.
    #[must_use]
    pub fn may_be(&self, grams: Grams, burst: bool) -> bool {
        match (&self.open, self.held.phase) {
            (Some(Open::Pour(step)), Phase::Working) => {
                self.is_unseen() || self.rinse().is_some() || step.pour.may_be(grams, burst)
            }
            (Some(Open::Ice { so_far, high_g, .. }), Phase::Working) => {
                (*so_far + grams).0 <= ASIDE_ICE * f32::from(*high_g)
            }
            (_, Phase::Straining(strained)) => {
                let most = ASIDE_STRAIN * self.held.tally.poured_g();
                (strained.mass() + grams).0 <= most + SPLASH_G
            }
            _ => true,
        }
    }

    /// So little, while a note stands and nothing has been poured, is what the note asks for:
    /// leaves, a twist.
    #[must_use]
    pub fn is_of_note(&self, grams: Grams) -> bool {
        match &self.open {
            Some(Open::Pour(step)) => self.note.is_some() && step.pour.is_too_little(grams),
            Some(Open::Ice { .. } | Open::Work { .. } | Open::Strain) | None => false,
        }
    }

    /// How much more the vessel weighs that comes back as `placed` in the middle of a pour, where
    /// nothing seen on the pan explains it; what is missing is lost, and nobody is asked. What was tipped out is weighed anyway.
    #[must_use]
    pub fn came_back_with(&self, placed: Grams) -> Option<Grams> {
        let (Some(Open::Pour(step)), Phase::Astray, false, None) =
            (&self.open, self.held.phase, self.tipping, self.rinse())
        else {
            return None;
        };
        let more = placed - self.held.gross;
        (more.0 > 0.0 && !step.pour.explains(more)).then_some(more)
    }

    /// What began to land was no pour.
    pub fn void(&mut self) {
        if let Some(Open::Pour(step)) = &mut self.open {
            step.pour.void();
        }
    }

    /// So much came too slowly to be seen as a pour.
    pub fn drip(&mut self, grams: Grams) {
        if let Some(Open::Pour(step)) = &mut self.open {
            step.pour.drip(grams);
        }
    }

    /// What was taken for the step just closed is taken away again, or its liquid is poured after
    /// all and nothing else is to come: it was no liquid, and the step is open as before.
    pub(super) fn reopen(&mut self, events: &PanEvents, turn: &mut Turn<'_>) {
        if events.pour_started
            && matches!(self.held.phase, Phase::Finishing { strained: None, .. })
            && let Some(mut step) = self.closing
            && !self.is_kept(&step)
            && step.pour.doubt()
        {
            self.held.number = step.step;
            self.closing = None;
            self.held.phase = Phase::Working;
            self.begin(Open::Pour(step), turn.out);
            return;
        }
        if let (Some(step), Some(grams)) = (&self.closing, events.removed)
            && step.pour.was_only(grams)
            && !self.is_kept(step)
        {
            self.held.number = step.step;
            self.closing = None;
            self.notice = None;
            self.held.phase = Phase::Working;
            self.tipping = false;
            self.open_step(turn);
        }
    }
}
