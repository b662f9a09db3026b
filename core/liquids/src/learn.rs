//! Learning a bottle: from a known volume and what the scale shows of it to a density, and from
//! there to the sugar where the strength is known, or to the strength where the sugar is.
//!
//! `rho = air + shown (1 - air / weight) / volume`: what the scale shows is the mass less the
//! lift of the air, on a scale adjusted with conventional weights (OIML D 28, OIML R 111). So
//!
//! `sigma_rho^2 = ((rho - air) / volume)^2 sigma_volume^2 + ((rho - air) / shown)^2 sigma_shown^2
//! + sigma_air^2`
//!
//! The sugar is Tabarie's relation turned round: what the density has more than the spirit alone
//! is what the sugar adds to water. Its uncertainty is that of the difference, the model's and the
//! label's included, over the slope. What it comes to with a measure good to 0.5 %: 5 kg/m3, which
//! is 13 g/l of sugar, or 4 % vol at 40 % vol.

use super::buoyancy::{CONVENTIONAL_AIR, CONVENTIONAL_WEIGHT};
use super::composition::{HIGHEST_DENSITY, LABEL_SIGMA, LOWEST_DENSITY, most_sugar};
use super::error::finite;
use super::spread::{deviation, together};
use super::{Composition, HIGHEST_ML, LiquidError, ethanol, sucrose};

/// How far the air of a bar lies from the conventional one, kg/m3, one standard deviation: from
/// 1.06 (1000 m up and warm) to 1.26 (cold, high pressure), taken as an even spread.
const AIR_SIGMA: f64 = 0.06;

/// The measure's glass keeps its volume: over 20 K borosilicate takes up 0.02 % (3.3e-6 per
/// kelvin along each edge, ISO 3585), soft glass 0.05 %. As a share of the volume, per kelvin.
const GLASS_PER_KELVIN: f64 = 1e-5;

/// Within so many standard deviations of what is possible a figure is taken at the bound;
/// further out it is refused.
const SIGMAS: f64 = 2.0;

/// A known volume on the scale.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Weighing {
    /// Millilitres at `celsius`.
    pub volume_ml: f64,
    /// One standard deviation of it.
    pub volume_sigma_ml: f64,
    /// What the scale shows of it, grams.
    pub shown_g: f64,
    /// One standard deviation of it.
    pub shown_sigma_g: f64,
    /// degC.
    pub celsius: f64,
}

/// A figure and one standard deviation of it, in the same unit.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Uncertain {
    /// The figure.
    pub value: f64,
    /// One standard deviation.
    pub sigma: f64,
}

/// Why a weighing teaches nothing, each with the density found and the bound it crossed, kg/m3.
#[derive(Clone, Copy, Debug, PartialEq)]
// As LiquidError.
#[repr(u8)]
pub enum Impossible {
    /// No drinkable liquid has it; the bound is the nearer of [`LOWEST_DENSITY`] and
    /// [`HIGHEST_DENSITY`].
    NoLiquid {
        /// Found.
        density: f64,
        /// The bound.
        bound: f64,
    },
    /// Lighter than this strength is without sugar, or than pure ethanol with this sugar.
    TooLight {
        /// Found.
        density: f64,
        /// The least there can be.
        least: f64,
    },
    /// Denser than this strength with as much sugar as its water holds
    /// ([`sucrose::HIGHEST_BRIX`]), or than this sugar in water alone.
    TooDense {
        /// Found.
        density: f64,
        /// The most there can be.
        most: f64,
    },
    /// A figure out of its range.
    Figure(LiquidError),
}

impl From<LiquidError> for Impossible {
    fn from(error: LiquidError) -> Self {
        Self::Figure(error)
    }
}

impl Weighing {
    /// The density at the weighing's own temperature, kg/m3.
    ///
    /// # Errors
    /// [`Impossible::NoLiquid`] for what nobody drinks; [`Impossible::Figure`] for a volume
    /// outside 0 to [`HIGHEST_ML`], a temperature outside the models' range, and what is no number.
    pub fn density(&self) -> Result<Uncertain, Impossible> {
        let volume = finite(self.volume_ml)?;
        if volume <= 0.0 || volume > HIGHEST_ML {
            return Err(LiquidError::Volume(volume).into());
        }
        let shown = finite(self.shown_g)?;
        let warmth = libm::fabs(ethanol::temperature(self.celsius)? - 20.0);
        let volume_sigma = finite(self.volume_sigma_ml)? / volume;
        let shown_sigma = finite(self.shown_sigma_g)?;
        let litre = 1000.0 * (1.0 - CONVENTIONAL_AIR / CONVENTIONAL_WEIGHT) / volume;
        let lifted = shown * litre;
        let by_volume = together(volume_sigma, GLASS_PER_KELVIN * warmth) * lifted;
        let by_weight = together(shown_sigma * litre, AIR_SIGMA);
        let density = lifted + CONVENTIONAL_AIR;
        let bound = if density < LOWEST_DENSITY {
            LOWEST_DENSITY
        } else {
            HIGHEST_DENSITY
        };
        if !(LOWEST_DENSITY..=HIGHEST_DENSITY).contains(&density) {
            return Err(Impossible::NoLiquid { density, bound });
        }
        Ok(Uncertain {
            value: density,
            sigma: together(by_volume, by_weight),
        })
    }
}

