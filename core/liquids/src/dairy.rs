//! Milk and cream.
//!
//! Fat, solids that are no fat, and water, each with its own density; volumes add up. The
//! component formula of the milk industry (from memory):
//!
//! `1 / rho = f / rho_fat + s / rho_solids + (1 - f - s) / rho_water`, in g/ml and degC
//! `rho_fat = 0.96666 - 0.001334 t`, `rho_solids = 1.635 - 0.0026 t + 0.00002 t^2`
//!
//! Fat is what a carton states; the solids are assumed to be 9.0 % of what is not fat, as skimmed
//! milk has them (from memory). Real ones lie between 8.5 and 9.4 %, which is 1.4 kg/m3 either
//! way, and is what the stated uncertainty is made of.

use super::composition::{Composition, Estimate, Measured, Model};
use super::error::finite;
use super::ethanol::{Isotherm, temperature};
use super::{LiquidError, freezing};

/// The most fat, percent by mass: double cream has 48, clotted cream is no liquid.
pub const HIGHEST_PERCENT: f64 = 55.0;

/// Solids that are no fat, as a share of what is not fat. Assumed.
const SOLIDS: f64 = 0.09;

/// The assumed solids, and the fat as rounded on a carton, percent of the density.
const SIGMA: f64 = 0.1;

/// Density of milk or cream of so many percent fat by mass.
///
/// # Errors
/// [`LiquidError::Fat`] outside 0 to [`HIGHEST_PERCENT`]; [`LiquidError::Temperature`] and
/// [`LiquidError::Freezing`] outside 0 to 40 degC.
pub fn density(percent: f64, celsius: f64) -> Result<Estimate, LiquidError> {
    if !(0.0..=HIGHEST_PERCENT).contains(&finite(percent)?) {
        return Err(LiquidError::Fat(percent));
    }
    freezing::check(0.0, temperature(celsius)?)?;
    let fat = percent / 100.0;
    let solids = SOLIDS * (1.0 - fat);
    let fat_density = 966.66 - 1.334 * celsius;
    let solids_density = 1635.0 - 2.6 * celsius + 0.02 * celsius * celsius;
    let water = Isotherm::at(celsius).density(0.0);
    let volume = fat / fat_density + solids / solids_density + (1.0 - fat - solids) / water;
    Ok(Estimate {
        label_sigma_percent: 0.0,
        density: 1.0 / volume,
        sigma_percent: SIGMA,
        model: Model::Dairy,
    })
}

/// The liquid, by the density it has at 20 degC. Its lactose is not counted as sugar.
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
