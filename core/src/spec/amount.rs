//! Amounts as people write them.
//!
//! Read in integers and exact to the microlitre or milligram, halves rounded up. A US fluid
//! ounce is 29.573 529 562 5 ml (NIST Handbook 44, Appendix C: 231 cubic inches to the gallon,
//! 128 fluid ounces to the gallon), which is 473 176 473 / 16 000 microlitres.

use core::fmt;

use serde::{Deserialize, Serialize};

use super::House;
use super::limits::{COUNT_MAX, MASS_MAX_MG, VOLUME_MAX_UL};

/// Millilitres of a US fluid ounce.
pub const ML_PER_OZ: f64 = 29.573_529_562_5;

/// How much, and in which unit it was written.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub struct Amount {
    /// How much.
    pub quantity: Quantity,
    /// The unit it was written in, used to show what remains.
    pub unit: Unit,
}

/// A volume as its drink means it, a mass as the scale shows it, or a number of things.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub enum Quantity {
    /// Microlitres at 20 degC, or as poured where the drink says so.
    Volume(u32),
    /// Milligrams.
    Mass(u32),
    /// So many of the unit; the house measure makes a volume of it, see [`Amount::in_house`].
    /// Never in a packed sheet.
    Count(u8),
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
    /// A vessel rinsed with it and dumped; stands in no sheet as a unit.
    Rinse,
}

/// Why an amount cannot be read.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum AmountError {
    /// No number in front.
    Number,
    /// A decimal comma, which some read as thousands.
    Comma,
    /// A fraction over nothing, over more than 99, or a mixed number such as `1 3/2`.
    Fraction,
    /// More than six decimals, or a number of ten digits and more.
    Digits,
    /// The unit is missing or unknown.
    Unit,
    /// A part of something that comes whole.
    Whole,
    /// Nothing, or more than a sheet may ask for.
    Range,
}

impl Amount {
    /// Reads an amount such as `45 ml`, `1 1/2 oz`, `3/4 oz`, `4.5 cl`, `12 g` or `2 dashes`.
    ///
    /// # Errors
    /// [`AmountError`]; its `Display` says what would be right.
    pub fn parse(text: &str) -> Result<Self, AmountError> {
        let (number, rest) = Number::read(text.trim())?;
        let unit = Unit::parse(rest).ok_or(AmountError::Unit)?;
        let quantity = match unit {
            Unit::Ml => Quantity::Volume(number.scaled(1_000, 1, VOLUME_MAX_UL)?),
            Unit::Cl => Quantity::Volume(number.scaled(10_000, 1, VOLUME_MAX_UL)?),
            Unit::Oz => Quantity::Volume(number.scaled(473_176_473, 16_000, VOLUME_MAX_UL)?),
            Unit::Gram => Quantity::Mass(number.scaled(1_000, 1, MASS_MAX_MG)?),
            Unit::Dash | Unit::Barspoon | Unit::Drop | Unit::Piece | Unit::Rinse => {
                Quantity::Count(number.count()?)
            }
        };
        Ok(Self { quantity, unit })
    }

    /// The same with dashes, barspoons and drops turned into a volume by the house measures;
    /// pieces stay a count.
    #[must_use]
    pub fn in_house(self, house: &House) -> Self {
        let each_ul = match self.unit {
            Unit::Dash => house.dash_ul,
            Unit::Barspoon => house.barspoon_ul,
            Unit::Drop => house.drop_ul,
            Unit::Ml | Unit::Cl | Unit::Oz | Unit::Gram | Unit::Piece | Unit::Rinse => return self,
        };
        match self.quantity {
            Quantity::Count(count) => Self {
                quantity: Quantity::Volume(each_ul.saturating_mul(u32::from(count))),
                unit: self.unit,
            },
            Quantity::Volume(_) | Quantity::Mass(_) => self,
        }
    }
}

impl Unit {
    /// A unit by any of its words, in either case.
    #[must_use]
    pub fn parse(word: &str) -> Option<Self> {
        const WORDS: [(Unit, &[&str]); 8] = [
            (
                Unit::Ml,
                &[
                    "ml",
                    "millilitre",
                    "millilitres",
                    "milliliter",
                    "milliliters",
                ],
            ),
            (
                Unit::Cl,
                &[
                    "cl",
                    "centilitre",
                    "centilitres",
                    "centiliter",
                    "centiliters",
                ],
            ),
            (
                Unit::Oz,
                &["oz", "oz.", "fl oz", "fl. oz.", "ounce", "ounces"],
            ),
            (Unit::Gram, &["g", "gram", "grams"]),
            (Unit::Dash, &["dash", "dashes"]),
            (Unit::Barspoon, &["barspoon", "barspoons", "bsp"]),
            (Unit::Drop, &["drop", "drops"]),
            (Unit::Piece, &["piece", "pieces"]),
        ];
        let word = word.trim();
        WORDS
            .iter()
            .find(|(_, words)| words.iter().any(|known| known.eq_ignore_ascii_case(word)))
            .map(|(unit, _)| *unit)
    }
}

impl AmountError {
    /// What is wrong.
    #[must_use]
    pub const fn what(self) -> &'static str {
        match self {
            Self::Number => "there is no number in front",
            Self::Comma => "a comma in a number may mean two things",
            Self::Fraction => "this is no fraction",
            Self::Digits => "the number has too many digits",
            Self::Unit => "the unit is missing or unknown",
            Self::Whole => "dashes, barspoons, drops and pieces come whole",
            Self::Range => "the amount is out of bounds",
        }
    }

    /// What would be right.
    #[must_use]
    pub const fn right(self) -> &'static str {
        match self {
            Self::Number => "write the amount first, such as 45 ml or 1 1/2 oz",
            Self::Comma => "write a point: 4.5 cl",
            Self::Fraction => "write it as 3/4 or 1 1/2, over 99 at most",
            Self::Digits => "at most nine digits, and six behind the point",
            Self::Unit => "use ml, cl, oz, g, dash, barspoon, drop or piece",
            Self::Whole => "write a whole number, or the part in ml",
            Self::Range => "more than nothing, at most 20 l, 20 kg or 99 pieces",
        }
    }
}