/// The sugar, grams per litre at 20 degC, of a liquid of this `density` (kg/m3) at `celsius` whose
/// label says `strength` (0 to 1).
///
/// # Errors
/// [`Impossible::TooLight`] and [`Impossible::TooDense`] beyond two standard deviations;
/// [`Impossible::Figure`] for a strength or a temperature out of range.
pub fn sugar(density: Uncertain, celsius: f64, strength: f64) -> Result<Uncertain, Impossible> {
    let spirit = Composition {
        strength,
        ..Composition::default()
    };
    let alone = spirit.density(celsius)?;
    let found = finite(density.value)?;
    let sigma = finite(density.sigma)?;
    let above = found - alone.density;
    if above <= 0.0 {
        let of_bound = alone.density * alone.sigma_percent / 100.0;
        if -above > SIGMAS * together(sigma, of_bound) {
            return Err(Impossible::TooLight {
                density: found,
                least: alone.density,
            });
        }
    }
    let most_w = most_sugar(strength);
    let most = alone.density + sucrose::increment(most_w, celsius);
    let w = sucrose::fraction_adding(above, celsius, most_w);
    let liquid = Composition {
        sugar_g_per_l: w * sucrose::density_20c(w),
        ..spirit
    };
    let known = liquid.density(celsius)?;
    let model = known.density * known.sigma_percent / 100.0;
    let both = together(sigma, model);
    if found > most + SIGMAS * both {
        return Err(Impossible::TooDense {
            density: found,
            most,
        });
    }
    Ok(Uncertain {
        value: liquid.sugar_g_per_l,
        sigma: both / per_sugar(w, celsius),
    })
}

/// The strength (0 to 1) of a liquid of this `density` (kg/m3) at `celsius` that holds
/// `sugar_g_per_l`, which is taken as it is stated.
///
/// # Errors
/// As [`sugar`], the other way round; [`Impossible::Figure`] also where so strong a liquid cannot
/// hold the sugar.
pub fn strength(
    density: Uncertain,
    celsius: f64,
    sugar_g_per_l: f64,
) -> Result<Uncertain, Impossible> {
    let water = Composition {
        sugar_g_per_l,
        ..Composition::default()
    };
    let found = finite(density.value)?;
    let sigma = finite(density.sigma)?;
    // Below 0 degC there is no water to compare with, and nothing is taken at the bound.
    let most = water.density(celsius.max(0.0))?;
    let room = SIGMAS * together(sigma, most.density * most.sigma_percent / 100.0);
    let over = found - most.density;
    let liquid = if (0.0..=room).contains(&over) {
        water
    } else {
        match Composition::from_density(found, celsius, sugar_g_per_l) {
            Ok(liquid) => liquid,
            Err(LiquidError::NoStrength { low, high, density }) => {
                let sugar = found - density;
                return Err(if density > high {
                    Impossible::TooDense {
                        density: found,
                        most: high + sugar,
                    }
                } else {
                    Impossible::TooLight {
                        density: found,
                        least: low + sugar,
                    }
                });
            }
            Err(other) => return Err(other.into()),
        }
    };
    let p = ethanol::AT_20C.mass_fraction(liquid.strength);
    let slope = ethanol::slope_per_strength_20c(p);
    // The model's figure counts a label's strength; here nobody has read one.
    let (known, label) = if liquid.strength > 0.0 {
        (liquid.density(celsius)?, slope * LABEL_SIGMA)
    } else {
        (most, 0.0)
    };
    let model = known.density * known.sigma_percent / 100.0;
    let without = (sigma * sigma + model * model - label * label).max(0.0);
    Ok(Uncertain {
        value: liquid.strength,
        sigma: deviation(without) / libm::fabs(slope),
    })
}

/// How the density at `celsius` answers to the sugar, kg/m3 per gram per litre.
fn per_sugar(w: f64, celsius: f64) -> f64 {
    const STEP: f64 = 1e-3;
    let low = (w - STEP).max(0.0);
    let high = low + 2.0 * STEP;
    let litre = |w| w * sucrose::density_20c(w);
    (sucrose::increment(high, celsius) - sucrose::increment(low, celsius))
        / (litre(high) - litre(low))
}
