//! Amounts as people write them.

use serde::{Deserialize, Serialize};

/// How much, and in which unit it was written.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub struct Amount {
    /// How much.
    pub quantity: Quantity,
    /// The unit it was written in, used to show what remains.
    pub unit: Unit,
}

/// A volume at 20 degC or a mass as the scale shows it.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub enum Quantity {
    /// Microlitres at 20 degC.
    Volume(u32),
    /// Milligrams.
    Mass(u32),
}

/// A unit of the sheet.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[serde(rename_all = "snake_case")]
pub enum Unit {
    /// Millilitre.
    Ml,
    /// Centilitre.
    Cl,
    /// US fluid ounce.
    Oz,
    /// Gram.
    Gram,
    /// Dash.
    Dash,
    /// Barspoon.
    Barspoon,
    /// Drop.
    Drop,
    /// A whole thing.
    Piece,
}

/// Why an amount cannot be read.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum AmountError {
    /// No number in front.
    Number,
    /// The unit is unknown.
    Unit,
    /// Nothing, or more than a sheet may ask for.
    Range,
}
