//! What stands on the pan, whatever its zero.

use super::Pan;
use crate::units::Grams;

impl Pan {
    /// What the pan carries above its calibrated zero. A zero that was taken since does not count,
    /// so that it means the same after the power was off.
    #[must_use]
    pub fn standing(&self) -> Grams {
        self.fast.line().mass
    }
}
