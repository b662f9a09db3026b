//! Liquids: from strength, sugar and temperature to a density, and from a volume to what the
//! scale shows.
//!
//! `f64` throughout: once a step, not once a sample. A volume is always the volume at 20 degC,
//! the temperature strengths and sugar contents are stated at; how warm a bottle is changes the
//! room a liquid takes, not the mass that a written amount stands for.
//!
//! | liquid | density from |
//! |---|---|
//! | ethanol and water | OIML R 22 ([`ethanol`]) |
//! | sugar and water | ICUMSA SPS-4 ([`sucrose`]) |
//! | ethanol, sugar and water | Tabarie's relation over both |
//! | anything weighed | what was measured, carried by the expansion of the above |
//!
//! Not modelled: acid, salt, cream, egg, carbon dioxide. A measured density takes care of them.

pub mod ethanol;
pub mod learn;
pub mod sucrose;

mod buoyancy;
mod composition;
mod error;
mod freezing;
mod mixture;
mod root;
mod series;
mod tabarie;

pub use buoyancy::{HIGHEST_HPA, LOWEST_HPA, air_density, shown_over_mass, true_mass, z_factor};
pub use composition::{Composition, Estimate, HIGHEST_DENSITY, LOWEST_DENSITY, Measured, Model};
pub use error::LiquidError;
pub use freezing::freezing_point;
pub use mixture::{Contents, HIGHEST_MASS_G, Mixture};

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
