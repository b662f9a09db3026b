//! `check`: the mistakes of a sheet, or what every drink of it holds.

use std::io::{self, Write};
use std::path::PathBuf;
use std::process::ExitCode;

use clap::Args;
use pennyweight_core::spec::DrinkId;
use serde::Serialize;

use crate::sheet::{DrinkHolds, HouseSheet, LoadError, SheetMistake, StepHolds, drink_holds, load};

/// Told with every answer.
const CAUTIONS: [&str; 4] = [
    "Volume, strength, sugar and alcohol are estimates, before any ice melts.",
    "Allergens and raw egg are flagged as the sheet's author wrote them; the house answers for them.",
    "Not approved for trade: local law may require stamped measures.",
    "Serve within the law and the house's licence.",
];

/// What to check.
#[derive(Args, Clone, Debug, Default)]
pub struct CheckArgs {
    /// The sheet; the demo sheet when left out
    pub sheet: Option<PathBuf>,
    /// Print one JSON document instead of a table
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

/// Checks a sheet and prints what was found; exit code 2 when the sheet has mistakes or cannot
/// be read.
///
/// # Errors
/// When the output cannot be written, or a drink lies outside the models.
pub fn run(args: &CheckArgs) -> anyhow::Result<ExitCode> {
    let mut out = io::stdout().lock();
    let sheet = match load(args.sheet.as_deref()) {
        Ok(sheet) => sheet,
        Err(error) => {
            if let (true, LoadError::Mistakes(mistakes)) = (args.json, &error) {
                json(&mut out, &Mistakes { mistakes })?;
            } else {
                eprintln!("{error}");
            }
            return Ok(ExitCode::from(2));
        }
    };
    let drinks = (0..=u8::MAX)
        .zip(sheet.drinks())
        .map(|(id, _)| drink_holds(&sheet, DrinkId(id)).map_err(anyhow::Error::msg))
        .collect::<anyhow::Result<Vec<_>>>()?;
    if args.json {
        let findings = Findings {
            house: sheet.name(),
            liquids: sheet.liquids().len(),
            packed_bytes: sheet.pack().len(),
            drinks: &drinks,
            cautions: CAUTIONS,
        };
        json(&mut out, &findings)?;
    } else {
        write_text(&mut out, &sheet, &drinks)?;
    }
    Ok(ExitCode::SUCCESS)
}

fn json(out: &mut impl Write, document: &impl Serialize) -> anyhow::Result<()> {
    serde_json::to_writer_pretty(&mut *out, document)?;
    writeln!(out)?;
    Ok(())
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
            "  holds about {:.0} ml at {:.1} % vol, {:.0} g/l sugar, {:.1} g alcohol",
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
    for caution in CAUTIONS {
        writeln!(out, "{caution}")?;
    }
    Ok(())
}

fn step_line(step: &StepHolds) -> String {
    match (step.ml, step.g) {
        (Some(ml), Some(g)) => format!("  {:<32} {ml:>7.2} ml {g:>7.2} g", step.written),
        _ => format!("  {}", step.written),
    }
}
