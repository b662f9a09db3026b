//! `check`: the mistakes of a sheet, or what every drink of it holds.

use std::io;
use std::path::PathBuf;

use clap::Args;
use pennyweight_core::liquid::LiquidError;
use serde::Serialize;

use super::cautions::CAUTIONS;
use super::check_text;
use super::events::write_json;
use super::failure::Failure;
use super::options::{self, ModeName};
use super::order;
use crate::holds::{Batch, DrinkHolds, Jug, batch, drink_holds};
use crate::sheet::{HouseDrink, HouseSheet, LoadError, SheetMistake, load};

/// What to check.
#[derive(Args, Clone, Debug)]
pub struct CheckArgs {
    /// The sheet; the demo sheet when left out
    pub sheet: Option<PathBuf>,
    /// Only this drink of it
    #[arg(long, value_name = "NAME")]
    pub drink: Option<String>,
    /// The tolerances to reckon with
    #[arg(long, value_enum, default_value_t)]
    pub mode: ModeName,
    /// Where standard drinks are counted: UK, Ireland, ...; three of them when left out
    #[arg(long = "where", value_name = "COUNTRY", value_parser = options::jurisdiction)]
    pub country: Option<&'static str>,
    /// Make each drink so many glasses at once, in grams
    #[arg(long, value_name = "GLASSES", value_parser = clap::value_parser!(u32).range(1..=1000))]
    pub batch: Option<u32>,
    /// Water in the batch in place of ice, percent of the undiluted volume: 22%
    #[arg(long, value_name = "PERCENT", requires = "batch", value_parser = options::water)]
    pub water: Option<f64>,
    /// What the batch is weighed in weighs itself, grams
    #[arg(long, value_name = "GRAMS", requires = "batch", default_value = "600", value_parser = options::jug_g)]
    pub jug: f64,
    /// What it holds to the brim, millilitres
    #[arg(long, value_name = "ML", requires = "batch", value_parser = options::holds_ml)]
    pub holds: Option<f64>,
    /// Print one JSON document instead of text
    #[arg(long)]
    pub json: bool,
}

/// What was found out about a sheet.
#[derive(Serialize)]
pub struct Findings<'a> {
    /// The bar's name.
    pub house: &'a str,
    /// How many liquids it has.
    pub liquids: usize,
    /// The sheet's size on the device.
    pub packed_bytes: usize,
    /// What its drinks hold.
    pub drinks: &'a [DrinkHolds],
    /// The same many times over, where it was asked for.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub batches: Option<&'a [Batch]>,
    /// What is told with all of it.
    pub cautions: [&'a str; 4],
}

#[derive(Serialize)]
struct Mistakes<'a> {
    mistakes: &'a [SheetMistake],
}

/// Checks a sheet and prints what was found.
///
/// # Errors
/// A sheet that cannot be read or has mistakes, which `--json` prints too; a drink outside the
/// models; an output that cannot be written.
pub fn run(args: &CheckArgs) -> Result<(), Failure> {
    let mut out = io::stdout().lock();
    let sheet = load(args.sheet.as_deref());
    if let (true, Err(LoadError::Mistakes(mistakes))) = (args.json, &sheet) {
        write_json(&mut out, &Mistakes { mistakes }).map_err(Failure::writing)?;
    }
    let sheet = sheet?;
    let wanted = wanted(&sheet, args.drink.as_deref())?;
    let mode = args.mode.into();
    let drinks = told(&wanted, |drink| drink_holds(&sheet, drink, mode))?;
    let batches = args
        .batch
        .map(|serves| {
            let jug = Jug {
                mass_g: args.jug,
                holds_ml: args.holds,
            };
            let water = args.water.unwrap_or(0.0);
            told(&wanted, |drink| batch(&sheet, drink, serves, water, jug))
        })
        .transpose()?;
    let findings = Findings {
        house: sheet.name(),
        liquids: sheet.liquids().len(),
        packed_bytes: sheet.pack().len(),
        drinks: &drinks,
        batches: batches.as_deref(),
        cautions: CAUTIONS,
    };
    if args.json {
        write_json(&mut out, &findings)
    } else {
        check_text::write(&mut out, &findings, args.country)
    }
    .map_err(Failure::writing)
}

/// The drinks to tell of.
fn wanted<'s>(sheet: &'s HouseSheet, name: Option<&str>) -> Result<Vec<&'s HouseDrink>, Failure> {
    let Some(name) = name else {
        return Ok(sheet.drinks().iter().collect());
    };
    Ok(vec![order::named(sheet, "--drink", name)?])
}

fn told<T>(
    drinks: &[&HouseDrink],
    of: impl Fn(&HouseDrink) -> Result<T, LiquidError>,
) -> Result<Vec<T>, Failure> {
    drinks
        .iter()
        .map(|drink| {
            of(drink).map_err(|error| {
                Failure::bad_input(
                    "there is no telling what a drink holds",
                    &drink.name,
                    error.to_string(),
                    "check the amounts of its build and the figures of its liquids",
                )
            })
        })
        .collect()
}
