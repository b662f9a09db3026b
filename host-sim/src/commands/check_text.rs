//! What was found out about a sheet, as lines of text of at most 80 columns.

use std::io::{self, Write};

use pennyweight_core::spec::CARD_TOLERANCE;

use super::check::Findings;
use crate::holds::{
    Batch, Card, CardLine, DrinkHolds, Fit, LiquidHolds, StandardDrinks, StepHolds,
};

/// The jurisdictions told of when none was asked for.
const USUAL: [&str; 3] = ["WHO AUDIT", "US", "UK"];

/// Writes the findings; `country` is where standard drinks are counted.
///
/// # Errors
/// Those of `out`.
pub fn write(
    out: &mut impl Write,
    findings: &Findings<'_>,
    country: Option<&str>,
) -> io::Result<()> {
    for (number, drink) in findings.drinks.iter().enumerate() {
        write_drink(out, drink, country)?;
        let batch = findings.batches.and_then(|batches| batches.get(number));
        if let Some(batch) = batch {
            write_batch(out, batch)?;
        }
        writeln!(out)?;
    }
    let name = match findings.house {
        "" => "The sheet",
        name => name,
    };
    writeln!(
        out,
        "{name}: {} liquids, {} bytes packed; no mistake found.",
        findings.liquids, findings.packed_bytes
    )?;
    writeln!(
        out,
        "\u{b1} is one standard deviation: tolerance of the pour, label, density."
    )?;
    writeln!(out, "~ marks a card that moves an amount by more than 2 %.")?;
    findings
        .cautions
        .iter()
        .try_for_each(|line| writeln!(out, "{line}"))
}

fn write_drink(out: &mut impl Write, drink: &DrinkHolds, country: Option<&str>) -> io::Result<()> {
    if drink.vessel == drink.glass {
        writeln!(out, "{}, {}", drink.name, drink.glass)?;
    } else {
        writeln!(out, "{}, {} into {}", drink.name, drink.vessel, drink.glass)?;
    }
    if drink.as_poured {
        head(
            out,
            "volumes",
            "meant as poured; the ml told here are at 20 degC",
        )?;
    }
    let mut cards = drink.card.lines.iter();
    for step in &drink.steps {
        let card = step.g.and_then(|_| cards.next());
        let card = card.map_or(String::new(), on_card);
        writeln!(out, "{}", step_line(step, &card).trim_end())?;
    }
    write_holds(out, "built", &drink.built)?;
    if let Some(dilution) = &drink.dilution {
        for line in dilution.sentences() {
            head(out, "ice", &line)?;
        }
    } else if drink.iced {
        head(out, "ice", "melts as it stands; that is not reckoned")?;
    }
    if let Some(served) = &drink.served {
        let expected = drink
            .dilution
            .as_ref()
            .is_some_and(|it| it.expected_percent.is_some());
        let title = if expected {
            "in the glass"
        } else {
            "with least"
        };
        write_holds(out, title, served)?;
    }
    if let (Some(dilution), true) = (&drink.dilution, drink.vessel != drink.glass) {
        let line = format!(
            "{:.1} \u{b1} {:.1} g stay on ice and vessel (trade judgement)",
            dilution.hold_up_g, dilution.hold_up_sigma_g
        );
        head(out, "", &line)?;
    }
    head(
        out,
        "std drinks",
        &standard(&drink.standard_drinks, country),
    )?;
    if !drink.allergens.is_empty() {
        head(
            out,
            "allergens",
            &format!("{} (as marked)", drink.allergens.join(", ")),
        )?;
    }
    if drink.raw_egg {
        head(out, "caution", "raw egg")?;
    }
    if let Some(line) = moved(&drink.card) {
        head(out, "card", &line)?;
    }
    for fit in &drink.fit {
        head(out, "fit", &fit_line(fit))?;
    }
    for step in &drink.steps {
        if let Some(unresolved) = step.unresolved {
            head(
                out,
                "scale",
                &format!("{}: {}", step.written, unresolved.sentence()),
            )?;
        }
    }
    Ok(())
}

/// Both amounts of a card; nothing where they are what is written anyway.
fn on_card(line: &CardLine) -> String {
    let mark = |percent: f64| {
        if percent.abs() > 100.0 * CARD_TOLERANCE {
            "~"
        } else {
            ""
        }
    };
    if line.ml == line.oz {
        return String::new();
    }
    let (ml, oz) = (mark(line.ml_moves_percent), mark(line.oz_moves_percent));
    format!("{ml}{} = {oz}{}", line.ml, line.oz)
}

