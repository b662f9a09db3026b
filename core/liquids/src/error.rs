//! Why a liquid cannot be reckoned with.

use core::fmt;

use super::{buoyancy, composition, dairy, ethanol, honey, mixture, saline, sucrose};

/// Why there is no answer; each names the value and, when shown, its bound.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
// Or its tag would be 64 bits wide, as its figures are, and tested in two halves.
#[repr(u8)]
pub enum LiquidError {
    /// Not a number, or infinite.
    NotANumber,
    /// A strength outside 0 to 1, or a mass fraction of ethanol outside 0 to 1.
    Strength(f64),
    /// Sugar, grams per litre, outside the model.
    Sugar(f64),
    /// Sugar, percent by mass, outside the model.
    Brix(f64),
    /// A temperature, degC, outside the range of the models.
    Temperature(f64),
    /// Colder than the liquid stays a liquid, or than its formula reaches.
    Freezing {
        /// The temperature asked for, degC.
        celsius: f64,
        /// The lowest this liquid has a density at, degC.
        lowest: f64,
    },
    /// So much ethanol and sugar in a litre leave too little water to hold the sugar.
    NoRoom {
        /// Strength by volume, as a fraction.
        strength: f64,
        /// Grams per litre.
        sugar_g_per_l: f64,
    },
    /// A measured density, kg/m3, that no drinkable liquid has.
    Density(f64),
    /// No mixture has this density at this temperature.
    NoStrength {
        /// The density of the liquid with its sugar taken out, kg/m3.
        density: f64,
        /// The lowest density an ethanol-water mixture has there, kg/m3.
        low: f64,
        /// The highest, kg/m3.
        high: f64,
    },
    /// No sugar gives this spirit this density at this temperature.
    NoSugar {
        /// kg/m3.
        density: f64,
        /// The density of the spirit without sugar, kg/m3.
        low: f64,
        /// Its density with all the sugar its water holds, kg/m3.
        high: f64,
    },
    /// Salt, percent by mass, that water does not hold.
    Salt(f64),
    /// Fat, percent by mass, that no cream has.
    Fat(f64),
    /// Water, percent by mass, that no honey has.
    HoneyWater(f64),
    /// A mass, grams, that no pan holds.
    Mass(f64),
    /// A volume, millilitres, that no pan holds.
    Volume(f64),
    /// An air pressure, hPa, outside the formula.
    Pressure(f64),
    /// A relative humidity, percent, outside 0 to 100.
    Humidity(f64),
}

impl core::error::Error for LiquidError {}

impl fmt::Display for LiquidError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match *self {
            Self::NotANumber => write!(f, "a figure is not a number"),
            Self::Strength(v) => {
                let percent = libm::round(v * 1e8) / 1e6;
                write!(f, "strength {percent} % lies outside 0 to 100 %")
            }
            Self::Sugar(v) => write!(
                f,
                "sugar {v} g/l lies outside 0 to {:.0} g/l ({:.0} Brix), or to {:.0} g/l \
                 ({:.0} Brix) where the density is measured",
                sucrose::HIGHEST_G_PER_L,
                sucrose::HIGHEST_BRIX,
                sucrose::HIGHEST_G_PER_L_MEASURED,
                sucrose::HIGHEST_MASS_FRACTION * 100.0
            ),
            Self::Brix(v) => write!(
                f,
                "{v} Brix lies outside 0 to {:.0} Brix",
                sucrose::HIGHEST_BRIX
            ),
            Self::Temperature(v) => write!(
                f,
                "{v} degC lies outside {} to {} degC",
                ethanol::LOWEST_C,
                ethanol::HIGHEST_C
            ),
            Self::Freezing { celsius, lowest } => write!(
                f,
                "{celsius} degC lies below {lowest:.1} degC, where this liquid freezes or its \
                 formula ends"
            ),
            Self::NoRoom {
                strength,
                sugar_g_per_l,
            } => write!(
                f,
                "{} % vol and {sugar_g_per_l} g/l of sugar leave too little water: sugar may be \
                 at most {:.0} % of sugar and water together, or {:.0} % where the density is \
                 measured",
                strength * 100.0,
                sucrose::HIGHEST_BRIX,
                sucrose::HIGHEST_MASS_FRACTION * 100.0
            ),
            Self::Density(v) => write!(
                f,
                "density {v} kg/m3 lies outside {} to {} kg/m3",
                composition::LOWEST_DENSITY,
                composition::HIGHEST_DENSITY
            ),
            Self::NoStrength { density, low, high } => write!(
                f,
                "density {density:.2} kg/m3 (its sugar taken out) lies outside {low:.2} to \
                 {high:.2} kg/m3, what ethanol and water have at this temperature"
            ),
            Self::NoSugar { density, low, high } => {
                let why = if density < low {
                    "too light"
                } else {
                    "denser than any sugar makes it"
                };
                write!(
                    f,
                    "density {density:.2} kg/m3 is {why}: at this strength and temperature it \
                     lies within {low:.2} to {high:.2} kg/m3"
                )
            }
            Self::Salt(v) => write!(
                f,
                "salt {v} % by mass lies outside 0 to {} %",
                saline::HIGHEST_PERCENT
            ),
            Self::Fat(v) => write!(
                f,
                "fat {v} % by mass lies outside 0 to {} %",
                dairy::HIGHEST_PERCENT
            ),
            Self::HoneyWater(v) => write!(
                f,
                "water {v} % by mass lies outside {} to {} %, what honey has",
                honey::LOWEST_WATER,
                honey::HIGHEST_WATER
            ),
            Self::Mass(v) => write!(f, "{v} g lies outside 0 to {} g", mixture::HIGHEST_MASS_G),
            Self::Volume(v) => write!(f, "{v} ml lies outside 0 to {} ml", super::HIGHEST_ML),
            Self::Pressure(v) => write!(
                f,
                "{v} hPa lies outside {} to {} hPa",
                buoyancy::LOWEST_HPA,
                buoyancy::HIGHEST_HPA
            ),
            Self::Humidity(v) => write!(f, "humidity {v} % lies outside 0 to 100 %"),
        }
    }
}

/// `value`, or the error for what is no number.
pub(super) fn finite(value: f64) -> Result<f64, LiquidError> {
    if value.is_finite() {
        Ok(value)
    } else {
        Err(LiquidError::NotANumber)
    }
}
