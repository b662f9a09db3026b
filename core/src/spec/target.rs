//! From the sheet to what the scale should show.

use super::{Amount, House, Liquid, Quantity};
use crate::liquid::{Composition, LiquidError, Measured, shown_over_mass};

/// The temperature at which volumes are meant, degC.
const VOLUME_AT_CELSIUS: f64 = 20.0;

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
        let density = self.composition().density(VOLUME_AT_CELSIUS)?.density;
        Ok(density / 1_000.0 * shown_over_mass(density))
    }
}

impl Amount {
    /// The grams a scale shows for this amount of `liquid`; nothing for pieces, whose mass the
    /// step itself states.
    ///
    /// # Errors
    /// [`LiquidError`] when the liquid has no density.
    pub fn shown_g(&self, liquid: &Liquid<'_>, house: &House) -> Result<f64, LiquidError> {
        match self.in_house(house).quantity {
            Quantity::Volume(ul) => Ok(f64::from(ul) / 1_000.0 * liquid.shown_g_per_ml()?),
            Quantity::Mass(mg) => Ok(f64::from(mg) / 1_000.0),
            Quantity::Count(_) => Ok(0.0),
        }
    }
}
