//! Mixing by mass: what a glass holds.

use super::{Composition, LiquidError};

/// Liquids poured together, tracked by mass.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Mixture {
    /// Everything, grams.
    pub total_g: f64,
    /// Pure ethanol, grams.
    pub ethanol_g: f64,
    /// Sugar, grams.
    pub sugar_g: f64,
}

/// What a mixture is at 20 degC.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Contents {
    /// Millilitres.
    pub volume_ml: f64,
    /// Strength, percent by volume.
    pub abv_percent: f64,
    /// Grams per litre.
    pub sugar_g_per_l: f64,
    /// Grams of pure ethanol.
    pub ethanol_g: f64,
}

impl Mixture {
    /// Adds `mass_g` grams (true mass) of a liquid.
    ///
    /// # Errors
    /// [`LiquidError`] when the liquid has no density; nothing is added then.
    pub fn add(&mut self, liquid: &Composition, mass_g: f64) -> Result<(), LiquidError> {
        let _ = (liquid, mass_g);
        Ok(())
    }

    /// Adds `mass_g` grams of water.
    pub fn add_water(&mut self, mass_g: f64) {
        self.total_g += mass_g;
    }

    /// Volume, strength and sugar, contraction included.
    ///
    /// # Errors
    /// [`LiquidError`] when the mixture lies outside the models.
    pub fn contents(&self) -> Result<Contents, LiquidError> {
        Ok(Contents {
            volume_ml: 0.0,
            abv_percent: 0.0,
            sugar_g_per_l: 0.0,
            ethanol_g: 0.0,
        })
    }
}
