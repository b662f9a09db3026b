//! What came at once onto what stands on the pan, and may stay when the vessel goes.

use crate::limits::{EMPTY_G, LEFT_BEHIND};
use crate::units::Grams;

use super::{Pan, State};

impl Pan {
    /// Something lands, or has and is not known yet.
    #[must_use]
    pub fn is_pouring(&self) -> bool {
        matches!(self.state, State::Pouring(_))
    }

    /// What has landed is no pour: nothing more will be told of it.
    pub fn forget_pour(&mut self) {
        self.dripping = None;
    }

    /// Something came at once onto what stands there.
    pub(super) fn stray(&mut self, grams: Grams) {
        let (all, _) = self.slow.strays;
        self.slow.strays = (all + grams, grams);
    }

    /// Something was taken away while something else stayed. True when the vessel went and only
    /// what had been laid beside it stays: that is zero from now on.
    pub(super) fn only_strays_left(&mut self, level: Grams, removed: Grams) -> bool {
        if self.slow.left.0 > 0.0 && is_about(removed, self.slow.left) {
            // What had been taken for zero is gone.
            self.zero -= core::mem::take(&mut self.slow.left);
            return false;
        }
        let rest = level - self.zero;
        let (all, last) = self.slow.strays;
        let only = is_about(rest, all) || is_about(rest, last);
        if only {
            self.zero = level;
            self.slow.left += rest;
        } else {
            self.slow.strays.0 -= removed;
        }
        only
    }

    /// The vessel has gone, or another stands there.
    pub(super) fn forget_strays(&mut self) {
        self.slow.strays = (Grams::ZERO, Grams::ZERO);
    }
}

/// `grams` is what had been laid there, give or take what a towel loses.
fn is_about(grams: Grams, laid: Grams) -> bool {
    let (least, share) = LEFT_BEHIND;
    laid.0 >= EMPTY_G && (grams - laid).abs().0 <= least.max(share * laid.0)
}
