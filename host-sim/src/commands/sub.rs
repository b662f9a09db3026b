//! `sub`: what the house has that could stand in for a liquid of a drink.

use std::io::{self, Write};
use std::path::PathBuf;

use clap::Args;

use super::events::write_json;
use super::failure::{Failure, excerpt};
use super::order;
use crate::holds::{DrinkWith, StandIn, StandIns, stand_ins};
use crate::sheet::{find_liquid, load, near};

/// What is missing, and in what.
#[derive(Args, Clone, Debug)]
pub struct SubArgs {
    /// The sheet
    pub sheet: PathBuf,
    /// The drink
    pub drink: String,
    /// The liquid that is missing
    pub liquid: String,
    /// Print one JSON document instead of text
    #[arg(long)]
    pub json: bool,
}

/// Prints what could stand in.
///
/// # Errors
/// A sheet that cannot be read; a drink or liquid that is not there; an output that cannot be
/// written.
pub fn run(args: &SubArgs) -> Result<(), Failure> {
    let sheet = load(Some(&args.sheet))?;
    let drink = order::named(&sheet, "DRINK", &args.drink)?;
    let refused = |cause: String, remedy: String| {
        let place = format!("LIQUID: {}", excerpt(args.liquid.as_bytes()));
        Failure::bad_input(NO_ANSWER, place, cause, remedy)
    };
    let missing = find_liquid(sheet.liquids(), &args.liquid).ok_or_else(|| {
        let keys = || sheet.liquids().iter().map(|liquid| liquid.key.as_str());
        let nearest = near::nearest(&args.liquid, keys())
            .map(|key| format!("; did you mean \"{key}\"?"))
            .unwrap_or_default();
        refused(
            format!("the sheet has no liquid of that name{nearest}"),
            format!("name one of: {}", keys().collect::<Vec<_>>().join(", ")),
        )
    })?;
    let found = stand_ins(&sheet, drink, missing)
        .map_err(|error| {
            refused(
                error.to_string(),
                "check the figures of its liquids".to_owned(),
            )
        })?
        .ok_or_else(|| {
            refused(
                format!("{} does not hold it", drink.name),
                "name a liquid of its build".to_owned(),
            )
        })?;
    let mut out = io::stdout().lock();
    if args.json {
        write_json(&mut out, &found)
    } else {
        write_text(&mut out, &found)
    }
    .map_err(Failure::writing)
}

/// What fails.
const NO_ANSWER: &str = "there is nothing to stand in";

fn write_text(out: &mut impl Write, found: &StandIns) -> io::Result<()> {
    writeln!(out, "{} without {}", found.drink, found.liquid)?;
    writeln!(out, "  as it is written: {}", balance(&found.was))?;
    for way in &found.stand_ins {
        writeln!(out, "  {}", instead(way))?;
        writeln!(out, "      {}", balance(&way.drink))?;
        if !way.shared_tags.is_empty() {
            writeln!(out, "      shares: {}", way.shared_tags.join(", "))?;
        }
        if !way.allergens_added.is_empty() {
            writeln!(
                out,
                "      brings in allergens: {}",
                way.allergens_added.join(", ")
            )?;
        }
    }
    if found.stand_ins.is_empty() {
        writeln!(out, "  nothing on the shelf pours like it")?;
    }
    writeln!(
        out,
        "Undiluted. Amounts keep sugar to acid, then grams of alcohol, then volume; ranked by\n\
         that, shared tags, the strength of the bottle, and one bottle before two. Taste decides."
    )
}

/// To half a millilitre: finer is not poured.
fn half(ml: f64) -> f64 {
    (2.0 * ml).round() / 2.0
}

/// `30 ml cane rum + 5 ml honey syrup`.
fn instead(way: &StandIn) -> String {
    let each: Vec<String> = way
        .instead
        .iter()
        .map(|one| format!("{} ml {}", half(one.ml), one.liquid))
        .collect();
    each.join(" + ")
}

fn balance(drink: &DrinkWith) -> String {
    let ratio = drink
        .sugar_to_acid
        .map_or(String::new(), |ratio| format!(", sugar:acid {ratio:.1}"));
    format!(
        "{:.0} ml, {:.1} % vol, {:.0} g/l sugar{ratio}",
        drink.volume_ml, drink.abv_percent, drink.sugar_g_per_l
    )
}
