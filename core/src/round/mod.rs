//! A round: the drinks ordered, built one after the other.

mod orders;
pub mod plan;

use heapless::Deque;

use crate::build::Build;
use crate::output::{Fault, Outputs};
use crate::pour::Crew;
use crate::spec::{DrinkId, Sheet};
use crate::time::Instant;
use crate::units::Grams;
use crate::weigh::pan::PanEvents;

/// Drinks that can wait.
pub const ORDERS: usize = 12;

/// One order.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Order {
    /// Its number, one more than the last one's.
    pub number: u16,
    /// The drink of the sheet.
    pub drink: DrinkId,
}

/// The drinks ordered and the one under way.
#[derive(Debug)]
pub struct Round<'s> {
    waiting: Deque<Order, ORDERS>,
    build: Option<Build<'s>>,
    /// The order under way.
    open: u16,
    /// The number of the next order.
    next: u16,
}

impl<'s> Round<'s> {
    /// Nobody has ordered.
    #[must_use]
    pub const fn new() -> Self {
        Self {
            waiting: Deque::new(),
            build: None,
            open: 0,
            next: 0,
        }
    }

    /// Appends a drink; `false` when it is not on the sheet or the round is full.
    pub fn order(&mut self, sheet: &Sheet<'s>, drink: DrinkId) -> bool {
        let number = self.next;
        let taken =
            drink.0 < sheet.drinks() && self.waiting.push_back(Order { number, drink }).is_ok();
        if taken {
            self.next = number.wrapping_add(1);
        }
        taken
    }

    /// The drink under way.
    #[must_use]
    pub const fn build(&self) -> Option<&Build<'s>> {
        self.build.as_ref()
    }

    /// When something is due.
    #[must_use]
    pub fn deadline(&self, now: Instant) -> Option<Instant> {
        self.build.as_ref().and_then(|build| build.deadline(now))
    }

    /// Starts the next drink when none is under way; with `loaded`, its vessel stands there.
    pub fn start(
        &mut self,
        now: Instant,
        sheet: Option<Sheet<'s>>,
        loaded: bool,
        crew: &mut Crew,
        out: &mut Outputs,
    ) {
        if self.build.as_ref().is_some_and(Build::is_over) {
            self.build = None;
        }
        if self.build.is_some() {
            return;
        }
        let (Some(sheet), Some(order)) = (sheet, self.waiting.pop_front()) else {
            return;
        };
        match Build::new(sheet, order.drink) {
            Ok(build) => {
                self.open = order.number;
                let build = self.build.insert(build);
                if loaded {
                    build.adopt(now, crew, out);
                }
            }
            Err(_) => out.fault = Some(Fault::Sheet),
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
        if let Some(build) = &mut self.build {
            build.take(now, events, gross, crew, out);
        }
    }

    /// Does what time alone brings.
    pub fn tick(&mut self, now: Instant, crew: &mut Crew, out: &mut Outputs) {
        if let Some(build) = &mut self.build {
            build.tick(now, crew, out);
        }
    }

    /// Leaves the open step as it stands; `false` when there is none.
    pub fn skip(&mut self, now: Instant, crew: &mut Crew, out: &mut Outputs) -> bool {
        match &mut self.build {
            Some(build) => {
                build.skip(now, crew, out);
                true
            }
            None => false,
        }
    }
}

impl Default for Round<'_> {
    fn default() -> Self {
        Self::new()
    }
}
