//! A drink that was under way when the power went.
//!
//! What each step brought is known; what the strained glass got is not, so a drink cut off after
//! its strain has its dilution expected instead of weighed.

use crate::output::{Outputs, Settled};
use crate::pour::Crew;
use crate::spec::{DrinkId, Sheet, SheetError, Step};
use crate::time::Instant;
use crate::units::Grams;
use crate::view::Work;
use crate::weigh::pan::PanEvents;

use super::drink::{Build, Phase};
use super::step::{self, Open};

impl<'s> Build<'s> {
    /// The drink `id` at `step`, its vessel awaited, with what the steps before have brought.
    ///
    /// # Errors
    /// [`SheetError`] when the sheet holds no such drink or step.
    #[cold]
    pub fn resume(
        sheet: Sheet<'s>,
        id: DrinkId,
        step: u8,
        brought: &mut dyn Iterator<Item = (u8, Settled)>,
        crew: &Crew,
    ) -> Result<Self, SheetError> {
        let mut build = Self::new(sheet, id)?;
        if step > build.drink.steps {
            return Err(SheetError::Missing);
        }
        for (number, shown) in brought {
            if let Ok(Ok(Open::Pour(step))) = step::open(&sheet, id, number, crew) {
                build.tally.pour(&step.composition, shown);
            }
        }
        for number in 0..step {
            let work = match sheet.step(id, number)? {
                Step::Ice { .. } => {
                    build.iced = Some(Instant::ZERO);
                    continue;
                }
                Step::Stir { .. } => Work::Stir,
                Step::Shake { .. } => Work::Shake,
                _ => continue,
            };
            if build.iced.is_some() {
                build.tally.work(work);
            }
        }
        build.number = step;
        Ok(build)
    }

    /// Begins the drink anew.
    #[cold]
    pub fn restart(&mut self) {
        if let Ok(build) = Self::new(self.sheet, self.id) {
            *self = build;
        }
    }

    /// The drink's name.
    #[must_use]
    pub const fn name(&self) -> &'s str {
        self.drink.name
    }

    /// What the step to be opened asks for, where it is poured.
    #[must_use]
    pub fn target(&self, crew: &Crew) -> Option<Grams> {
        match step::open(&self.sheet, self.id, self.number, crew) {
            Ok(Ok(Open::Pour(step))) => Some(step.pour.judge().target),
            _ => None,
        }
    }

    /// So much of the open step is in already.
    #[cold]
    pub fn bring(&mut self, now: Instant, grams: Grams, crew: &mut Crew, out: &mut Outputs) {
        let events = PanEvents {
            added: Some(grams),
            ..PanEvents::default()
        };
        self.take(now, &events, grams, crew, out);
    }

    /// Nothing is poured for a while: the vessel is away, or the drink is complete.
    #[must_use]
    pub fn is_paused(&self) -> bool {
        match self.phase {
            Phase::Vessel | Phase::Away { .. } | Phase::Done | Phase::Over => true,
            Phase::Working
            | Phase::Astray
            | Phase::Glass
            | Phase::Straining(_)
            | Phase::Finishing { .. } => false,
        }
    }
}
