//! From the sheet to what the scale should show.

use super::{Amount, House, Liquid, Quantity};
use crate::liquid::{
    Composition, LiquidError, Measured, Target, shown_over_mass, target, target_poured,
    target_shown,
};

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

    /// The grams a scale shows for one millilitre, air buoyancy included: at 20 degC, or as it is
    /// poured.
    ///
    /// # Errors
    /// [`LiquidError`] when the liquid has no density.
    pub fn shown_g_per_ml(&self, as_poured: bool) -> Result<f64, LiquidError> {
        let density = match self.poured_g_per_m3 {
            Some(density) if as_poured => f64::from(density) / 1_000.0,
            _ => self.composition().density(20.0)?.density,
        };
        Ok(density / 1_000.0 * shown_over_mass(density))
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

    /// The same where volumes are meant as poured; the volume told is the one at 20 degC.
    ///
    /// # Errors
    /// As [`Amount::target`].
    pub fn target_poured(&self, liquid: &Liquid<'_>, house: &House) -> Result<Target, LiquidError> {
        match (self.in_house(house).quantity, liquid.poured_g_per_m3) {
            (Quantity::Volume(ul), Some(density)) => target_poured(
                f64::from(ul) / 1_000.0,
                f64::from(density) / 1_000.0,
                &liquid.composition(),
            ),
            _ => self.target(liquid, house),
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
