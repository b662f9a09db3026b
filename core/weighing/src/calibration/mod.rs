//! The one place where a code becomes a mass, and how that line is found.
//!
//! - [`weights`]: what weights may be off by;
//! - [`standing`]: when a pan stands still, and at which code;
//! - [`fit`]: the line through zero and up to five weights, how sure it is;
//! - [`refusal`]: why there is none;
//! - [`guided`]: what to put on next.
//!
//! Words: *conventional mass*, what a weight of 8000 kg/m3 that balances it in air of 1.2 kg/m3
//! at 20 degC would weigh (OIML D 28, R 111): certificates state it, and a scale adjusted with
//! such weights shows it, so no correction for air is made. *Span*, codes per gram. *Even
//! spread*, anywhere between plus and minus a bound with equal chance: its standard uncertainty
//! is the bound over the square root of three (JCGM 100:2008, 4.3.7).

pub mod fit;
pub mod guided;
pub mod refusal;
pub mod standing;
pub mod weights;

use serde::{Deserialize, Serialize};

use crate::units::{AdcCode, Grams};

/// A straight line through zero and span.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
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
