//! Options that several verbs share, each with the bounds it must keep.

use clap::ValueEnum;
use pennyweight_core::Mode;
use pennyweight_core::limits::FILTER_DELAY_MOST_PERIODS;
use pennyweight_core::liquid::STANDARD_DRINKS;

use crate::sheet::near::plain;

/// The greatest code of a 24-bit converter; the least is its negative less one.
pub const CODE_MAX: i64 = (1 << 23) - 1;
/// The least code of a 24-bit converter.
pub const CODE_MIN: i64 = -(1 << 23);

/// Targets a 3 kg cell can carry, grams.
const TARGET_G: std::ops::RangeInclusive<f32> = 0.1..=3000.0;
/// Fewer codes a gram than this cannot show a dash, more would not leave room for a glass
/// within 24 bits. A cell wired the other way round has a negative factor.
const COUNTS_PER_GRAM: std::ops::RangeInclusive<f32> = 1.0..=100_000.0;
/// Rates of bridge converters on the market, conversions per second.
const SPS: std::ops::RangeInclusive<f32> = 1.0..=5000.0;

/// No glass holds more than the cell carries, millilitres.
const SERVE_ML: std::ops::RangeInclusive<f32> = 0.0..=3000.0;
/// More water than this is no drink, percent of the undiluted volume.
const WATER_PERCENT: std::ops::RangeInclusive<f32> = 0.0..=300.0;
/// A jug leaves the cell some room for what goes into it, grams.
const JUG_G: std::ops::RangeInclusive<f32> = 0.0..=2500.0;
/// From a jigger to the largest batch that still goes on a counter, millilitres.
const JUG_ML: std::ops::RangeInclusive<f32> = 50.0..=20_000.0;

/// The ways of working, as the command line spells them.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, ValueEnum)]
pub enum ModeName {
    /// Fast; speaks up only where somebody would taste it.
    #[default]
    Service,
    /// Exact, for working on a spec.
    Develop,
    /// Syrups and batches, in grams.
    Prep,
    /// Grams and tare.
    Plain,
}

impl From<ModeName> for Mode {
    fn from(name: ModeName) -> Self {
        match name {
            ModeName::Service => Self::Service,
            ModeName::Develop => Self::Develop,
            ModeName::Prep => Self::Prep,
            ModeName::Plain => Self::Plain,
        }
    }
}

/// Reads codes per gram.
///
/// # Errors
/// Says what would be right.
pub fn counts_per_gram(text: &str) -> Result<f32, String> {
    let factor = number(text)?;
    if COUNTS_PER_GRAM.contains(&factor.abs()) {
        Ok(factor)
    } else {
        Err(format!(
            "{text} is not between {} and {} (either sign)",
            COUNTS_PER_GRAM.start(),
            COUNTS_PER_GRAM.end()
        ))
    }
}

/// Reads the code of the empty pan.
///
/// # Errors
/// Says what would be right.
pub fn zero_code(text: &str) -> Result<i32, String> {
    code(text)
}

/// Reads a signed 24-bit code.
///
/// # Errors
/// Says what would be right.
pub fn code(text: &str) -> Result<i32, String> {
    let digits = text.strip_prefix(['-', '+']).unwrap_or(text);
    if digits.is_empty() || !digits.bytes().all(|byte| byte.is_ascii_digit()) {
        return Err("not a whole number".to_owned());
    }
    // Digits that do not even fit 64 bits are beyond 24 as well.
    text.parse()
        .ok()
        .and_then(code_within)
        .ok_or_else(beyond_24_bits)
}

/// A whole number as a code, where it is one.
#[must_use]
pub fn code_within(number: i64) -> Option<i32> {
    if (CODE_MIN..=CODE_MAX).contains(&number) {
        i32::try_from(number).ok()
    } else {
        None
    }
}

/// What to say about a code that no 24-bit converter gives.
#[must_use]
pub fn beyond_24_bits() -> String {
    format!("beyond 24 bits ({CODE_MIN} to {CODE_MAX})")
}

/// Reads a nominal rate, conversions per second.
///
/// # Errors
/// Says what would be right.
pub fn sps(text: &str) -> Result<f32, String> {
    within(text, &SPS, "conversions per second")
}

