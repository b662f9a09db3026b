//! Standard deviations from variances.

/// One standard deviation, of the variance's root unit. Worked out in 32 bits: what is known to
/// a few percent needs no more, and the 64-bit root takes 0.8 KB of flash.
pub(crate) fn of_variance(variance: f64) -> f64 {
    libm::sqrtf(variance.max(0.0) as f32).into()
}

/// Two independent uncertainties as one.
pub(crate) fn together(a: f64, b: f64) -> f64 {
    of_variance(a * a + b * b)
}
