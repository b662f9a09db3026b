//! Counting dashes by their jerks, bounded by what they weigh together.

use crate::limits::{DASH_JERK_G_PER_S, DASH_REST_G_PER_S, DASH_SHARE};
use crate::units::{Grams, GramsPerSecond};

/// A count under way.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub(super) struct Count {
    jerks: u8,
    high: bool,
}

impl Count {
    /// Takes the flow of the fast line.
    pub(super) fn follow(&mut self, jerk: GramsPerSecond) {
        if jerk.0 > DASH_JERK_G_PER_S && !self.high {
            self.high = true;
            self.jerks = self.jerks.saturating_add(1);
        } else if jerk.0 < DASH_REST_G_PER_S {
            self.high = false;
        }
    }

    /// One came so abruptly that no flow was seen.
    pub(super) fn tipped(&mut self) {
        self.jerks = self.jerks.saturating_add(1);
    }

    /// How many are in, `mass` together, at `each` apiece.
    pub(super) fn number(&self, mass: Grams, each: Grams) -> u8 {
        // A negative or absent mass casts to 0, a huge one saturates.
        let most = (mass.0 / (DASH_SHARE.0 * each.0)) as u8;
        let least = libm::ceilf(mass.0 / (DASH_SHARE.1 * each.0) - 0.05) as u8;
        self.jerks.max(least).min(most)
    }
}
