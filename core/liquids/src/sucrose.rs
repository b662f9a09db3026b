//! Sucrose and water by ICUMSA SPS-4.
//!
//! Density over the mass fraction `w` of sucrose and the temperature `t` (degC), in kg/m3, from
//! ICUMSA Specification and Standard SPS-4 as printed in Bubnik, Kadlec, Urban and Bruhns, Sugar
//! Technologists Manual, 8th ed. (Bartens 1995), p. 164:
//!
//! `rho(w, t) = rho_water(t) + sum sum c_ik w^k ((t-20)/100)^i`
//!
//! The source covers `w` to 0.85 and 0 to 100 degC. Against printed tables it is within
//! 0.36 kg/m3 to 75 % by mass and drifts off beyond, so a density is taken from the sugar alone
//! only to [`HIGHEST_BRIX`]; sugar is saturated at 67 % (20 degC) anyway, and what is thicker
//! (honey) is no sucrose solution: it needs a measured density, and the formula then only carries
//! it to another temperature, up to [`HIGHEST_MASS_FRACTION`].
//!
//! Below 0 degC there is no formula: a syrup is refused there, and the sugar of a spirit keeps
//! the share it has at 0 degC (see the Tabarie relation).

use super::error::finite;
use super::{LiquidError, root, series};

/// The most sugar whose density is taken from the formula, percent by mass.
pub const HIGHEST_BRIX: f64 = 75.0;

/// Where the source of the formula ends, mass fraction.
pub const HIGHEST_MASS_FRACTION: f64 = 0.85;

/// The most sugar accepted without a measured density, grams per litre at 20 degC.
pub const HIGHEST_G_PER_L: f64 = 0.75 * density_20c(0.75);

/// The most sugar accepted with a measured density, grams per litre at 20 degC.
pub const HIGHEST_G_PER_L_MEASURED: f64 =
    HIGHEST_MASS_FRACTION * density_20c(HIGHEST_MASS_FRACTION);

/// The lowest temperature of the formula, degC.
pub const LOWEST_C: f64 = 0.0;

/// The highest temperature accepted, degC; the formula goes on to 100.
pub const HIGHEST_C: f64 = 40.0;

/// By powers of `w` from the first, times `((t-20)/100)^i`, `i` from 0 to 4.
const C0: [f64; 6] = [385.1761, 135.3705, 40.9299, -3.9643, 13.4853, -17.289];
const C1: [f64; 5] = [-46.272, -7.172, 1.1597, 5.1126, 17.5254];
const C2: [f64; 4] = [59.7712, 7.2491, 12.363, -35.4791];
const C3: [f64; 3] = [-47.2207, -21.6977, 27.6301];
const C4: [f64; 2] = [18.3184, 12.3081];

/// Water over temperature: the numerator, by powers of `t`; same source.
const WATER_ABOVE: [f64; 6] = [
    999.83952,
    16.952577,
    -7.9905127e-3,
    -46.241757e-6,
    105.84601e-9,
    -281.03006e-12,
];

/// The denominator.
const WATER_BELOW: [f64; 2] = [1.0, 16.887236e-3];

const WATER_20C: f64 = series::value(&WATER_ABOVE, 20.0) / series::value(&WATER_BELOW, 20.0);

/// Density of a sucrose solution, kg/m3, for a `mass_fraction` of sucrose up to
/// [`HIGHEST_MASS_FRACTION`].
///
/// # Errors
/// [`LiquidError::Brix`] outside the source's range, [`LiquidError::Temperature`] above
/// [`HIGHEST_C`], [`LiquidError::Freezing`] below [`LOWEST_C`].
pub fn density(mass_fraction: f64, celsius: f64) -> Result<f64, LiquidError> {
    if !(0.0..=HIGHEST_MASS_FRACTION).contains(&finite(mass_fraction)?) {
        return Err(LiquidError::Brix(mass_fraction * 100.0));
    }
    if finite(celsius)? > HIGHEST_C {
        return Err(LiquidError::Temperature(celsius));
    }
    if celsius < LOWEST_C {
        return Err(LiquidError::Freezing {
            celsius,
            lowest: LOWEST_C,
        });
    }
    let water = series::value(&WATER_ABOVE, celsius) / series::value(&WATER_BELOW, celsius);
    Ok(water + increment(mass_fraction, celsius))
}

