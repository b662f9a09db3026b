//! The floor of dilution: how much ice cooling alone must melt.
//!
//! A heat balance. Drink and vessel give off heat as they cool to the temperature wanted, the
//! room may add some; ice takes it up as it warms to 0 degC, melts, and its water goes on to the
//! drink's temperature; water that clung to the ice comes along at 0 degC:
//!
//! `drink + vessel + room = m (ice to 0 degC + latent heat + water from 0 degC) + surface water`
//!
//! It is a *floor*: no heat from the room nor any vessel but what is stated, and ice drained of
//! all water but what is stated. Real stirring melts more, see [`super::dilution::expected`]. Left
//! out besides: the heat of mixing (ethanol and water warm each other, so that it only adds); the
//! ice that does not melt, which keeps its own temperature (a hundred grams of it cooling from 0
//! to -3 degC melt 1.9 g more; where freezer-cold ice warms through, less melts than is said
//! here); and what sugar does to the freezing point (a sweet drink may end a little colder).
//!
//! Heat capacities: [`super::heat`]. Whatever else is in a drink (acid, cream) counts as water.

use core::fmt;

use super::error::finite;
use super::heat::{self, HIGHEST_ETHANOL};
use super::mixture::WATER_G_PER_ML;
use super::{LiquidError, Mixture, freezing_point};

/// The coldest ice reckoned with, degC: the end of the table of its heat capacity.
pub const COLDEST_ICE_C: f64 = -20.0;

/// The coldest drink, degC: the end of the table of heat capacities.
pub const COLDEST_C: f64 = -10.0;

/// The warmest drink, degC.
pub const WARMEST_C: f64 = 40.0;

/// Heat capacity of a pair of steel tins, J/K: 450 g (common practice, no source) of steel at
/// 0.50 J/(g K) (stainless, handbook value from memory).
pub const STEEL_TINS: f64 = 225.0;

/// Heat capacity of a mixing glass, J/K: 700 g (common practice, no source) of soda-lime glass at
/// 0.84 J/(g K) (handbook value from memory), as if it cooled through.
pub const MIXING_GLASS: f64 = 588.0;

/// Halvings of at most 50 K: to less than rounding leaves.
const HALVINGS: u8 = 60;

/// The ice a drink is chilled with.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub struct Ice {
    /// What is put in, its surface water included, grams.
    pub grams: f64,
    /// Its temperature, degC.
    pub celsius: f64,
    /// The share of its mass that is water on its surface, at 0 degC.
    pub wet: f64,
}

/// What the drink is chilled in.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub struct Vessel {
    /// Its heat capacity, J/K: mass times specific heat capacity.
    pub heat_capacity: f64,
    /// Its temperature before, degC.
    pub celsius: f64,
}

impl Vessel {
    /// None that takes part.
    pub const NONE: Self = Self {
        heat_capacity: 0.0,
        celsius: 0.0,
    };
}

/// Chilling a drink on ice.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub struct Chill {
    /// Temperature of the drink before, degC.
    pub from_c: f64,
    /// Temperature wanted, degC.
    pub to_c: f64,
    /// The ice.
    pub ice: Ice,
    /// The vessel.
    pub vessel: Vessel,
    /// Heat from the room and the hand, J; none for the floor.
    pub room_j: f64,
}

/// What chilling takes at least.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub struct Melt {
    /// Ice melted, grams.
    pub melted_g: f64,
    /// Water that clung to the ice, grams.
    pub surface_g: f64,
    /// Both.
    pub water_g: f64,
    /// Their volume over that of the undiluted drink, at 20 degC.
    pub share: f64,
    /// Temperature of the drink after, degC: the one wanted, or, where the diluted drink would
    /// freeze before, its freezing point.
    pub celsius: f64,
    /// Heat the drink gave off, J.
    pub drink_j: f64,
    /// Heat the vessel gave off, J; negative where it was colder.
    pub vessel_j: f64,
}

