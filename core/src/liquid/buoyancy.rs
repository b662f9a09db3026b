//! What a scale shows of a mass: air buoyancy and conventional mass.

/// What the scale shows over the true mass, for a liquid of `density` kg/m3.
#[must_use]
pub fn shown_over_mass(density: f64) -> f64 {
    (1.0 - 1.2 / density) / (1.0 - 1.2 / 8000.0)
}

/// The true mass behind `shown`, same unit, for a liquid of `density` kg/m3.
#[must_use]
pub fn true_mass(shown: f64, density: f64) -> f64 {
    shown / shown_over_mass(density)
}
