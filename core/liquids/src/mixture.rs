//! Mixing by mass: what a glass holds.
//!
//! Masses add up, volumes do not: ethanol and water contract by up to 4 %. So ethanol, sugar and
//! the whole are kept by mass, and the volume is the one at which the density of that strength
//! and sugar makes up the mass: with `q = E / (rho_ethanol V)` and `c = S / V`, the `V` for which
//! `rho(q, c) V = M` by the Tabarie relation. Juice, cream or salt that a measured density tells of is kept as the volume
//! by which the liquid departs from its model, and added back. How uncertain all this is travels
//! along as a [`Spread`].

use super::composition::LABEL_SIGMA;
use super::error::finite;
use super::spread::{ContentsSigma, Deviation, Spread};
use super::{Composition, Estimate, LiquidError, ethanol, root, sucrose};

/// Density of water at 20 degC, g/ml (ITS-90, Tanaka et al. 2001: 998.2067 kg/m3).
pub(super) const WATER_G_PER_ML: f64 = 0.998_207;

/// The most a glass holds, grams: beyond any vessel.
pub const HIGHEST_MASS_G: f64 = 1e6;

/// Less than this in a glass is nothing, grams.
const NOTHING_G: f64 = 1e-9;

/// Less ethanol than this, as a share of the mass, takes no room.
const NO_SHARE: f64 = 1e-9;

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
    /// How well all this is known.
    pub spread: Spread,
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
    /// How well each is known.
    pub sigma: ContentsSigma,
}

impl Mixture {
    /// Nothing at all.
    pub const EMPTY: Self = Self {
        total_g: 0.0,
        ethanol_g: 0.0,
        sugar_g: 0.0,
        excess_ml: 0.0,
        spread: Spread::NONE,
    };

    /// Adds `mass_g` grams (true mass) of a liquid, known to one standard deviation of `sigma_g`
    /// grams. A strength counts as a label's, with the label's tolerance.
    ///
    /// # Errors
    /// [`LiquidError`] when the liquid has no density at 20 degC, [`LiquidError::Mass`] when the
    /// mass or its deviation is negative or brings the glass beyond [`HIGHEST_MASS_G`]; nothing
    /// is added then.
    pub fn add(
        &mut self,
        liquid: &Composition,
        mass_g: f64,
        sigma_g: f64,
    ) -> Result<(), LiquidError> {
        if !self.has_room_for(finite(mass_g)?) {
            return Err(LiquidError::Mass(mass_g));
        }
        if !(0.0..=HIGHEST_MASS_G).contains(&finite(sigma_g)?) {
            return Err(LiquidError::Mass(sigma_g));
        }
        let estimate = liquid.density(20.0)?;
        let density = estimate.density;
        let ethanol_share = liquid.strength * ethanol::PURE_20C / density;
        let sugar_share = liquid.sugar_g_per_l / density;
        self.total_g += mass_g;
        self.ethanol_g += ethanol_share * mass_g;
        self.sugar_g += sugar_share * mass_g;
        if liquid.measured.is_some() {
            let own = 1000.0 / density;
            self.excess_ml += (own - volume_of_gram(ethanol_share, sugar_share)) * mass_g;
        }
        self.deviate(liquid, &estimate, mass_g as f32, sigma_g as f32);
        Ok(())
    }

    /// Adds `mass_g` grams of water, known to one standard deviation of `sigma_g` grams. What is
    /// no mass (negative, not a number, too much for [`HIGHEST_MASS_G`]) adds nothing.
    pub fn add_water(&mut self, mass_g: f64, sigma_g: f64) {
        let sigma_g = sigma_g as f32;
        if self.has_room_for(mass_g) && (0.0..=HIGHEST_MASS_G as f32).contains(&sigma_g) {
            self.total_g += mass_g;
            self.spread.add(Deviation {
                mass: sigma_g,
                volume: sigma_g / WATER_G_PER_ML as f32,
                ethanol: 0.0,
                sugar: 0.0,
            });
        }
    }

