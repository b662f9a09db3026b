//! Good, short or over.

use crate::input::Mode;
use crate::limits::{
    ANY_BAND, DEVELOP_BAND, PORTION_BAND, SERVICE_BAND, SERVICE_SPEAK_UP, SODA_BAND,
    VERDICT_SIGMA_SHARE, WIDE_BAND,
};
use crate::output::{Judgement, Settled, Verdict};
use crate::units::Grams;

/// How strictly a step is judged.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Band {
    /// By the mode.
    Mode(Mode),
    /// A portion of what was mixed ahead, beside others that are to be like it.
    Portion,
    /// Dashes, barspoons, whole things.
    Wide,
    /// Soda.
    Soda,
    /// Recorded, not judged.
    Any,
}

/// The judge of one pour.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Judge {
    /// What the scale was to show.
    pub target: Grams,
    /// Within this it is good.
    pub tolerance: Grams,
    /// Beyond this somebody is told.
    pub speak_up: Grams,
}

impl Judge {
    /// Judges a pour to `target` of a liquid of `grams_per_ml`.
    #[must_use]
    pub fn new(target: Grams, grams_per_ml: f32, band: Band) -> Self {
        let limit = |(ml, share): (f32, f32)| Grams((ml * grams_per_ml).max(share * target.0));
        let (tolerance, speak_up) = match band {
            Band::Mode(Mode::Service | Mode::Plain) => (SERVICE_BAND, SERVICE_SPEAK_UP),
            Band::Mode(Mode::Develop | Mode::Prep) => (DEVELOP_BAND, DEVELOP_BAND),
            Band::Portion => (PORTION_BAND, PORTION_BAND),
            Band::Wide => (WIDE_BAND, WIDE_BAND),
            Band::Soda => (SODA_BAND, SODA_BAND),
            Band::Any => (ANY_BAND, ANY_BAND),
        };
        Self {
            target,
            tolerance: limit(tolerance),
            speak_up: limit(speak_up),
        }
    }

    /// The narrowest band of a pour, ml, and its share of the target, by the way of working.
    #[must_use]
    pub const fn band(mode: Mode) -> (f32, f32) {
        match mode {
            Mode::Service | Mode::Plain => SERVICE_BAND,
            Mode::Develop | Mode::Prep => DEVELOP_BAND,
        }
    }

    /// The value is sure enough to be judged.
    #[must_use]
    pub fn is_sure(&self, poured: Settled) -> bool {
        poured.sigma.0 <= VERDICT_SIGMA_SHARE * self.tolerance.0
    }

    /// The verdict.
    #[must_use]
    pub fn judge(&self, poured: Settled) -> Judgement {
        let error = poured.mass - self.target;
        let verdict = if error > self.tolerance {
            Verdict::Over
        } else if error < -self.tolerance {
            Verdict::Short
        } else {
            Verdict::Good
        };
        Judgement {
            verdict,
            poured,
            error,
        }
    }

    /// What is missing or too much is worth telling somebody.
    #[must_use]
    pub fn speaks_up(&self, judgement: &Judgement) -> bool {
        judgement.error.abs() > self.speak_up
    }
}
