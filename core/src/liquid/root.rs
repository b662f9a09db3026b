//! Turning a formula round: the root of a rising function between two bounds.

/// A step this small ends the search; the unknowns here are all of order one.
const CLOSE_ENOUGH: f64 = 1e-12;

/// Halving alone would get from 2 to 1e-12 in 41 steps; Newton's step needs about five.
const MOST_STEPS: u8 = 64;

/// Where `residual`, which returns its value and its slope and rises with its argument, is
/// zero between `low` and `high`. The nearer bound when it is zero in neither.
///
/// Newton's step where it stays inside the bracket, a halving of the bracket where it does not.
pub(super) fn of_rising(
    low: f64,
    high: f64,
    start: f64,
    residual: impl Fn(f64) -> (f64, f64),
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
        let next = if newton >= low - CLOSE_ENOUGH && newton <= high + CLOSE_ENOUGH {
            newton.max(low).min(high)
        } else {
            0.5 * (low + high)
        };
        let step = libm::fabs(next - x);
        x = next;
        if step <= CLOSE_ENOUGH {
            return x;
        }
    }
    x
}
