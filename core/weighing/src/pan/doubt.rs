//! A code that repeats may be stuck: until that is known, nothing settles on it, and then the pan
//! forgets what it brought.

use crate::limits::ABRUPT_G;
use crate::time::Instant;
use crate::units::Grams;

use super::flow::Flow;
use super::{Pan, State};

impl Pan {
    /// What comes is doubted: nothing settles on it, or is learned from it, until it is not.
    pub fn doubt(&mut self, doubted: bool) {
        self.doubted = doubted;
    }

    /// What came after `since` was no mass. A pour under way is judged anew by what comes next.
    #[cold]
    #[inline(never)]
    pub fn forget_since(&mut self, since: Instant) {
        self.window.forget_since(since);
        self.wander.disturb();
        self.last = None;
    }

    /// The first sample, or the first that is believed again.
    #[cold]
    #[inline(never)]
    pub(super) fn take_up(&mut self, at: Instant, raw: Grams) {
        self.restart(at, raw);
        // A line through two samples rises at random.
        self.last_abrupt = at;
        let apart = (raw - self.level).abs().0;
        match &mut self.state {
            State::Pouring(Flow {
                settle: Some(settle),
                ..
            }) => settle.begin_again(at),
            State::Still if apart > ABRUPT_G + 5.0 * self.noise => self.move_on(at, raw, false),
            State::Still | State::Warming { .. } | State::Moving(_) | State::Pouring(_) => {}
        }
    }
}
