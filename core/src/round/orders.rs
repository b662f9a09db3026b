//! Orders by number: changed, voided, told, taken up again.

use super::{Order, Round};
use crate::build::Build;
use crate::spec::{DrinkId, Sheet};

impl<'s> Round<'s> {
    /// The orders that wait, the next one first.
    pub fn waiting(&self) -> impl Iterator<Item = Order> + '_ {
        self.waiting.iter().copied()
    }

    /// The number the next order gets.
    #[must_use]
    pub const fn next_order(&self) -> u16 {
        self.next
    }

    /// The order under way.
    #[must_use]
    pub fn open_order(&self) -> Option<u16> {
        let build = self.build.as_ref()?;
        (!build.is_over()).then_some(self.open)
    }

    /// Nothing waits and nothing is under way.
    #[must_use]
    pub fn is_empty(&self) -> bool {
        self.waiting.is_empty() && self.open_order().is_none()
    }

    /// Another drink in the place of an order that waits; `false` where there is none.
    #[cold]
    pub fn change(&mut self, sheet: &Sheet<'s>, number: u16, drink: DrinkId) -> bool {
        let found = self.waiting.iter_mut().find(|it| it.number == number);
        match found {
            Some(order) if drink.0 < sheet.drinks() => {
                order.drink = drink;
                true
            }
            Some(_) | None => false,
        }
    }

    /// Takes an order out; the one under way is given up, what was poured for it stays recorded.
    #[cold]
    pub fn void(&mut self, number: u16) -> bool {
        if self.open_order() == Some(number) {
            self.build = None;
            return true;
        }
        let before = self.waiting.len();
        for _ in 0..before {
            if let Some(order) = self.waiting.pop_front()
                && order.number != number
            {
                // There is room: one was taken out.
                let _ = self.waiting.push_back(order);
            }
        }
        self.waiting.len() < before
    }

    /// Numbers go on from here.
    pub fn number_from(&mut self, next: u16) {
        self.next = next;
    }

    /// An order of before the power went waits again.
    #[cold]
    pub fn wait_again(&mut self, order: Order) -> bool {
        self.waiting.push_back(order).is_ok()
    }

    /// A drink of before the power went is under way again.
    #[cold]
    pub fn go_on(&mut self, order: u16, build: Build<'s>) {
        self.open = order;
        self.build = Some(build);
    }

    /// The drink under way, to be changed.
    pub(crate) const fn build_mut(&mut self) -> Option<&mut Build<'s>> {
        self.build.as_mut()
    }
}
