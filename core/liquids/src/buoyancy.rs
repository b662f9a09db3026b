//! What a scale shows of a mass: air buoyancy and conventional mass.
//!
//! A scale is adjusted with weights whose density is taken as 8000 kg/m3 in air of 1.2 kg/m3
//! (OIML D 28, OIML R 111). A liquid is lighter for its room, the air lifts it more, and the
//! scale shows about a thousandth less than its mass.

use super::LiquidError;
use super::error::finite;

/// Air by convention, kg/m3 (OIML D 28, R 111).
pub const CONVENTIONAL_AIR: f64 = 1.2;

/// Weights by convention, kg/m3 (OIML D 28, R 111).
pub const CONVENTIONAL_WEIGHT: f64 = 8000.0;

/// The lowest air pressure accepted, hPa: a bar at 4000 m.
pub const LOWEST_HPA: f64 = 600.0;

/// The highest air pressure accepted, hPa: beyond any weather at sea level.
pub const HIGHEST_HPA: f64 = 1100.0;

/// Densities for which lift means anything, kg/m3; outside them nothing is corrected.
const LIQUIDS: core::ops::RangeInclusive<f64> = 100.0..=20_000.0;

/// What the scale shows over the true mass, for a liquid of `density` kg/m3. 1 for what is no
/// liquid's density.
#[must_use]
pub fn shown_over_mass(density: f64) -> f64 {
    if LIQUIDS.contains(&density) {
        (1.0 - CONVENTIONAL_AIR / density) / (1.0 - CONVENTIONAL_AIR / CONVENTIONAL_WEIGHT)
    } else {
        1.0
    }
}

/// The true mass behind `shown`, same unit, for a liquid of `density` kg/m3. 0 when `shown` is
/// not a finite number.
#[must_use]
pub fn true_mass(shown: f64, density: f64) -> f64 {
    if shown.is_finite() {
        shown / shown_over_mass(density)
    } else {
        0.0
    }
}

/// Density of air, kg/m3, at a pressure in hPa and a relative humidity in percent: the
/// approximation of OIML R 111-1 (2004), E.3.
///
/// # Errors
/// [`LiquidError::Temperature`] outside the range of the liquids, [`LiquidError::Pressure`]
/// outside [`LOWEST_HPA`] to [`HIGHEST_HPA`], [`LiquidError::Humidity`] outside 0 to 100.
pub fn air_density(celsius: f64, hpa: f64, humidity_percent: f64) -> Result<f64, LiquidError> {
    let t = super::ethanol::temperature(celsius)?;
    if !(LOWEST_HPA..=HIGHEST_HPA).contains(&finite(hpa)?) {
        return Err(LiquidError::Pressure(hpa));
    }
    if !(0.0..=100.0).contains(&finite(humidity_percent)?) {
        return Err(LiquidError::Humidity(humidity_percent));
    }
    let moisture = 0.009 * humidity_percent * libm::exp(0.061 * t);
    Ok((0.34848 * hpa - moisture) / (273.15 + t))
}

/// Microlitres of a liquid of `density` kg/m3 for each milligram shown in air of `air` kg/m3, on
/// a scale adjusted with conventional weights (the Z factor of ISO 8655-6).
///
/// # Errors
/// [`LiquidError::Density`] for what is no liquid's density or lighter than the air.
pub fn z_factor(density: f64, air: f64) -> Result<f64, LiquidError> {
    finite(air)?;
    if !LIQUIDS.contains(&finite(density)?) || !(0.0..100.0).contains(&air) {
        return Err(LiquidError::Density(density));
    }
    Ok(1000.0 * (1.0 - air / CONVENTIONAL_WEIGHT) / (density - air))
}
