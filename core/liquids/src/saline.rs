//! Salt in water.
//!
//! Apparent density of the dissolved salt, from M. Laliberte and W. E. Cooper, Model for
//! calculating the density of aqueous electrolyte solutions, J. Chem. Eng. Data 49 (2004)
//! 1141-1151; form and coefficients for sodium chloride from memory:
//!
//! `1 / rho = w / rho_salt + (1 - w) / rho_water`,
//! `rho_salt = (c0 w + c1) exp((t + c4)^2 / 10^6) / (w + c2 + c3 t)`
//!
//! with the mass fraction `w` and `t` in degC. Against another evaluation of the model it is
//! within 0.05 kg/m3 to 20 % and 0.2 at 25 %; against handbook figures (CRC, from memory) within
//! 0.3 to 20 % and 0.7 at 26 %.

use super::composition::{Composition, Estimate, Measured, Model};
use super::error::finite;
use super::ethanol::{Isotherm, temperature};
use super::{LiquidError, freezing};

/// The most salt, percent by mass: water holds 26.4 at 20 degC (from memory).
pub const HIGHEST_PERCENT: f64 = 26.0;

/// The formula against a handbook, percent: 0.7 kg/m3 at 26 % salt. The salt is taken as stated.
const SIGMA: f64 = 0.05;

const C0: f64 = -0.004_33;
const C1: f64 = 0.064_71;
const C2: f64 = 1.016_6;
const C3: f64 = 0.014_624;
const C4: f64 = 3315.6;

/// Density of water with so many percent salt by mass in it.
///
/// # Errors
/// [`LiquidError::Salt`] outside 0 to [`HIGHEST_PERCENT`]; [`LiquidError::Temperature`] and
/// [`LiquidError::Freezing`] outside 0 to 40 degC, where the formula is known to hold.
pub fn density(percent: f64, celsius: f64) -> Result<Estimate, LiquidError> {
    if !(0.0..=HIGHEST_PERCENT).contains(&finite(percent)?) {
        return Err(LiquidError::Salt(percent));
    }
    freezing::check(0.0, temperature(celsius)?)?;
    let w = percent / 100.0;
    let water = Isotherm::at(celsius).density(0.0);
    let volume = w * apparent_volume(w, celsius) + (1.0 - w) / water;
    Ok(Estimate {
        label_sigma_percent: 0.0,
        density: 1.0 / volume,
        sigma_percent: SIGMA,
        model: Model::Saline,
    })
}

/// The liquid, by the density it has at 20 degC.
///
/// # Errors
/// As [`density`].
pub fn liquid(percent: f64) -> Result<Composition, LiquidError> {
    Ok(Composition {
        measured: Some(Measured {
            density: density(percent, 20.0)?.density,
            at: 20.0,
        }),
        ..Composition::default()
    })
}

/// Millilitres that a gram of salt takes up at 20 degC in water that holds so many percent of it
/// by mass.
///
/// # Errors
/// [`LiquidError::Salt`] outside 0 to [`HIGHEST_PERCENT`].
pub fn ml_per_gram(percent: f64) -> Result<f64, LiquidError> {
    if (0.0..=HIGHEST_PERCENT).contains(&finite(percent)?) {
        Ok(1000.0 * apparent_volume(percent / 100.0, 20.0))
    } else {
        Err(LiquidError::Salt(percent))
    }
}

/// Cubic metres to the kilogram.
fn apparent_volume(w: f64, celsius: f64) -> f64 {
    let warm = celsius + C4;
    (w + C2 + C3 * celsius) / ((C0 * w + C1) * libm::exp(1e-6 * warm * warm))
}
