//! What is to be made: liquids, steps and drinks as the sheet states them.
//!
//! All figures are integers, so that they can lie in flash and be shown without a float.

mod amount;
mod bounds;
mod capacity;
mod card;
pub mod limits;
mod reading;
mod sheet;
mod target;

pub use amount::{Amount, AmountError, ML_PER_OZ, Quantity, Unit};
pub use card::{CARD_TOLERANCE, CardAmount};
pub use reading::Reading;
pub use sheet::{Packer, Sheet, SheetError};

use serde::{Deserialize, Serialize};

/// The number of a liquid within its sheet.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub struct LiquidId(pub u8);

/// The number of a drink within its sheet.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub struct DrinkId(pub u8);

/// A liquid of the house.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub struct Liquid<'s> {
    /// Its name, as the panel shows it (up to 16 characters).
    pub name: &'s str,
    /// How it pours.
    pub family: Family,
    /// Strength, hundredths of a percent by volume at 20 degC.
    pub abv_centi: u16,
    /// Sugar, tenths of a gram per litre at 20 degC.
    pub sugar_dg_per_l: u16,
    /// A measured density, grams per cubic metre (948.0 kg/m3 is 948_000); wins over any model.
    pub density_g_per_m3: Option<u32>,
    /// The temperature of that measurement, hundredths of a degree Celsius.
    pub density_at_centi_c: i16,
    /// The density at the temperature the bottle is poured at, grams per cubic metre, where that
    /// is not 20 degC; for drinks whose volumes are meant as poured.
    pub poured_g_per_m3: Option<u32>,
    /// The allergen groups the author marked: bit n-1 for group n of Regulation (EU)
    /// No 1169/2011, Annex II.
    pub allergens: u16,
}

/// How a liquid behaves as it is poured.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[serde(rename_all = "snake_case")]
pub enum Family {
    /// Spirits, wines and other thin liquids.
    #[default]
    Spirit,
    /// Syrups, honey, thick liqueurs: a thread follows the stop.
    Syrup,
    /// Juices.
    Juice,
    /// Dashed, not poured.
    Bitters,
    /// Soda and other long, fizzy liquids.
    Soda,
    /// Tipped in as a whole, such as an egg white.
    Whole,
}

/// A vessel on the pan.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[serde(rename_all = "snake_case")]
pub enum Vessel {
    /// A mixing glass.
    MixingGlass,
    /// A shaking tin.
    Tin,
    /// A rocks glass.
    Rocks,
    /// A highball glass.
    Highball,
    /// A coupe.
    Coupe,
}

/// A drink of the sheet.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub struct Drink<'s> {
    /// Its name.
    pub name: &'s str,
    /// What it is built in.
    pub vessel: Vessel,
    /// What it is served in.
    pub glass: Vessel,
    /// Its volumes are those at the temperature each bottle is poured at, not at 20 degC.
    pub as_poured: bool,
    /// How many steps it takes.
    pub steps: u8,
}

/// One step of a drink.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub enum Step<'s> {
    /// Pour a measured amount.
    Pour {
        /// Of what.
        liquid: LiquidId,
        /// How much.
        amount: Amount,
    },
    /// Dashes, counted one by one.
    Dash {
        /// Of what.
        liquid: LiquidId,
        /// How many.
        count: u8,
    },
    /// A barspoon, judged in a wide band.
    Barspoon {
        /// Of what.
        liquid: LiquidId,
        /// How many.
        count: u8,
    },
    /// A whole thing tipped in at once.
    Whole {
        /// Of what.
        liquid: LiquidId,
        /// How many.
        count: u8,
        /// What one of them usually weighs, milligrams.
        each_mg: u32,
    },
    /// Ice into the vessel, anywhere within the range.
    Ice {
        /// At least, grams.
        low_g: u16,
        /// At most, grams.
        high_g: u16,
    },
    /// Soda on top, judged in a wide band.
    Soda {
        /// Of what.
        liquid: LiquidId,
        /// How much.
        amount: Amount,
    },
    /// Stir away from the pan.
    Stir {
        /// For so long.
        seconds: u8,
    },
    /// Shake away from the pan.
    Shake {
        /// For so long.
        seconds: u8,
    },
    /// Strain into the served glass.
    Strain,
    /// Something the scale cannot see; closed by the next thing it can. Drops come this way,
    /// "3 drops saline": nothing waits for them, and what little they bring in is in no record.
    Note {
        /// In the words of the sheet.
        text: &'s str,
    },
    /// Rinse the vessel with a liquid and dump it: what stays behind is recorded, not judged.
    Rinse {
        /// With what.
        liquid: LiquidId,
    },
}

/// House measures: what small things hold here.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub struct House {
    /// A dash, microlitres.
    pub dash_ul: u32,
    /// A barspoon, microlitres.
    pub barspoon_ul: u32,
    /// A drop, microlitres; only the desk reckons with it, see [`Step::Note`].
    pub drop_ul: u32,
}
