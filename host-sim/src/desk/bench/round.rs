//! What was ordered and is not done yet, and what the desk orders by itself.

use std::collections::VecDeque;

use pennyweight_core::Outputs;

/// The drinks ordered, the one under way first. The station keeps the same list; it does not
/// tell it.
#[derive(Clone, Debug, Default)]
pub struct Ordered {
    drinks: VecDeque<u8>,
    /// The first of them has been begun.
    begun: bool,
    /// Drinks the simulated hand has ordered for itself.
    watched: usize,
}

impl Ordered {
    /// A drink was taken by the station.
    pub fn add(&mut self, drink: u8) {
        self.drinks.push_back(drink);
    }

    /// The station makes one more of the drink under way.
    pub fn double(&mut self) {
        if let Some(&first) = self.drinks.front() {
            self.drinks.push_front(first);
        }
    }

    /// The station has taken such a drink back: the last one.
    pub fn take_back(&mut self, drink: u8) {
        if let Some(at) = self.drinks.iter().rposition(|one| *one == drink) {
            self.drinks.remove(at);
            self.begun &= at > 0;
        }
    }

    /// The station makes `to` in place of the last such drink.
    pub fn change(&mut self, from: u8, to: u8) {
        let last = self.drinks.iter_mut().rfind(|one| **one == from);
        if let Some(drink) = last {
            *drink = to;
        }
    }

    /// The station has forgotten them.
    pub fn clear(&mut self) {
        self.drinks.clear();
        self.begun = false;
    }

    /// Takes what the station told.
    pub fn take(&mut self, outputs: &Outputs) {
        if let Some(done) = &outputs.done {
            let at = self.drinks.iter().position(|drink| *drink == done.drink.0);
            at.map(|at| self.drinks.remove(at));
            self.begun &= at != Some(0);
        }
        if let Some(begun) = &outputs.step {
            // One that was put aside goes on, or a press has ordered the last one again.
            let at = self.drinks.iter().position(|drink| *drink == begun.drink.0);
            at.map(|at| self.drinks.remove(at));
            self.drinks.push_front(begun.drink.0);
            self.begun = true;
        }
    }

    /// Nothing is left to be built.
    #[must_use]
    pub fn is_empty(&self) -> bool {
        self.drinks.is_empty()
    }

    /// The first of them has been begun.
    #[must_use]
    pub fn is_begun(&self) -> bool {
        self.begun && !self.drinks.is_empty()
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

#[cfg(test)]
mod tests {
    use pennyweight_core::output::StepBegun;
    use pennyweight_core::spec::DrinkId;

    use super::*;

    fn begun(drink: u8) -> Outputs {
        Outputs {
            step: Some(StepBegun {
                drink: DrinkId(drink),
                step: 0,
                target: None,
            }),
            ..Outputs::default()
        }
    }

    #[test]
    fn it_follows_what_is_changed_while_it_runs() {
        let mut ordered = Ordered::default();
        [3, 1, 3].into_iter().for_each(|drink| ordered.add(drink));
        assert!(!ordered.is_begun());
        ordered.take(&begun(3));
        assert!(ordered.is_begun());
        ordered.change(3, 2);
        assert_eq!(ordered.numbers(), [3, 1, 2]);
        ordered.double();
        assert_eq!(ordered.numbers(), [3, 3, 1, 2]);
        ordered.take_back(3);
        ordered.take_back(1);
        assert_eq!(ordered.numbers(), [3, 2]);
        // The one that waits has been set down first.
        ordered.take(&begun(2));
        assert_eq!(ordered.numbers(), [2, 3]);
        // Once more of what was made last.
        ordered.clear();
        ordered.take(&begun(4));
        assert_eq!(ordered.numbers(), [4]);
    }
}