impl fmt::Display for AmountError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.what())?;
        f.write_str("; ")?;
        f.write_str(self.right())
    }
}

impl core::error::Error for AmountError {}

/// A number as written, kept exact.
#[derive(Clone, Copy)]
struct Number {
    numerator: u64,
    denominator: u64,
}

impl Number {
    /// The number at the front of `text`, and what follows it.
    fn read(text: &str) -> Result<(Self, &str), AmountError> {
        if text.starts_with(['-', '\u{2212}']) {
            return Err(AmountError::Range);
        }
        let (whole, after) = digits(text)?;
        if let Some(decimals) = after.strip_prefix('.') {
            return Self::decimal(whole, decimals);
        }
        if let Some(below) = after.strip_prefix('/') {
            let (denominator, rest) = digits(below)?;
            let above = whole.ok_or(AmountError::Number)?;
            return Ok((Self::mixed(0, above, denominator)?, rest));
        }
        if whole.is_some() && after.starts_with(',') {
            return Err(AmountError::Comma);
        }
        let spaced = after.trim_start();
        if let Some((above, below, rest)) = vulgar(spaced) {
            let number = Self::mixed(whole.unwrap_or(0), above, Some(below))?;
            return Ok((number, rest));
        }
        let whole = whole.ok_or(AmountError::Number)?;
        if let (Some(above), over) = digits(spaced)?
            && let Some(below) = over.strip_prefix('/')
        {
            let (denominator, rest) = digits(below)?;
            if Some(above) >= denominator {
                return Err(AmountError::Fraction);
            }
            return Ok((Self::mixed(whole, above, denominator)?, rest));
        }
        let number = Self {
            numerator: whole,
            denominator: 1,
        };
        Ok((number, after))
    }

    fn decimal(whole: Option<u64>, decimals: &str) -> Result<(Self, &str), AmountError> {
        let (part, rest) = digits(decimals)?;
        let part = part.ok_or(AmountError::Number)?;
        let places = decimals.len().saturating_sub(rest.len());
        if places > 6 {
            return Err(AmountError::Digits);
        }
        let denominator = (0..places).fold(1_u64, |power, _| power.saturating_mul(10));
        let numerator = whole
            .unwrap_or(0)
            .saturating_mul(denominator)
            .saturating_add(part);
        let number = Self {
            numerator,
            denominator,
        };
        Ok((number, rest))
    }

    fn mixed(whole: u64, above: u64, below: Option<u64>) -> Result<Self, AmountError> {
        let denominator = below
            .filter(|below| (1..=99).contains(below))
            .ok_or(AmountError::Fraction)?;
        Ok(Self {
            numerator: whole.saturating_mul(denominator).saturating_add(above),
            denominator,
        })
    }

    /// The number times `times / over`, halves rounded up.
    fn scaled(self, times: u64, over: u64, max: u32) -> Result<u32, AmountError> {
        let below = self.denominator.saturating_mul(over);
        // floor(a / b + 1/2) = floor((2 a + b) / 2 b)
        let rounded = self
            .numerator
            .checked_mul(times)
            .and_then(|above| above.checked_mul(2))
            .and_then(|twice| twice.checked_add(below))
            .and_then(|sum| sum.checked_div(below.saturating_mul(2)))
            .and_then(|rounded| u32::try_from(rounded).ok());
        rounded
            .filter(|rounded| (1..=max).contains(rounded))
            .ok_or(AmountError::Range)
    }

    fn count(self) -> Result<u8, AmountError> {
        if self.numerator.checked_rem(self.denominator) != Some(0) {
            return Err(AmountError::Whole);
        }
        self.numerator
            .checked_div(self.denominator)
            .and_then(|count| u8::try_from(count).ok())
            .filter(|count| (1..=COUNT_MAX).contains(count))
            .ok_or(AmountError::Range)
    }
}

/// The decimal digits at the front of `text`, if any, and what follows them.
fn digits(text: &str) -> Result<(Option<u64>, &str), AmountError> {
    let rest = text.trim_start_matches(|c: char| c.is_ascii_digit());
    let length = text.len().saturating_sub(rest.len());
    if length > 9 {
        return Err(AmountError::Digits);
    }
    let value = text
        .bytes()
        .take(length)
        .map(|digit| u64::from(digit.wrapping_sub(b'0')))
        .fold(0_u64, |value, digit| {
            value.saturating_mul(10).saturating_add(digit)
        });
    Ok(((length > 0).then_some(value), rest))
}

/// A fraction written as one sign, such as U+00BD for a half, and what follows it.
fn vulgar(text: &str) -> Option<(u64, u64, &str)> {
    const SIGNS: [(char, u64, u64); 9] = [
        ('\u{BC}', 1, 4),
        ('\u{BD}', 1, 2),
        ('\u{BE}', 3, 4),
        ('\u{2153}', 1, 3),
        ('\u{2154}', 2, 3),
        ('\u{215B}', 1, 8),
        ('\u{215C}', 3, 8),
        ('\u{215D}', 5, 8),
        ('\u{215E}', 7, 8),
    ];
    SIGNS.iter().find_map(|(sign, above, below)| {
        text.strip_prefix(*sign).map(|rest| (*above, *below, rest))
    })
}
