//! Honey.
//!
//! Its density at 20 degC falls with its water, along a straight line through 1420 kg/m3 at
//! 17.5 % water (USDA SR28: a tablespoon weighs 1.42 g/ml) by 6 kg/m3 for each percent (from
//! memory). With temperature it expands as a sucrose solution of as much dry matter does (ICUMSA
//! SPS-4; assumed).

use super::composition::{Composition, Estimate, Measured, Model};
use super::error::finite;
use super::ethanol::temperature;
use super::{LiquidError, sucrose};

/// The least water, percent by mass: as far as the sucrose formula reaches.
pub const LOWEST_WATER: f64 = 15.0;

/// The most water, percent by mass; 20 is the legal bound for most honeys (Directive
/// 2001/110/EC, from memory), heather honey has 23.
pub const HIGHEST_WATER: f64 = 23.0;

/// Percent: the cup of USDA SR28 has 1433 kg/m3 where the tablespoon has 1420. Assumed to hold
/// for the line too.
const SIGMA: f64 = 0.5;

/// Density of honey with so many percent water by mass.
///
/// # Errors
/// [`LiquidError::HoneyWater`] outside [`LOWEST_WATER`] to [`HIGHEST_WATER`];
/// [`LiquidError::Temperature`] and [`LiquidError::Freezing`] outside 0 to 40 degC.
pub fn density(water_percent: f64, celsius: f64) -> Result<Estimate, LiquidError> {
    let at_20 = density_20c(water_percent)?;
    temperature(celsius)?;
    let dry = 1.0 - water_percent / 100.0;
    let expansion = sucrose::density(dry, celsius)? / sucrose::density_20c(dry);
    Ok(Estimate {
        label_sigma_percent: 0.0,
        density: at_20 * expansion,
        sigma_percent: SIGMA,
        model: Model::Honey,
    })
}

/// The liquid, by the density it has at 20 degC. All that is not water counts as sugar.
///
/// # Errors
/// [`LiquidError::HoneyWater`].
pub fn liquid(water_percent: f64) -> Result<Composition, LiquidError> {
    let density = density_20c(water_percent)?;
    Ok(Composition {
        sugar_g_per_l: density * (1.0 - water_percent / 100.0),
        measured: Some(Measured { density, at: 20.0 }),
        ..Composition::default()
    })
}

fn density_20c(water_percent: f64) -> Result<f64, LiquidError> {
    if (LOWEST_WATER..=HIGHEST_WATER).contains(&finite(water_percent)?) {
        Ok(1420.0 - 6.0 * (water_percent - 17.5))
    } else {
        Err(LiquidError::HoneyWater(water_percent))
    }
}
