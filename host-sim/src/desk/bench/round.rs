//! What was ordered and is not done yet, and what the desk orders by itself.

use std::collections::VecDeque;

use pennyweight_core::Outputs;

/// The drinks ordered, the one under way first. The station keeps the same list; it does not
/// tell it.
#[derive(Clone, Debug, Default)]
pub struct Ordered {
    drinks: VecDeque<u8>,
    /// Drinks the simulated hand has ordered for itself.
    watched: usize,
}

impl Ordered {
    /// A drink was taken by the station.
    pub fn add(&mut self, drink: u8) {
        self.drinks.push_back(drink);
    }

    /// The station has forgotten them.
    pub fn clear(&mut self) {
        self.drinks.clear();
    }

    /// Takes what the station told.
    pub fn take(&mut self, outputs: &Outputs) {
        if let Some(done) = &outputs.done {
            let at = self.drinks.iter().position(|drink| *drink == done.drink.0);
            at.map(|at| self.drinks.remove(at));
        }
    }

    /// Nothing is left to be built.
    #[must_use]
    pub fn is_empty(&self) -> bool {
        self.drinks.is_empty()
    }

    /// Their numbers.
    #[must_use]
    pub fn numbers(&self) -> Vec<u8> {
        self.drinks.iter().copied().collect()
    }

    /// The next drink of a sheet of `count` for the simulated hand, in turn.
    pub fn in_turn(&mut self, count: usize) -> Option<u8> {
        let drink = self.watched.checked_rem(count)?;
        self.watched = self.watched.wrapping_add(1);
        u8::try_from(drink).ok()
    }
}
