//! The one place where a code becomes a mass.

use crate::units::{AdcCode, Grams};

/// A straight line through zero and span.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub struct Calibration {
    /// The code of the empty pan.
    pub zero_code: i32,
    /// Codes per gram of conventional mass; not zero.
    pub counts_per_gram: f32,
}

impl Calibration {
    /// What the scale shows for `code`: exact to the converter's 24 bits.
    #[must_use]
    pub fn grams(&self, code: AdcCode) -> Grams {
        Grams(code.0.saturating_sub(self.zero_code) as f32 / self.counts_per_gram)
    }

    /// The span is a usable number.
    #[must_use]
    pub fn is_usable(&self) -> bool {
        self.counts_per_gram.is_finite() && self.counts_per_gram.abs() >= 1.0
    }
}
