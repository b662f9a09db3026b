//! After an over-pour: by how much a drink has to grow for its ratios to be right again.
//!
//! A liquid that is in cannot be taken out of a mixture, but everything else can be added. A
//! drink grown by a factor `k >= 1` asks for `k` times each target, judged in the band of a pour
//! of that size, `max(least, share of the target)`. A liquid `p` poured over its target `t` is
//! within it from
//!
//! ```text
//! k = min((p - least) / t, p / (t (1 + share)))
//! ```
//!
//! on; the largest of these over all liquids is the smallest growth that helps them all. Whatever
//! then lies below its band is added to `k` times its target; nothing is asked to be less.

use crate::units::Grams;

/// A liquid of the drink, grams as the scale shows them.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Part {
    /// What the spec asks for.
    pub target: Grams,
    /// What is in.
    pub poured: Grams,
    /// The narrowest band it is judged in.
    pub least: Grams,
    /// The band as a share of the target.
    pub share: f32,
}

impl Part {
    /// The smallest growth with which this part is not over; less than 1 when it never was.
    fn needs(&self) -> f32 {
        if self.target.0 <= 0.0 {
            return 0.0;
        }
        let by_least = (self.poured - self.least).0 / self.target.0;
        let by_share = self.poured.0 / (self.target.0 * (1.0 + self.share));
        by_least.min(by_share)
    }

    /// Its band in the grown drink.
    fn band(&self, growth: f32) -> Grams {
        Grams(self.least.0.max(self.share * growth * self.target.0))
    }

    /// What is to be added in the grown drink; `None` when it is within its band.
    #[must_use]
    pub fn missing(&self, growth: f32) -> Option<Grams> {
        let missing = self.target * growth - self.poured;
        (missing > self.band(growth)).then_some(missing)
    }

    /// What will be in once everything missing is added.
    #[must_use]
    pub fn mended(&self, growth: f32) -> Grams {
        self.poured + self.missing(growth).unwrap_or(Grams::ZERO)
    }
}

/// The smallest growth, at least 1, that leaves no part over its band.
///
/// Parts that are still to come count with nothing poured.
pub fn growth(parts: impl IntoIterator<Item = Part>) -> f32 {
    parts
        .into_iter()
        .fold(1.0, |growth, part| growth.max(part.needs()))
}
