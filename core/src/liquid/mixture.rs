//! Mixing by mass: what a glass holds.
//!
//! Masses add up, volumes do not: ethanol and water contract by up to 4 %. So ethanol, sugar and
//! the whole are kept by mass, and the volume is the one at which the density of that strength
//! and sugar makes up the mass: with `q = E / (rho_ethanol V)` and `c = S / V`, the `V` for which
//! `rho(q, c) V = M`. Juice, cream or salt that a measured density tells of is kept as the volume
//! by which the liquid departs from its model, and added back.

use super::error::finite;
use super::{Composition, LiquidError, ethanol, root, sucrose, tabarie};

/// The most a glass holds, grams: beyond any vessel.
pub const HIGHEST_MASS_G: f64 = 1e6;

/// Less than this in a glass is nothing, grams.
const NOTHING_G: f64 = 1e-9;

/// Liquids poured together, tracked by mass.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub struct Mixture {
    /// Everything, grams.
    pub total_g: f64,
    /// Pure ethanol, grams.
    pub ethanol_g: f64,
    /// Sugar, grams.
    pub sugar_g: f64,
    /// Millilitres at 20 degC by which liquids of measured density take more room than the
    /// model gives them; negative when they take less.
    pub excess_ml: f64,
}

/// What a mixture is at 20 degC.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
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
    /// [`LiquidError`] when the liquid has no density at 20 degC, [`LiquidError::Mass`] when it
    /// is negative or brings the glass beyond [`HIGHEST_MASS_G`]; nothing is added then.
    pub fn add(&mut self, liquid: &Composition, mass_g: f64) -> Result<(), LiquidError> {
        if !self.has_room_for(finite(mass_g)?) {
            return Err(LiquidError::Mass(mass_g));
        }
        let density = liquid.density(20.0)?.density;
        let ethanol_share = liquid.strength * ethanol::PURE_20C / density;
        let sugar_share = liquid.sugar_g_per_l / density;
        self.total_g += mass_g;
        self.ethanol_g += ethanol_share * mass_g;
        self.sugar_g += sugar_share * mass_g;
        if liquid.measured.is_some() {
            let own = 1000.0 / density;
            self.excess_ml += (own - volume_of_gram(ethanol_share, sugar_share)) * mass_g;
        }
        Ok(())
    }

    /// Adds `mass_g` grams of water. What is no mass (negative, not a number, too much
    /// for [`HIGHEST_MASS_G`]) adds nothing.
    pub fn add_water(&mut self, mass_g: f64) {
        if self.has_room_for(mass_g) {
            self.total_g += mass_g;
        }
    }

    fn has_room_for(&self, mass_g: f64) -> bool {
        mass_g >= 0.0 && self.total_g + mass_g <= HIGHEST_MASS_G
    }

    /// Volume, strength and sugar, contraction included. An empty mixture is all zeros.
    ///
    /// # Errors
    /// [`LiquidError::NotANumber`] or [`LiquidError::Mass`] when the fields hold what no pouring
    /// leads to.
    pub fn contents(&self) -> Result<Contents, LiquidError> {
        for field in [self.total_g, self.ethanol_g, self.sugar_g] {
            if !(0.0..=HIGHEST_MASS_G).contains(&finite(field)?) {
                return Err(LiquidError::Mass(field));
            }
        }
        finite(self.excess_ml)?;
        if self.total_g < NOTHING_G {
            return Ok(Contents::default());
        }
        let ethanol_share = self.ethanol_g / self.total_g;
        let sugar_share = self.sugar_g / self.total_g;
        let volume_ml = volume_of_gram(ethanol_share, sugar_share) * self.total_g + self.excess_ml;
        // A gram of anything drinkable takes 0.6 to 1.4 ml; rounding may lift ethanol above pure.
        if !(0.1 * self.total_g..=10.0 * self.total_g).contains(&volume_ml) || ethanol_share > 1.1 {
            return Err(LiquidError::Mass(self.total_g));
        }
        Ok(Contents {
            volume_ml,
            abv_percent: (1e5 * self.ethanol_g / ethanol::PURE_20C / volume_ml).min(100.0),
            sugar_g_per_l: 1000.0 * self.sugar_g / volume_ml,
            ethanol_g: self.ethanol_g,
        })
    }
}

/// Millilitres at 20 degC that a gram takes, by the models, with these shares of its mass.
/// Shares that leave no liquid are drawn in to the nearest that do.
fn volume_of_gram(ethanol_share: f64, sugar_share: f64) -> f64 {
    let ethanol_share = ethanol_share.min(1.0);
    let sugar_share = sugar_share.min(sucrose::HIGHEST_MASS_FRACTION);
    if sugar_share <= 0.0 {
        return 1000.0 / ethanol::AT_20C.density(ethanol_share);
    }
    if ethanol_share <= 0.0 {
        return 1000.0 / sucrose::density_20c(sugar_share);
    }
    let pure_ethanol = 1000.0 * ethanol_share / ethanol::PURE_20C;
    let least_for_sugar = 1000.0 * sugar_share / sucrose::HIGHEST_G_PER_L_MEASURED;
    let low = pure_ethanol.max(least_for_sugar).max(0.5);
    // Sugar takes about 0.62 ml a gram, water 1: within a few percent.
    let start = 1.27 * ethanol_share + 0.62 * sugar_share + (1.0 - ethanol_share - sugar_share);
    root::of_rising(low, 2.0, start, |ml| {
        let strength = pure_ethanol / ml;
        let sugar_g_per_l = 1000.0 * sugar_share / ml;
        let here = tabarie::at_20c(strength, sugar_g_per_l);
        let slope = here.density - strength * here.per_strength - sugar_g_per_l * here.per_sugar;
        (ml * here.density / 1000.0 - 1.0, slope / 1000.0)
    })
}