fn head(out: &mut impl Write, head: &str, line: &str) -> io::Result<()> {
    writeln!(out, "  {head:<12} {line}")
}

fn step_line(step: &StepHolds, card: &str) -> String {
    match (step.ml, step.g) {
        (Some(ml), Some(g)) => {
            format!("  {:<28}{ml:>8.2} ml{g:>8.2} g   {card}", step.written)
        }
        _ => format!("  {}", step.written),
    }
}

/// Volume, strength and alcohol, each with its deviation; what else is in it below.
fn write_holds(out: &mut impl Write, title: &str, of: &LiquidHolds) -> io::Result<()> {
    let line = format!(
        "{:.0} \u{b1} {:.1} ml, {:.1} \u{b1} {:.1} % vol, {:.1} \u{b1} {:.1} g alcohol",
        of.volume_ml,
        of.volume_sigma_ml,
        of.abv_percent,
        of.abv_sigma_percent,
        of.ethanol_g,
        of.ethanol_sigma_g
    );
    head(out, title, &line)?;
    let acid = of
        .acid_g_per_l
        .map_or(String::new(), |acid| format!(", {acid:.1} g/l acid"));
    let line = format!(
        "{:.0} \u{b1} {:.0} g/l sugar{acid}",
        of.sugar_g_per_l,
        of.sugar_sigma_g_per_l.ceil()
    );
    head(out, "", &line)
}

fn standard(all: &[StandardDrinks], country: Option<&str>) -> String {
    let asked = |one: &&StandardDrinks| match country {
        Some(country) => one.jurisdiction == country,
        None => USUAL.contains(&one.jurisdiction),
    };
    let told: Vec<String> = all
        .iter()
        .filter(asked)
        .map(|one| match (one.grams, one.count) {
            (Some(grams), Some(count)) => format!("{count:.1} {} ({grams} g)", one.jurisdiction),
            _ => format!("none is defined in {}", one.jurisdiction),
        })
        .collect();
    told.join(", ")
}

/// What writing the card in ounces does to the drink.
fn moved(card: &Card) -> Option<String> {
    card.oz_flagged.then(|| {
        format!(
            "ounces move it: volume {:+.1} %, strength {:+.1} %, sugar {:+.1} %",
            card.oz_moves_volume_percent, card.oz_moves_abv_percent, card.oz_moves_sugar_percent
        )
    })
}

fn fit_line(fit: &Fit) -> String {
    let with = if fit.ice_g > 0.0 {
        format!("{:.0} ml + {:.0} g ice", fit.liquid_ml, fit.ice_g)
    } else {
        format!("{:.0} ml", fit.liquid_ml)
    };
    let room = if fit.fits {
        format!("{:.0} ml of room", fit.room_ml)
    } else {
        format!("runs over by {:.0} ml", -fit.room_ml)
    };
    format!(
        "{with} in a {} of {:.0} ml: {room}",
        fit.vessel, fit.brimful_ml
    )
}

fn write_batch(out: &mut impl Write, batch: &Batch) -> io::Result<()> {
    writeln!(out, "  {} glasses at once:", batch.serves)?;
    for line in &batch.lines {
        let fills = match line.fills {
            1 => String::new(),
            fills => format!(
                "\n      in {fills} fills, or off {} bottles of 700 ml by loss in weight",
                line.bottles
            ),
        };
        writeln!(
            out,
            "    {:<24}{:>10.1} g{:>10.1} ml{fills}",
            line.liquid, line.g, line.ml
        )?;
    }
    write_holds(out, "  all of it", &batch.holds)?;
    head(out, "", &format!("{:.1} g on the scale", batch.total_g))?;
    if batch.fills > 1 {
        let line = format!(
            "{} fills of the jug before the cell is at its rated load",
            batch.fills
        );
        head(out, "  ", &line)?;
    }
    head(
        out,
        "  each glass",
        &format!("{:.1} g or {:.1} ml of it", batch.serve_g, batch.serve_ml),
    )?;
    for line in &batch.each_glass {
        head(out, "  ", line)?;
    }
    head(
        out,
        "  keeps liquid",
        &format!("to {:.0} degC at least", batch.freezes_c),
    )
}
