//! What enters the station: samples, ticks and commands, all at one place.

use core::fmt;

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

/// Why the station did not carry out a command.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[non_exhaustive]
pub enum CommandError {
    /// The station has no sheet.
    NoSheet,
    /// The sheet has no such drink.
    NoSuchDrink {
        /// Drinks of the sheet.
        drinks: u8,
    },
    /// The station guides a single pour or learns a bottle.
    NoRound,
    /// No order waits for one more.
    RoundFull {
        /// Orders that can wait.
        most: u8,
    },
    /// No order of this drink is open.
    NotOrdered(DrinkId),
    /// No order of this drink waits with nothing of it begun.
    NotWaiting(DrinkId),
    /// No pour, step or drink is open.
    NothingOpen,
    /// The station has not asked which of two drinks is meant.
    NothingAsked,
    /// After a power cut the station does not know yet how the drink continues.
    NotRestored,
    /// The drink is not between two of its pours.
    NotBetweenPours,
    /// No pour of the drink is too much.
    NothingOver,
    /// The drink would have to grow too much.
    FixTooLarge {
        /// What the drink may grow to, percent of the spec.
        most_percent: u8,
    },
    /// Some of the drink is in its glass.
    Strained,
    /// The vessel has no room for it.
    NoRoom,
    /// Several glasses of the drink are made already.
    AlreadySeveral {
        /// Glasses.
        glasses: u8,
    },
    /// A fix has grown the drink.
    Grown,
    /// The drink is not strained: each glass of it is built on its own.
    NotStrained,
    /// Nothing of the drink is begun.
    NotBegun,
    /// Every step of the drink before its strain is done.
    Built,
    /// Something is on the pan.
    PanLoaded,
    /// The pan is not still.
    PanMoving,
    /// The station has weighed the empty measure: another zero would spoil that.
    MeasureWeighed,
    /// Learning would drop the orders.
    OrdersOpen,
    /// No pour can be so small or so large.
    TargetRange {
        /// A target is more than 0 g and less than this.
        below_g: u16,
    },
    /// No glass can hold so much.
    ServeRange {
        /// From 0 ml, which is no limit, to less than this.
        below_ml: u16,
    },
    /// No such measure can be filled at the station.
    MeasureRange {
        /// The smallest measure.
        least_ml: u16,
        /// The largest.
        most_ml: u16,
    },
    /// The volume of the measure is not known well enough.
    MeasureSigma {
        /// Its standard deviation may be this part of it.
        part: u8,
    },
    /// No density is known at this temperature.
    TemperatureRange {
        /// The lowest.
        lowest_c: i8,
        /// The highest.
        highest_c: i8,
    },
    /// No liquid is so strong.
    StrengthRange {
        /// The strongest, percent by volume.
        most_percent: u8,
    },
}

impl fmt::Display for CommandError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match *self {
            Self::NoSheet => "no sheet is loaded",
            Self::NoSuchDrink { drinks } => {
                return write!(f, "the sheet has {drinks} drinks, and none of that number");
            }
            Self::NoRound => "no round is open: order a drink first",
            Self::RoundFull { most } => {
                return write!(f, "the round is full: {most} orders wait");
            }
            Self::NotOrdered(_) => "no order of this drink is open",
            Self::NotWaiting(_) => "no order of this drink waits that is not begun",
            Self::NothingOpen => "nothing is open: no pour, no step and no drink",
            Self::NothingAsked => "the scale has not asked which of two drinks is meant",
            Self::NotRestored => {
                "after the power cut the scale does not know yet how the drink continues: \
                 set its vessel on the pan, or void it"
            }
            Self::NotBetweenPours => "it is possible only between two pours of a drink",
            Self::NothingOver => "nothing is over-poured",
            Self::FixTooLarge { most_percent } => {
                return write!(f, "a fix grows this drink to {most_percent} % at most");
            }
            Self::Strained => "some of the drink is in its glass",
            Self::NoRoom => "the vessel has no room for it",
            Self::AlreadySeveral { glasses } => {
                return write!(f, "{glasses} glasses of the drink are made already");
            }
            Self::Grown => "a fix has grown the drink: order the second one",
            Self::NotStrained => "only a drink that is strained can be made twice in one vessel",
            Self::NotBegun => "nothing of the drink is begun",
            Self::Built => "the drink is built: order it again",
            Self::PanLoaded => "the pan is not empty: take everything off",
            Self::PanMoving => "the pan is not still: wait a moment",
            Self::MeasureWeighed => {
                "the empty measure is weighed, and another zero would spoil that: skip first"
            }
            Self::OrdersOpen => "orders are open: finish or void them first",
            Self::TargetRange { below_g } => {
                return write!(f, "a target is more than 0 g and less than {below_g} g");
            }
            Self::ServeRange { below_ml } => {
                return write!(f, "a glass holds from 0 ml to less than {below_ml} ml");
            }
            Self::MeasureRange { least_ml, most_ml } => {
                return write!(f, "a measure holds {least_ml} to {most_ml} ml");
            }
            Self::MeasureSigma { part } => {
                return write!(
                    f,
                    "the sigma of a measure is at most its volume over {part}"
                );
            }
            Self::TemperatureRange {
                lowest_c,
                highest_c,
            } => return write!(f, "a sample has {lowest_c} to {highest_c} degC"),
            Self::StrengthRange { most_percent } => {
                return write!(f, "a label has 0 to {most_percent} % vol");
            }
        })
    }
}

impl core::error::Error for CommandError {}

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