    /// So much of it, as a share.
    #[must_use]
    pub fn share(mut self, share: f64) -> Self {
        self.total_g *= share;
        self.ethanol_g *= share;
        self.sugar_g *= share;
        self.excess_ml *= share;
        self.spread.scale(share as f32);
        self
    }

    /// Together with another, poured independently of it.
    #[must_use]
    pub fn and(mut self, other: &Self) -> Self {
        self.total_g += other.total_g;
        self.ethanol_g += other.ethanol_g;
        self.sugar_g += other.sugar_g;
        self.excess_ml += other.excess_ml;
        self.spread.join(&other.spread);
        self
    }

    /// What the scale, the density's model and the label may be off by.
    fn deviate(&mut self, liquid: &Composition, estimate: &Estimate, mass_g: f32, sigma_g: f32) {
        let volume = mass_g * 1000.0 / estimate.density as f32;
        let strength = liquid.strength as f32;
        let sugar_g_per_ml = liquid.sugar_g_per_l as f32 / 1000.0;
        let all = estimate.sigma_percent as f32 / 100.0;
        let label = estimate.label_sigma_percent as f32 / 100.0;
        let model = libm::sqrtf((all * all - label * label).max(0.0));
        let label_strength = if strength > 0.0 {
            LABEL_SIGMA as f32
        } else {
            0.0
        };
        let by_scale = sigma_g * 1000.0 / estimate.density as f32;
        for (mass, volume, strength_alone) in [
            (sigma_g, by_scale, 0.0),
            (0.0, model * volume, 0.0),
            (0.0, label * volume, label_strength * volume),
        ] {
            self.spread.add(Deviation {
                mass,
                volume,
                ethanol: strength * volume + strength_alone,
                sugar: sugar_g_per_ml * volume,
            });
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
        let strength = (1e3 * self.ethanol_g / ethanol::PURE_20C / volume_ml).min(1.0);
        let sugar_g_per_ml = self.sugar_g / volume_ml;
        Ok(Contents {
            volume_ml,
            abv_percent: 100.0 * strength,
            sugar_g_per_l: 1000.0 * sugar_g_per_ml,
            ethanol_g: self.ethanol_g,
            sigma: self
                .spread
                .sigma(volume_ml as f32, strength as f32, sugar_g_per_ml as f32),
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
    if ethanol_share <= NO_SHARE {
        return 1000.0 / sucrose::density_20c(sugar_share);
    }
    // Sugar takes about 0.62 ml a gram, water 1: within a few percent.
    let ml = 1.27 * ethanol_share + 0.62 * sugar_share + (1.0 - ethanol_share - sugar_share);
    let strength = (1000.0 * ethanol_share / (ethanol::PURE_20C * ml)).min(1.0);
    let start = ethanol::roughly_mass_fraction(strength);
    // The unknown is the mass fraction that the spirit has without its sugar, as a multiple of
    // its start: then the ethanol tells the volume, and the volume tells the sugar per litre.
    let (per_start, sugar_per_ethanol) = (1.0 / start, sugar_share / ethanol_share);
    let multiple = root::of_rising(
        0.5 * ethanol_share * per_start,
        per_start,
        1.0,
        &|multiple| {
            let p = multiple * start;
            let (spirit, slope) = ethanol::AT_20C.density_and_slope(p);
            let ethanol_per_litre = p * spirit;
            let w = sucrose::fraction_holding(sugar_per_ethanol * ethanol_per_litre);
            let (sugar, per_sugar) = sucrose::increment_20c(w);
            let residual = ethanol_per_litre - ethanol_share * (spirit + sugar);
            let rise =
                (spirit + p * slope) * (1.0 - sugar_share * per_sugar) - ethanol_share * slope;
            (residual * per_start * 1e-3, rise * 1e-3)
        },
    );
    let p = multiple * start;
    1000.0 * ethanol_share / (p * ethanol::AT_20C.density(p))
}
