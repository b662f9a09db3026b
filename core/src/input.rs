//! What enters the station: samples, ticks and commands, all at one place.

use serde::{Deserialize, Serialize};

use crate::spec::DrinkId;
use crate::units::{AdcCode, Grams};

/// One thing that happened outside.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub enum Input {
    /// A conversion was read from the bridge converter.
    Code(AdcCode),
    /// Time has passed; sent at [`crate::Station::deadline`], harmless at any other time.
    Tick,
    /// Somebody wants something.
    Command(Command),
}

/// A wish from the person, the link or the command line.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub enum Command {
    /// Guide one pour of this much, and the same again for every vessel placed after it.
    Target(Grams),
    /// Append a drink of the sheet to the round.
    Order(DrinkId),
    /// Leave the current step as it stands and go on.
    Skip,
    /// Take the present empty pan as zero.
    Zero,
    /// Work in another way from now on.
    Mode(Mode),
    /// Somebody of that number pours now; what their hand taught is used.
    Hand(u8),
    /// Learn a bottle from a measure filled with it.
    Learn(Sample),
    /// Another drink in the place of the order of this number, which still waits.
    Change(u16, DrinkId),
    /// Take the order of this number out of the round; one under way is given up.
    Void(u16),
    /// Forget what all hands have taught.
    Forget,
}

/// A measure filled from a bottle, and what its label says.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub struct Sample {
    /// What the measure holds at its mark, microlitres.
    pub volume_ul: u32,
    /// One standard deviation of it, microlitres.
    pub sigma_ul: u32,
    /// How warm the liquid is, hundredths of a degC.
    pub celsius: i16,
    /// What is known beforehand.
    pub known: Known,
}

/// What the label of a bottle says.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub enum Known {
    /// Nothing: the density alone is learned.
    Nothing,
    /// The strength, hundredths of a percent by volume: the sugar is learned.
    Strength(u16),
    /// The sugar, tenths of a gram per litre: the strength is learned.
    Sugar(u16),
}

/// The way of working, chosen once a shift.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub enum Mode {
    /// Fast: judged at max(1 ml, 5 %), speaks up beyond max(2 ml, 8 %).
    #[default]
    Service,
    /// Exact: judged at max(0.5 ml, 3 %).
    Develop,
    /// Syrups and batches, in grams.
    Prep,
    /// Grams and tare.
    Plain,
}
