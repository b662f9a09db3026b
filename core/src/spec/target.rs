//! From the sheet to what the scale should show.

use super::{Amount, House, Liquid, Quantity};
use crate::liquid::{Composition, LiquidError, Measured, Target, target, target_shown};

impl Liquid<'_> {
    /// What the liquid is made of, for the models in [`crate::liquid`].
    #[must_use]
    pub fn composition(&self) -> Composition {
        Composition {
            strength: f64::from(self.abv_centi) / 10_000.0,
            sugar_g_per_l: f64::from(self.sugar_dg_per_l) / 10.0,
            measured: self.density_g_per_m3.map(|density| Measured {
                density: f64::from(density) / 1_000.0,
                at: f64::from(self.density_at_centi_c) / 100.0,
            }),
        }
    }

    /// The grams a scale shows for one millilitre at 20 degC, air buoyancy included.
    ///
    /// # Errors
    /// [`LiquidError`] when the liquid has no density.
    pub fn shown_g_per_ml(&self) -> Result<f64, LiquidError> {
        target(1.0, &self.composition()).map(|of_one| of_one.shown_g)
    }
}

impl Amount {
    /// What this amount of `liquid` comes to; nothing for pieces, whose mass the step itself
    /// states.
    ///
    /// # Errors
    /// [`LiquidError`] when the liquid has no density.
    pub fn target(&self, liquid: &Liquid<'_>, house: &House) -> Result<Target, LiquidError> {
        let liquid = liquid.composition();
        match self.in_house(house).quantity {
            Quantity::Volume(ul) => target(f64::from(ul) / 1_000.0, &liquid),
            Quantity::Mass(mg) => target_shown(f64::from(mg) / 1_000.0, &liquid),
            Quantity::Count(_) => target(0.0, &liquid),
        }
    }

    /// The grams a scale shows for this amount of `liquid`, as [`Amount::target`] has them.
    ///
    /// # Errors
    /// [`LiquidError`] when the liquid has no density.
    pub fn shown_g(&self, liquid: &Liquid<'_>, house: &House) -> Result<f64, LiquidError> {
        self.target(liquid, house).map(|target| target.shown_g)
    }
}
