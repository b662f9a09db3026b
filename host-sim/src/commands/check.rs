//! `check`: the mistakes of a sheet, or what every drink of it holds.

use std::io::{self, Write};
use std::path::PathBuf;

use clap::Args;
use serde::Serialize;

use super::cautions::CAUTIONS;
use super::events::write_json;
use super::failure::Failure;
use crate::sheet::{DrinkHolds, HouseSheet, LoadError, SheetMistake, StepHolds, drink_holds, load};

/// What to check.
#[derive(Args, Clone, Debug, Default)]
pub struct CheckArgs {
    /// The sheet; the demo sheet when left out
    pub sheet: Option<PathBuf>,
    /// Print one JSON document instead of text
    #[arg(long)]
    pub json: bool,
}

#[derive(Serialize)]
struct Findings<'a> {
    house: &'a str,
    liquids: usize,
    packed_bytes: usize,
    drinks: &'a [DrinkHolds],
    cautions: [&'a str; 4],
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
    let drinks = sheet
        .drinks()
        .iter()
        .map(|drink| {
            drink_holds(&sheet, drink).map_err(|error| {
                Failure::bad_input(
                    "there is no telling what a drink holds",
                    &drink.name,
                    error.to_string(),
                    "check the amounts of its build and the figures of its liquids",
                )
            })
        })
        .collect::<Result<Vec<_>, _>>()?;
    if args.json {
        let findings = Findings {
            house: sheet.name(),
            liquids: sheet.liquids().len(),
            packed_bytes: sheet.pack().len(),
            drinks: &drinks,
            cautions: CAUTIONS,
        };
        write_json(&mut out, &findings)
    } else {
        write_text(&mut out, &sheet, &drinks)
    }
    .map_err(Failure::writing)
}

/// The findings as lines of text.
///
/// # Errors
/// Those of `out`.
pub fn write_text(
    out: &mut impl Write,
    sheet: &HouseSheet,
    drinks: &[DrinkHolds],
) -> io::Result<()> {
    for drink in drinks {
        if drink.vessel == drink.glass {
            writeln!(out, "{}, {}", drink.name, drink.glass)?;
        } else {
            writeln!(out, "{}, {} into {}", drink.name, drink.vessel, drink.glass)?;
        }
        for step in &drink.steps {
            writeln!(out, "{}", step_line(step))?;
        }
        writeln!(
            out,
            "  holds {:.0} ml at {:.1} % vol, {:.0} g/l sugar, {:.1} g alcohol",
            drink.volume_ml, drink.abv_percent, drink.sugar_g_per_l, drink.ethanol_g
        )?;
        if !drink.allergens.is_empty() {
            writeln!(out, "  allergens marked: {}", drink.allergens.join(", "))?;
        }
        if drink.raw_egg {
            writeln!(out, "  raw egg")?;
        }
        writeln!(out)?;
    }
    let name = match sheet.name() {
        "" => "The sheet",
        name => name,
    };
    writeln!(
        out,
        "{name}: {} liquids, {} drinks, {} bytes packed; no mistake found.",
        sheet.liquids().len(),
        drinks.len(),
        sheet.pack().len()
    )?;
    writeln!(out, "Drinks are as written, before any ice melts.")?;
    CAUTIONS.iter().try_for_each(|line| writeln!(out, "{line}"))
}

fn step_line(step: &StepHolds) -> String {
    match (step.ml, step.g) {
        (Some(ml), Some(g)) => format!("  {:<42} {ml:>8.2} ml {g:>8.2} g", step.written),
        _ => format!("  {}", step.written),
    }
}
