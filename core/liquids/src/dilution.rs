//! Water from ice: what is to be expected of it, and what was weighed.
//!
//! Three answers, never to be mixed up: the *floor* is what cooling alone must melt
//! ([`super::ice`]); the *expectation* is what people's stirring and shaking was found to melt;
//! the *measurement* is what the strained drink weighs more than what went in.

use super::mixture::WATER_G_PER_ML;
use super::spread::Deviation;
use super::{HIGHEST_MASS_G, LiquidError, Mixture, ethanol};

const WATER: f32 = WATER_G_PER_ML as f32;

/// The weakest drink the fits were made for, percent by volume as a fraction.
pub const LOWEST_STRENGTH: f64 = 0.15;

/// The strongest.
pub const HIGHEST_STRENGTH: f64 = 0.50;

/// Hand, ice and time move the expectation by ten percentage points (as the source says of its
/// fits): taken as one standard deviation.
const EXPECTED_SPREAD: f64 = 0.10;

/// The width of an even spread over its standard deviation: the square root of 12.
const SQRT_12: f64 = 3.464_101_615_137_754_6;

/// How a drink was chilled.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub enum Chilling {
    /// Stirred on ice.
    Stirred,
    /// Shaken with ice.
    Shaken,
}

/// Water from ice over the undiluted drink, both as volumes at 20 degC.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub struct Dilution {
    /// The share.
    pub share: f64,
    /// One standard deviation of it.
    pub spread: f64,
}

/// The dilution to be expected of a drink of this `strength` (by volume, as a fraction) before
/// any ice melts.
///
/// Stirred `-1.21 x^2 + 1.246 x + 0.145`, shaken `-1.567 x^2 + 1.742 x + 0.203`: empirical fits
/// (D. Arnold, Liquid Intelligence, W. W. Norton 2014; coefficients from memory). `None` outside
/// [`LOWEST_STRENGTH`] to [`HIGHEST_STRENGTH`], where they were not made.
#[must_use]
pub fn expected(chilling: Chilling, strength: f64) -> Option<Dilution> {
    if !(LOWEST_STRENGTH..=HIGHEST_STRENGTH).contains(&strength) {
        return None;
    }
    let (square, linear, constant) = match chilling {
        Chilling::Stirred => (-1.21, 1.246, 0.145),
        Chilling::Shaken => (-1.567, 1.742, 0.203),
    };
    Some(Dilution {
        share: (square * strength + linear) * strength + constant,
        spread: EXPECTED_SPREAD,
    })
}

/// Adds the water to be expected to what was built; `None`, and nothing added, as [`expected`].
pub fn melt(drink: &mut Mixture, chilling: Chilling) -> Option<Dilution> {
    let neat = drink.contents().ok()?;
    let dilution = expected(chilling, neat.abv_percent / 100.0)?;
    let undiluted_g = neat.volume_ml * WATER_G_PER_ML;
    drink.add_water(dilution.share * undiluted_g, dilution.spread * undiluted_g);
    Some(dilution)
}

/// Grams and how well they are known.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub struct Weighed {
    /// Grams.
    pub mass_g: f64,
    /// One standard deviation of them, grams.
    pub sigma_g: f64,
}

impl Weighed {
    /// Anything between two bounds, one as likely as the other: the mean and the deviation of an
    /// even spread (JCGM 100, 4.3.7).
    #[must_use]
    pub const fn between(low_g: f64, high_g: f64) -> Self {
        Self {
            mass_g: 0.5 * (low_g + high_g),
            sigma_g: (high_g - low_g) / SQRT_12,
        }
    }
}

/// Water = strained + hold-up - liquids, never less than none; the hold-up is what stays on ice
/// and vessel.
#[must_use]
pub fn measured(strained: Weighed, liquids: Weighed, hold_up: Weighed) -> Weighed {
    let square = |sigma: f64| {
        let sigma = sigma as f32;
        sigma * sigma
    };
    let variance = square(strained.sigma_g) + square(hold_up.sigma_g) + square(liquids.sigma_g);
    Weighed {
        mass_g: (strained.mass_g + hold_up.mass_g - liquids.mass_g).max(0.0),
        sigma_g: libm::sqrtf(variance.max(0.0)).into(),
    }
}

/// Turns what was built into what of it, and of the ice's water, came into the glass: `strained`,
/// while `hold_up` stayed behind. Gives the dilution; without any of it where nothing was built.
///
/// The glass was weighed: an error of a pour moves water for liquid in it and hardly its volume,
/// one of the hold-up moves the share of the drink that stayed behind.
///
/// # Errors
/// [`LiquidError`] when a figure is no mass, or as [`Mixture::contents`]; nothing is changed then.
pub fn strain(
    drink: &mut Mixture,
    strained: Weighed,
    hold_up: Weighed,
) -> Result<Dilution, LiquidError> {
    for weighed in [strained, hold_up] {
        for grams in [weighed.mass_g, weighed.sigma_g] {
            if !(0.0..=HIGHEST_MASS_G).contains(&grams) {
                return Err(LiquidError::Mass(grams));
            }
        }
    }
    let volume_ml = drink.contents()?.volume_ml;
    let undiluted_g = volume_ml * WATER_G_PER_ML;
    let built = *drink;
    let liquids = Weighed {
        mass_g: built.total_g,
        sigma_g: 0.0,
    };
    let water = measured(strained, liquids, hold_up);
    let all_g = built.total_g + water.mass_g;
    if undiluted_g <= 0.0 || all_g > HIGHEST_MASS_G {
        return Ok(Dilution::default());
    }
    let came = (strained.mass_g / all_g).min(1.0);
    *drink = built.share(came);
    drink.total_g = came * all_g;
    drink.spread.fill_with_water();
    let (per_gram, kept) = (1.0 / all_g as f32, came as f32);
    let (strained_sigma, hold_up_sigma) = (strained.sigma_g as f32, hold_up.sigma_g as f32);
    let mut deviate = |ml: f32, came: f32| {
        drink.spread.add(Deviation {
            mass: 0.0,
            // What is lighter than water takes so much more room.
            volume: ml + (undiluted_g - built.total_g) as f32 / WATER * came,
            ethanol: (built.ethanol_g / ethanol::PURE_20C * 1000.0) as f32 * came,
            sugar: built.sugar_g as f32 * came,
        });
    };
    deviate(0.0, -kept * per_gram * hold_up_sigma);
    deviate(
        strained_sigma / WATER,
        (1.0 - kept) * per_gram * strained_sigma,
    );
    let share = water.mass_g / undiluted_g;
    // Liquids that are heavier or larger than thought have taken up less.
    let by_liquids = built.spread.of_mass_and_volume(share as f32 * WATER);
    let by_water = water.sigma_g as f32;
    let sigma_g = libm::sqrtf(by_water * by_water + by_liquids.max(0.0));
    Ok(Dilution {
        share,
        spread: f64::from(sigma_g / undiluted_g as f32),
    })
}
