//! Options of `sweep`, each with the bounds it must keep.

use std::path::PathBuf;

use clap::{Args, ValueEnum};
use serde::Serialize;

/// Pours of a cell: fewer than one are none, more would take days.
const POURS: std::ops::RangeInclusive<usize> = 1..=100_000;
/// Flows between the slowest float and an open neck, ml/s.
const FLOW_ML_S: std::ops::RangeInclusive<f64> = 2.0..=60.0;
/// What is poured into one glass, ml.
const TARGET_ML: std::ops::RangeInclusive<f64> = 1.0..=250.0;
/// Rates whose noise the simulated converter knows.
const SPS: [f64; 3] = [10.0, 80.0, 320.0];
/// Factors on hidden parameters; further off it is another world.
const FACTOR: std::ops::RangeInclusive<f64> = 0.5..=2.0;

/// Options of `sweep`.
#[derive(Args, Clone, Debug)]
pub struct SweepArgs {
    /// Everything: spirit and syrup, 5-60 ml, 4-25 ml/s, 10-320 conversions a second, every hand
    #[arg(long)]
    pub full: bool,

    /// Pours that count, of every cell and method
    #[arg(long, value_name = "N", default_value_t = 600, value_parser = pours)]
    pub pours: usize,

    /// Chance: the same number pours the same pours
    #[arg(long, value_name = "N", default_value_t = 1)]
    pub seed: u64,

    /// Only these liquids
    #[arg(long, value_enum, value_delimiter = ',', value_name = "NAMES")]
    pub liquid: Vec<LiquidName>,

    /// Only these usual flows, ml/s
    #[arg(long, value_delimiter = ',', value_name = "ML_S", value_parser = flow_ml_s)]
    pub flow: Vec<f64>,

    /// Only these volumes, ml
    #[arg(long, value_delimiter = ',', value_name = "ML", value_parser = target_ml)]
    pub ml: Vec<f64>,

    /// Only these rates, conversions per second
    #[arg(long, value_delimiter = ',', value_name = "HZ", value_parser = sps)]
    pub sps: Vec<f64>,

    /// Only these hands
    #[arg(long, value_enum, value_delimiter = ',', value_name = "NAMES")]
    pub hand: Vec<HandName>,

    /// Known hands in moved worlds: every hidden parameter times a factor, or "all": 0.8, 1.2
    /// and 20 draws of 0.8 to 1.2 each
    #[arg(long, value_name = "F", value_parser = vary)]
    pub vary: Option<Vary>,

    /// Print one JSON document and nothing else
    #[arg(long)]
    pub json: bool,

    /// Draw the errors of one cell, and P95 against volume and flow, as SVG into this file
    #[arg(long, value_name = "FILE.svg")]
    pub plot: Option<PathBuf>,
}

/// A liquid as the command line spells it.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum LiquidName {
    /// 40 % by volume.
    Spirit,
    /// 50 % of sugar by mass.
    Syrup,
}

impl LiquidName {
    /// Both.
    pub const ALL: [Self; 2] = [Self::Spirit, Self::Syrup];

    /// As it is printed.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Self::Spirit => "spirit",
            Self::Syrup => "syrup",
        }
    }
}

/// What the station knows of a hand.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum HandName {
    /// It has guided twelve pours of this hand with this bottle.
    Known,
    /// The first eight pours of a hand on a station that has seen none.
    Unknown,
    /// Hands change without a word every 3 to 10 pours.
    Changing,
    /// Known, with the sound off.
    Silent,
}

impl HandName {
    /// Every one.
    pub const ALL: [Self; 4] = [Self::Known, Self::Unknown, Self::Changing, Self::Silent];

    /// As it is printed.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Self::Known => "known",
            Self::Unknown => "unknown",
            Self::Changing => "changing",
            Self::Silent => "silent",
        }
    }
}

/// Which worlds are tried.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Vary {
    /// All hidden parameters times this.
    Factor(f64),
    /// All low, all high, and random draws.
    All,
}

fn pours(text: &str) -> Result<usize, String> {
    let (least, most) = (POURS.start(), POURS.end());
    text.parse()
        .ok()
        .filter(|count| POURS.contains(count))
        .ok_or_else(|| format!("{text:?} is not a whole number between {least} and {most}"))
}

fn flow_ml_s(text: &str) -> Result<f64, String> {
    within(text, &FLOW_ML_S, "ml/s")
}

fn target_ml(text: &str) -> Result<f64, String> {
    within(text, &TARGET_ML, "ml")
}

fn sps(text: &str) -> Result<f64, String> {
    let rate = text.trim().parse::<f64>().ok();
    rate.filter(|rate| SPS.contains(rate))
        .ok_or_else(|| format!("{text:?} is not one of 10, 80 and 320 conversions per second"))
}

fn vary(text: &str) -> Result<Vary, String> {
    if text.trim() == "all" {
        return Ok(Vary::All);
    }
    within(text, &FACTOR, "times, and not \"all\"").map(Vary::Factor)
}

fn within(text: &str, range: &std::ops::RangeInclusive<f64>, unit: &str) -> Result<f64, String> {
    let (least, most) = (range.start(), range.end());
    let value = text.trim().parse::<f64>().ok();
    value
        .filter(|value| range.contains(value))
        .ok_or_else(|| format!("{text:?} is not between {least} and {most} {unit}"))
}