/// Reads the delay of a converter's filter, periods.
///
/// # Errors
/// Says what would be right.
pub fn filter_delay(text: &str) -> Result<f32, String> {
    within(text, &(0.0..=FILTER_DELAY_MOST_PERIODS), "periods")
}

/// Keeps an estimated rate within what a converter can have.
#[must_use]
pub fn sps_clamped(rate: f32) -> f32 {
    rate.clamp(*SPS.start(), *SPS.end())
}

/// Reads a target, grams.
///
/// # Errors
/// Says what would be right.
pub fn target_g(text: &str) -> Result<f32, String> {
    within(text, &TARGET_G, "g")
}

/// Reads what every strained glass is to hold, millilitres.
///
/// # Errors
/// Says what would be right.
pub fn serve_ml(text: &str) -> Result<f32, String> {
    within(text, &SERVE_ML, "ml")
}

/// Reads how many times faster than the bench to play.
///
/// # Errors
/// Says what would be right.
pub fn speed(text: &str) -> Result<f64, String> {
    within(text, &(0.1..=1000.0), "times real time").map(f64::from)
}

/// Reads a jurisdiction of which the standard drink is known; capitals do not matter.
///
/// # Errors
/// Names those that are known.
pub fn jurisdiction(text: &str) -> Result<&'static str, String> {
    let known = || STANDARD_DRINKS.iter().map(|drink| drink.jurisdiction);
    known()
        .find(|name| plain(name) == plain(text))
        .ok_or_else(|| {
            let all: Vec<&str> = known().collect();
            format!("not known; one of: {}", all.join(", "))
        })
}

/// Reads a share of water such as `22%`, as a fraction.
///
/// # Errors
/// Says what would be right.
pub fn water(text: &str) -> Result<f64, String> {
    let percent = text.trim().trim_end_matches('%').trim_end();
    within(percent, &WATER_PERCENT, "%").map(|percent| f64::from(percent) / 100.0)
}

/// Reads the mass of an empty jug, grams.
///
/// # Errors
/// Says what would be right.
pub fn jug_g(text: &str) -> Result<f64, String> {
    within(text, &JUG_G, "g").map(f64::from)
}

/// Reads what a jug holds to the brim, millilitres.
///
/// # Errors
/// Says what would be right.
pub fn holds_ml(text: &str) -> Result<f64, String> {
    within(text, &JUG_ML, "ml").map(f64::from)
}

fn within(text: &str, range: &std::ops::RangeInclusive<f32>, unit: &str) -> Result<f32, String> {
    let value = number(text)?;
    if range.contains(&value) {
        Ok(value)
    } else {
        Err(format!(
            "{text} is not between {} and {} {unit}",
            range.start(),
            range.end()
        ))
    }
}

fn number(text: &str) -> Result<f32, String> {
    match text.trim().parse::<f32>() {
        Ok(value) if value.is_finite() => Ok(value),
        _ => Err(format!("{text:?} is not a number")),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn codes_keep_to_24_bits() {
        assert_eq!(code("8388607"), Ok(8_388_607));
        assert_eq!(code("-8388608"), Ok(-8_388_608));
        for beyond in ["8388608", "-8388609", "99999999999999999999999"] {
            assert_eq!(code(beyond), Err(beyond_24_bits()), "{beyond}");
        }
        for wrong in ["", "-", "1.5", "1e3", "0x10", "--1", " 1"] {
            assert_eq!(code(wrong), Err("not a whole number".to_owned()), "{wrong}");
        }
    }

    #[test]
    fn numbers_are_finite_and_in_bounds() {
        for wrong in ["NaN", "inf", "", "ten", "0", "-3", "1e9"] {
            assert!(target_g(wrong).is_err(), "{wrong}");
            assert!(sps(wrong).is_err(), "{wrong}");
            assert!(speed(wrong).is_err(), "{wrong}");
        }
        for wrong in ["NaN", "-5", "99999"] {
            assert!(serve_ml(wrong).is_err(), "{wrong}");
        }
        assert_eq!(serve_ml("0"), Ok(0.0));
        assert_eq!(filter_delay("0"), Ok(0.0));
        assert!(filter_delay("-0.5").is_err() && filter_delay("41").is_err());
        assert_eq!(counts_per_gram("-420.5"), Ok(-420.5));
        assert!(counts_per_gram("0").is_err());
    }
}
