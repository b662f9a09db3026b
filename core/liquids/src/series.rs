//! Power series, the shape of every density formula here.

/// `a[0] + a[1] x + a[2] x^2 + ...`, summed from the highest power down.
pub(super) const fn value(coefficients: &[f64], x: f64) -> f64 {
    let mut rest = coefficients;
    let mut sum = 0.0;
    while let Some((last, lower)) = rest.split_last() {
        sum = sum * x + *last;
        rest = lower;
    }
    sum
}

/// The same sum and its derivative with respect to `x`.
pub(super) fn value_and_slope(coefficients: &[f64], x: f64) -> (f64, f64) {
    coefficients
        .iter()
        .rev()
        .fold((0.0, 0.0), |(sum, slope), a| (sum * x + a, slope * x + sum))
}
