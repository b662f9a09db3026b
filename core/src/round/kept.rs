//! A round, as it outlives a power cut.

use crate::build::{Build, Stage, Turn, UnderWay};
use crate::pour::Crew;
use crate::spec::Sheet;
use crate::time::Instant;
use crate::units::Grams;

use super::{Order, Round};

impl<'s> Round<'s> {
    /// How many drinks were begun so far. Each has the number it was begun under, from 0 on; after
    /// 65,535 they begin anew.
    #[must_use]
    pub const fn begun(&self) -> u16 {
        self.begun
    }

    /// The next drink gets this number.
    pub fn number_from(&mut self, begun: u16) {
        self.begun = begun;
    }

    /// Nothing waits and nothing is under way.
    #[must_use]
    pub fn is_empty(&self) -> bool {
        let building = self.build.as_ref().is_some_and(|build| !build.is_done());
        self.waiting.is_empty() && !building && self.aside().next().is_none()
    }

    /// An order of before the power went waits again, behind the others; `false` when the round is
    /// full. Where nothing has the pan there is room for one more: the vessel of the first is
    /// awaited.
    pub fn wait_again(&mut self, order: Order, sheet: &Sheet<'s>, turn: &mut Turn<'_>) -> bool {
        if self.waiting.is_full() && self.build.is_none() {
            self.start_next(sheet, false, turn);
        }
        self.queue(order).is_ok()
    }

    /// A drink of before the power went is under way again, one that has the pan after all those
    /// that have not; `false` where the sheet does not hold it or there is no place for it.
    pub fn take_up(
        &mut self,
        sheet: &Sheet<'s>,
        open: &UnderWay,
        brought: &mut dyn Iterator<Item = (u8, Grams)>,
        crew: &Crew,
    ) -> bool {
        if self.build.is_some() || !begin(&mut self.build, sheet, open) {
            return false;
        }
        let Some(build) = &mut self.build else {
            return false;
        };
        build.restore(open, brought, crew);
        if matches!(open.stage, Stage::Working | Stage::Straining) {
            return true;
        }
        let mut taken = false;
        for (place, slot) in (1u64..).zip(&mut self.aside) {
            if slot.is_none() && !taken {
                // No two may have left at the same time.
                *slot = Some(build.kept_aside(open.stage, Instant::from_micros(place)));
                taken = true;
            }
        }
        self.build = None;
        taken
    }
}

/// This drink has the pan, not begun; apart, because one on its way to its place lies on the stack.
#[inline(never)]
fn begin<'s>(pan: &mut Option<Build<'s>>, sheet: &Sheet<'s>, open: &UnderWay) -> bool {
    let drink = sheet.drink(open.drink).ok();
    let drink = drink.filter(|drink| open.step <= drink.steps);
    if let Some(drink) = drink {
        *pan = Some(Build::new(*sheet, open.drink, drink, open.glasses.max(1)));
    }
    drink.is_some()
}
