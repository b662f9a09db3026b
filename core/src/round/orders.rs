//! The orders that wait: added to, changed and voided while the round runs.

use serde::{Deserialize, Serialize};

use crate::build::{Aside, Build, Turn, has_room, is_strained};
use crate::input::CommandError;
use crate::spec::{DrinkId, Sheet, Step};

use super::{ORDERS, Round};

/// Drinks of one kind, built in one vessel.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Order {
    /// Which.
    pub drink: DrinkId,
    /// How many glasses of it.
    pub glasses: u8,
}

impl<'s> Round<'s> {
    /// Appends a drink. One of the same that still waits, or whose vessel is awaited, takes it into
    /// its vessel where that has room.
    ///
    /// # Errors
    /// The drink is not on the sheet, or the round is full.
    pub fn order(&mut self, sheet: &Sheet<'s>, drink: DrinkId) -> Result<(), CommandError> {
        on_sheet(sheet, drink)?;
        let waits = self.waiting.iter_mut().find(|order| order.drink == drink);
        let same = match (waits, &mut self.build) {
            (Some(order), _) => Some(&mut order.glasses),
            (None, Some(build)) if build.drink() == drink => build.awaited_glasses(),
            (None, _) => None,
        };
        if let Some(glasses) = same {
            let more = glasses.saturating_add(1);
            if is_split(sheet, drink) && has_room(sheet, drink, more, 1.0) {
                *glasses = more;
                return Ok(());
            }
        }
        self.queue(Order { drink, glasses: 1 })
    }

    /// Puts an order behind those that wait, the next of which comes last.
    pub(super) fn queue(&mut self, order: Order) -> Result<(), CommandError> {
        if self.waiting.is_full() {
            return Err(FULL);
        }
        // One place on, each: to insert by moving memory takes 1.5 KB of flash for a dozen orders.
        let mut carried = order;
        for waiting in &mut self.waiting {
            core::mem::swap(waiting, &mut carried);
        }
        self.waiting.push(carried).map_err(|_| FULL)
    }

    /// Voids a drink: the last one that waits, else one whose vessel is away, else the one that has
    /// the pan.
    ///
    /// # Errors
    /// The drink is not on the sheet, or no order of it is open.
    pub fn void(
        &mut self,
        sheet: &Sheet<'s>,
        drink: DrinkId,
        turn: &mut Turn<'_>,
    ) -> Result<(), CommandError> {
        on_sheet(sheet, drink)?;
        if self.take_back(drink) {
            return Ok(());
        }
        let is_it =
            |slot: &&mut Option<Aside>| slot.as_ref().is_some_and(|aside| aside.drink() == drink);
        if let Some(slot) = self.aside.iter_mut().rfind(is_it) {
            *slot = None;
            self.question = None;
            return Ok(());
        }
        match &mut self.build {
            Some(build) if build.drink() == drink && !build.is_done() => {
                if !build.awaited_glasses().is_some_and(one_less) {
                    build.give_up(turn);
                    self.question = None;
                }
                Ok(())
            }
            Some(_) | None => Err(CommandError::NotOrdered(drink)),
        }
    }

    /// Makes `to` in place of a waiting `from`.
    ///
    /// # Errors
    /// One of the two is not on the sheet, no `from` waits, or the round is full: one of several in
    /// a vessel becomes an order of its own.
    pub fn change(
        &mut self,
        sheet: &Sheet<'s>,
        from: DrinkId,
        to: DrinkId,
    ) -> Result<(), CommandError> {
        on_sheet(sheet, from)?;
        on_sheet(sheet, to)?;
        let alone = Order {
            drink: from,
            glasses: 1,
        };
        let fresh = Order {
            drink: to,
            glasses: 1,
        };
        if let Some(order) = self.waiting.iter_mut().rfind(|order| **order == alone) {
            *order = fresh;
            return Ok(());
        }
        let full = self.waiting.is_full();
        if self.waiting.iter().any(|order| order.drink == from) {
            if full {
                return Err(FULL);
            }
            self.take_back(from);
            return self.queue(fresh);
        }
        let build = self.build.as_mut().filter(|build| build.drink() == from);
        let Some(glasses) = build.and_then(Build::awaited_glasses) else {
            return Err(CommandError::NotWaiting(from));
        };
        if full {
            return Err(FULL);
        }
        if one_less(glasses) {
            return self.queue(fresh);
        }
        self.build = None;
        self.waiting.push(fresh).map_err(|_| FULL)
    }

    /// Drinks that wait, in their order.
    pub fn waiting(&self) -> impl Iterator<Item = &Order> {
        self.waiting.iter().rev()
    }

    /// One glass less of the last such drink that waits.
    fn take_back(&mut self, drink: DrinkId) -> bool {
        let last = self.waiting.iter_mut().find(|order| order.drink == drink);
        let Some(order) = last else {
            return false;
        };
        order.glasses = order.glasses.saturating_sub(1);
        self.waiting.retain(|order| order.glasses > 0);
        true
    }
}

const FULL: CommandError = CommandError::RoundFull { most: ORDERS as u8 };

/// The drink is on the sheet.
pub(crate) fn on_sheet(sheet: &Sheet<'_>, drink: DrinkId) -> Result<(), CommandError> {
    let drinks = sheet.drinks();
    if drink.0 < drinks {
        Ok(())
    } else {
        Err(CommandError::NoSuchDrink { drinks })
    }
}

/// Takes one of several; `false` where there is one alone.
fn one_less(glasses: &mut u8) -> bool {
    let several = *glasses > 1;
    if several {
        *glasses = glasses.saturating_sub(1);
    }
    several
}

/// Strained, with nothing but notes behind it and no glass to be rinsed: several glasses can come out
/// of one vessel.
fn is_split(sheet: &Sheet<'_>, drink: DrinkId) -> bool {
    let steps = sheet.drink(drink).map_or(0, |drink| drink.steps);
    let last = (0..steps).rev().find_map(|number| {
        let step = sheet.step(drink, number).ok()?;
        (!matches!(step, Step::Note { .. })).then_some(step)
    });
    let rinsed =
        (0..steps).any(|number| matches!(sheet.step(drink, number), Ok(Step::Rinse { .. })));
    matches!(last, Some(Step::Strain)) && is_strained(sheet, drink) && !rinsed
}
