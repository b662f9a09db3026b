//! Turning a formula round: the root of a rising function between two bounds.

/// A step of Newton's this small leaves an error of about its square times half the curvature
/// over the slope; here that ratio stays under 10, the unknowns are of order one, and 1e-11 is
/// left: a hundred thousandth of what a density is to be right to.
const LAST_STEP: f64 = 1e-6;

/// How far beyond its bracket rounding may throw a step.
const ROUNDING: f64 = 1e-12;

/// Halving alone would get from 2 to 1e-12 in 41 steps; Newton's step needs about four.
const MOST_STEPS: u8 = 64;

/// Where `residual`, which returns its value and its slope and rises with its argument, is
/// zero between `low` and `high`. The nearer bound when it is zero nowhere between them.
///
/// Newton's step where it stays inside the bracket, a halving of the bracket where it does not.
/// Not generic: one copy of it in the image, for every formula that is turned round.
#[inline(never)]
pub(super) fn of_rising(
    low: f64,
    high: f64,
    start: f64,
    residual: &dyn Fn(f64) -> (f64, f64),
) -> f64 {
    let (mut low, mut high) = (low, high);
    let mut x = start.max(low).min(high);
    for _ in 0..MOST_STEPS {
        let (value, slope) = residual(x);
        if value == 0.0 {
            return x;
        }
        if value > 0.0 {
            high = x;
        } else {
            low = x;
        }
        let newton = x - value / slope;
        // A slope of zero gives no number and fails both comparisons.
        if newton >= low - ROUNDING && newton <= high + ROUNDING {
            let next = newton.max(low).min(high);
            if libm::fabs(next - x) <= LAST_STEP {
                return next;
            }
            x = next;
        } else {
            x = 0.5 * (low + high);
        }
    }
    x
}
