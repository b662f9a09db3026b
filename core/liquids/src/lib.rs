//! Liquids: from strength, sugar and temperature to a density, and from a volume to what the
//! scale shows.
//!
//! `f64` throughout: once a step, not once a sample. A volume is the volume at 20 degC, the
//! temperature strengths and sugar contents are stated at, unless a sheet means volumes as poured:
//! those are volumes at the bottle's temperature.
//!
//! | liquid | density from |
//! |---|---|
//! | ethanol and water | OIML R 22 ([`ethanol`]) |
//! | sugar and water | ICUMSA SPS-4 ([`sucrose`]) |
//! | ethanol, sugar and water | Tabarie's relation over both |
//! | salt and water | Laliberte and Cooper ([`saline`]) |
//! | milk and cream | fat, solids and water ([`dairy`]) |
//! | honey | a straight line over its water ([`honey`]) |
//! | anything weighed | what was measured, carried by the expansion of the above |
//!
//! Not modelled: acid, egg, carbon dioxide. A measured density takes care of them.

#![no_std]

pub mod dairy;
pub mod dilution;
pub mod ethanol;
pub mod heat;
pub mod honey;
pub mod ice;
pub mod learn;
pub mod saline;
pub mod stand_in;
pub mod sucrose;

mod buoyancy;
mod composition;
mod error;
mod freezing;
mod mixture;
mod root;
mod series;
mod spread;
mod standard;
mod tabarie;

pub use buoyancy::{HIGHEST_HPA, LOWEST_HPA, air_density, shown_over_mass, true_mass, z_factor};
pub use composition::{Composition, Estimate, HIGHEST_DENSITY, LOWEST_DENSITY, Measured, Model};
pub use error::LiquidError;
pub use freezing::freezing_point;
pub use mixture::{Contents, HIGHEST_MASS_G, Mixture};
pub use spread::deviation;
pub use spread::{ContentsSigma, Spread};
pub use standard::{STANDARD_DRINKS, StandardDrink};

/// The largest volume that is asked for, millilitres: beyond any vessel.
pub const HIGHEST_ML: f64 = 1e6;

/// A volume at 20 degC and the mass it stands for.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub struct Target {
    /// Millilitres at 20 degC.
    pub volume_ml: f64,
    /// True mass, grams.
    pub mass_g: f64,
    /// What the scale shows of it, grams.
    pub shown_g: f64,
    /// The density behind it, at 20 degC.
    pub estimate: Estimate,
}

/// The mass of `volume_ml` millilitres at 20 degC.
///
/// # Errors
/// [`LiquidError::Volume`] outside 0 to [`HIGHEST_ML`], and as [`Composition::density`].
pub fn target(volume_ml: f64, liquid: &Composition) -> Result<Target, LiquidError> {
    if !(0.0..=HIGHEST_ML).contains(&error::finite(volume_ml)?) {
        return Err(LiquidError::Volume(volume_ml));
    }
    let estimate = liquid.density(20.0)?;
    let mass_g = volume_ml * estimate.density / 1000.0;
    Ok(Target {
        volume_ml,
        mass_g,
        shown_g: mass_g * shown_over_mass(estimate.density),
        estimate,
    })
}

/// The mass of `volume_ml` millilitres of a liquid that is poured at another temperature, where
/// it has `density_there` kg/m3; the volume told is still the one at 20 degC.
///
/// # Errors
/// As [`target`], and [`LiquidError::Density`] outside [`LOWEST_DENSITY`] to [`HIGHEST_DENSITY`].
pub fn target_poured(
    volume_ml: f64,
    density_there: f64,
    liquid: &Composition,
) -> Result<Target, LiquidError> {
    if !(LOWEST_DENSITY..=HIGHEST_DENSITY).contains(&error::finite(density_there)?) {
        return Err(LiquidError::Density(density_there));
    }
    let at_20c = target(volume_ml, liquid)?;
    let mass_g = volume_ml * density_there / 1000.0;
    Ok(Target {
        volume_ml: 1000.0 * mass_g / at_20c.estimate.density,
        mass_g,
        shown_g: mass_g * shown_over_mass(density_there),
        ..at_20c
    })
}

/// The same from the other side: what `shown_g` grams on the scale come to, as an amount
/// written in grams is meant.
///
/// # Errors
/// [`LiquidError::Mass`] outside 0 to [`HIGHEST_MASS_G`], and as [`Composition::density`].
pub fn target_shown(shown_g: f64, liquid: &Composition) -> Result<Target, LiquidError> {
    if !(0.0..=HIGHEST_MASS_G).contains(&error::finite(shown_g)?) {
        return Err(LiquidError::Mass(shown_g));
    }
    let estimate = liquid.density(20.0)?;
    let mass_g = true_mass(shown_g, estimate.density);
    Ok(Target {
        volume_ml: 1000.0 * mass_g / estimate.density,
        mass_g,
        shown_g,
        estimate,
    })
}
