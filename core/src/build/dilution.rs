//! Water from ice: weighed where the drink was strained on the scale, expected otherwise.

use crate::limits::HOLD_UP_G;
use crate::view::Work;

/// The expected dilution, water over undiluted volume, for a strength given as a fraction.
///
/// Stirred `-1.21 x^2 + 1.246 x + 0.145`, shaken `-1.567 x^2 + 1.742 x + 0.203`: empirical fits
/// (D. Arnold, Liquid Intelligence, W. W. Norton 2014; coefficients from memory), made over
/// roughly 15 to 50 % vol; `None` outside. Hand, ice and time move it by 10 percentage points.
pub(super) fn expected(work: Work, strength: f64) -> Option<f64> {
    if !(0.15..=0.50).contains(&strength) {
        return None;
    }
    let x = strength;
    Some(match work {
        Work::Stir => (-1.21 * x + 1.246) * x + 0.145,
        Work::Shake => (-1.567 * x + 1.742) * x + 0.203,
    })
}

/// What stays behind on ice and vessel, grams.
pub(super) const fn hold_up_g(work: Work) -> f32 {
    match work {
        Work::Stir => HOLD_UP_G.0,
        Work::Shake => HOLD_UP_G.1,
    }
}