/// Grams of sucrose per litre at 20 degC of a solution with this `mass_fraction`.
///
/// # Errors
/// [`LiquidError::Brix`] outside the source's range.
pub fn grams_per_litre(mass_fraction: f64) -> Result<f64, LiquidError> {
    Ok(mass_fraction * density(mass_fraction, 20.0)?)
}

/// Mass fraction of sucrose of a solution with so many grams per litre at 20 degC.
///
/// # Errors
/// [`LiquidError::Sugar`] outside 0 to [`HIGHEST_G_PER_L_MEASURED`].
pub fn mass_fraction(g_per_l: f64) -> Result<f64, LiquidError> {
    if (0.0..=HIGHEST_G_PER_L_MEASURED).contains(&finite(g_per_l)?) {
        Ok(fraction_holding(g_per_l))
    } else {
        Err(LiquidError::Sugar(g_per_l))
    }
}

/// [`mass_fraction`] for what is known to lie in range.
pub(super) fn fraction_holding(g_per_l: f64) -> f64 {
    // Within 0.001 of the root everywhere.
    let start = g_per_l / (1009.3 + 0.3566 * g_per_l);
    root::of_rising(0.0, HIGHEST_MASS_FRACTION, start, &|w| {
        let (density, slope) = density_and_slope_20c(w);
        ((w * density - g_per_l) * 1e-3, (density + w * slope) * 1e-3)
    })
}

/// Density at 20 degC, kg/m3, for a mass fraction in range.
pub(super) const fn density_20c(mass_fraction: f64) -> f64 {
    WATER_20C + mass_fraction * series::value(&C0, mass_fraction)
}

/// Density at 20 degC and its slope per unit of mass fraction.
pub(super) fn density_and_slope_20c(mass_fraction: f64) -> (f64, f64) {
    let (sum, slope) = series::value_and_slope(&C0, mass_fraction);
    (WATER_20C + mass_fraction * sum, sum + mass_fraction * slope)
}

/// What the sucrose adds to the density of water, kg/m3; held below 0 degC at its value there.
pub(super) fn increment(mass_fraction: f64, celsius: f64) -> f64 {
    let above_20 = (celsius.max(LOWEST_C) - 20.0) / 100.0;
    let by_temperature = [
        series::value(&C0, mass_fraction),
        series::value(&C1, mass_fraction),
        series::value(&C2, mass_fraction),
        series::value(&C3, mass_fraction),
        series::value(&C4, mass_fraction),
    ];
    mass_fraction * series::value(&by_temperature, above_20)
}

/// The mass fraction whose sucrose adds so much to the density of water, kg/m3 at `celsius`; the
/// nearer of 0 and `most` where none does.
pub(super) fn fraction_adding(added: f64, celsius: f64, most: f64) -> f64 {
    const STEP: f64 = 1e-4;
    // A chord over the formula, which bends little: within 0.02 of the root.
    root::of_rising(0.0, most, added / 470.0, &|w| {
        let here = increment(w, celsius);
        let slope = (increment(w + STEP, celsius) - here) / STEP;
        ((here - added) * 1e-3, slope * 1e-3)
    })
}

/// What the sucrose of a mass fraction adds at 20 degC, and its slope per gram per litre.
pub(super) fn increment_20c(w: f64) -> (f64, f64) {
    let (density, slope) = density_and_slope_20c(w);
    (density - WATER_20C, slope / (density + w * slope))
}
