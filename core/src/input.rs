//! What enters the station: samples, ticks and commands, all at one place.

use serde::{Deserialize, Serialize};

use crate::spec::DrinkId;
use crate::units::{AdcCode, Grams, Millilitres};

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
    /// Take a drink of the round back: the last one ordered that has not been begun, else the one
    /// whose vessel is away, else the one under way.
    Void(DrinkId),
    /// Make the second drink in place of the first, which has not been begun.
    Change(DrinkId, DrinkId),
    /// After an over-pour: grow the drink until its ratios are right.
    Fix,
    /// Make two of the drink under way.
    Two,
    /// Begin the drink under way again.
    Again,
    /// What was set down is for the other of the two drinks asked about.
    Other,
    /// Forget what all hands have taught.
    Forget,
    /// Strain no more than this into every glass from now on, so that several are alike; nothing
    /// strains all there is.
    Serve(Millilitres),
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
    /// Exact: judged at max(0.5 ml, 3 %); what stayed behind after a strain may be weighed.
    Develop,
    /// Syrups and batches, in grams; also by loss in weight with the bottle on the pan.
    Prep,
    /// Grams and tare.
    Plain,
}