/// Why there is no balance.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub enum ChillError {
    /// The drink itself is none, or would be frozen.
    Liquid(LiquidError),
    /// Nothing to chill.
    Empty,
    /// A temperature of the drink or vessel, degC, outside [`COLDEST_C`] to [`WARMEST_C`].
    Temperature(f64),
    /// A temperature wanted, degC, above the drink's own.
    Warmer {
        /// The drink's, degC.
        from_c: f64,
        /// Wanted, degC.
        to_c: f64,
    },
    /// A temperature of ice, degC, outside [`COLDEST_ICE_C`] to 0.
    Ice(f64),
    /// A share of surface water outside 0 to 1.
    Wet(f64),
    /// More ethanol, by mass of ethanol and water, than [`HIGHEST_ETHANOL`].
    Ethanol(f64),
    /// A heat capacity or a heat, J/K or J, that is negative.
    Heat(f64),
    /// So many grams would have to melt, and there are fewer.
    TooLittleIce {
        /// Needed without surface water, grams.
        needed_g: f64,
        /// There without surface water, grams.
        there_g: f64,
    },
}

impl From<LiquidError> for ChillError {
    fn from(error: LiquidError) -> Self {
        Self::Liquid(error)
    }
}

impl core::error::Error for ChillError {}

impl fmt::Display for ChillError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match *self {
            Self::Liquid(error) => error.fmt(f),
            Self::Empty => write!(f, "there is nothing to chill"),
            Self::Temperature(v) => write!(
                f,
                "{v} degC of drink or vessel lies outside {COLDEST_C} to {WARMEST_C} degC"
            ),
            Self::Warmer { from_c, to_c } => {
                write!(
                    f,
                    "{to_c} degC lies above {from_c} degC, where the drink begins"
                )
            }
            Self::Ice(v) => write!(f, "ice at {v} degC lies outside {COLDEST_ICE_C} to 0 degC"),
            Self::Wet(v) => {
                write!(
                    f,
                    "surface water of {} % lies outside 0 to 100 %",
                    v * 100.0
                )
            }
            Self::Ethanol(v) => write!(
                f,
                "{:.1} % ethanol by mass lies above {:.0} %, where heat capacities are known",
                v * 100.0,
                HIGHEST_ETHANOL * 100.0
            ),
            Self::Heat(v) => write!(f, "a heat or heat capacity of {v} lies below 0"),
            Self::TooLittleIce { needed_g, there_g } => write!(
                f,
                "{needed_g:.1} g of ice would have to melt, and there are {there_g:.1} g"
            ),
        }
    }
}

impl Chill {
    /// The least water that chilling `drink` so takes.
    ///
    /// # Errors
    /// [`ChillError`] naming the bound that was crossed.
    pub fn floor(&self, drink: &Mixture) -> Result<Melt, ChillError> {
        let contents = drink.contents()?;
        if contents.volume_ml <= 0.0 {
            return Err(ChillError::Empty);
        }
        let undiluted = Parts::of(drink)?;
        self.check()?;
        let freezes = freezing_point(undiluted.ethanol_share(0.0));
        if self.from_c < freezes {
            return Err(ChillError::Liquid(LiquidError::Freezing {
                celsius: self.from_c,
                lowest: freezes,
            }));
        }
        let surface_g = self.ice.grams * self.ice.wet;
        // How far the diluted drink is from freezing; rises with the temperature, since less
        // melts then.
        let liquid_at = |celsius: f64| {
            let water_g = surface_g + self.melted_g(&undiluted, celsius);
            celsius >= freezing_point(undiluted.ethanol_share(water_g))
        };
        let mut celsius = self.to_c;
        if !liquid_at(celsius) {
            let (mut low, mut high) = (celsius, self.from_c);
            for _ in 0..HALVINGS {
                let middle = 0.5 * (low + high);
                if liquid_at(middle) {
                    high = middle;
                } else {
                    low = middle;
                }
            }
            celsius = high;
        }
        let melted_g = self.melted_g(&undiluted, celsius);
        let there_g = self.ice.grams - surface_g;
        if melted_g > there_g {
            return Err(ChillError::TooLittleIce {
                needed_g: melted_g,
                there_g,
            });
        }
        let water_g = surface_g + melted_g;
        Ok(Melt {
            melted_g,
            surface_g,
            water_g,
            share: water_g / WATER_G_PER_ML / contents.volume_ml,
            celsius,
            drink_j: undiluted.heat(celsius, self.from_c),
            vessel_j: self.vessel_heat(celsius),
        })
    }

