//! A round, as it outlives a power cut.

use crate::build::{Build, Stage};

use crate::time::Instant;

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
    /// full.
    #[cold]
    pub fn wait_again(&mut self, order: Order) -> bool {
        self.queue(order)
    }

    /// A drink of before the power went is under way again; `false` where there is no place for it.
    #[cold]
    pub fn take_up(&mut self, build: Build<'s>, stage: Stage) -> bool {
        let on_pan = matches!(stage, Stage::Working | Stage::Straining);
        if on_pan && self.build.is_none() {
            self.build = Some(build);
            return true;
        }
        for (place, slot) in (1u64..).zip(&mut self.aside) {
            if slot.is_none() {
                // No two may have left at the same time.
                let left = Instant::from_micros(place);
                *slot = Some(build.kept_aside(stage, left));
                return true;
            }
        }
        false
    }
}