    /// Ice that melts by the time everything is at `celsius`. None where what clings to the ice
    /// does the cooling alone.
    fn melted_g(&self, drink: &Parts, celsius: f64) -> f64 {
        let surface = self.ice.grams * self.ice.wet * heat::of_water(celsius);
        let given = drink.heat(celsius, self.from_c) + self.vessel_heat(celsius) + self.room_j;
        let each = heat::of_ice(self.ice.celsius) + heat::LATENT + heat::of_water(celsius);
        ((given - surface) / each).max(0.0)
    }

    fn vessel_heat(&self, celsius: f64) -> f64 {
        self.vessel.heat_capacity * (self.vessel.celsius - celsius)
    }

    fn check(&self) -> Result<(), ChillError> {
        let mut celsius = [self.from_c, self.to_c, self.vessel.celsius].into_iter();
        if let Some(wrong) = celsius.find(|t| !(COLDEST_C..=WARMEST_C).contains(t)) {
            return Err(ChillError::Temperature(finite(wrong)?));
        }
        if self.to_c > self.from_c {
            return Err(ChillError::Warmer {
                from_c: self.from_c,
                to_c: self.to_c,
            });
        }
        if !(COLDEST_ICE_C..=0.0).contains(&finite(self.ice.celsius)?) {
            return Err(ChillError::Ice(self.ice.celsius));
        }
        if !(0.0..=1.0).contains(&finite(self.ice.wet)?) {
            return Err(ChillError::Wet(self.ice.wet));
        }
        if !(0.0..=super::HIGHEST_MASS_G).contains(&finite(self.ice.grams)?) {
            return Err(ChillError::Liquid(LiquidError::Mass(self.ice.grams)));
        }
        for heat in [self.vessel.heat_capacity, self.room_j] {
            if finite(heat)? < 0.0 {
                return Err(ChillError::Heat(heat));
            }
        }
        Ok(())
    }
}

/// What a drink is made of, grams.
struct Parts {
    ethanol_g: f64,
    sugar_g: f64,
    /// Water, and whatever else there is.
    water_g: f64,
}

impl Parts {
    fn of(drink: &Mixture) -> Result<Self, ChillError> {
        let parts = Self {
            ethanol_g: drink.ethanol_g,
            sugar_g: drink.sugar_g,
            water_g: (drink.total_g - drink.ethanol_g - drink.sugar_g).max(0.0),
        };
        let share = parts.ethanol_share(0.0);
        // A hair more, so that a drink at the bound survives its own rounding.
        if share > HIGHEST_ETHANOL * (1.0 + 1e-9) {
            return Err(ChillError::Ethanol(share));
        }
        Ok(parts)
    }

    /// The share of ethanol in ethanol and water by mass, with so much water added.
    fn ethanol_share(&self, added_g: f64) -> f64 {
        let sugarless = self.ethanol_g + self.water_g + added_g;
        if sugarless > 0.0 {
            self.ethanol_g / sugarless
        } else {
            0.0
        }
    }

    /// Heat given off between `high` and `low` degC, J.
    fn heat(&self, low: f64, high: f64) -> f64 {
        let percent = (100.0 * self.ethanol_share(0.0)).min(100.0 * HIGHEST_ETHANOL);
        (self.ethanol_g + self.water_g) * heat::of_ethanol_and_water(percent, low, high)
            + self.sugar_g * heat::of_sugar(low, high)
    }
}
