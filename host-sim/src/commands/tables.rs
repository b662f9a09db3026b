//! The tables after a round, 80 columns wide at most.

use comfy_table::presets::NOTHING;
use comfy_table::{Cell, CellAlignment, ColumnConstraint, ContentArrangement, Table, Width};

use super::cautions::CAUTIONS;
use super::result::{DrinkResult, PourResult, RoundResult};
use super::taught;

/// Widths of the first column and of the others, padding included: 79 columns.
const POUR_WIDTHS: [u16; 6] = [23, 11, 11, 11, 11, 12];
const GLASS_WIDTHS: [u16; 6] = [20, 11, 10, 11, 11, 16];

/// What the second figure of a pair is.
const DEVIATION: &str = "\u{b1} is one standard deviation.";

/// Both tables, the station time and the cautions.
#[must_use]
pub fn report(result: &RoundResult) -> String {
    format!(
        "{}\n\n{}\n {DEVIATION}\n{}\n{}Station time {}\n\n{}\n",
        trimmed(&pours(result)),
        trimmed(&glasses(result)),
        weighed_back(result),
        taught::table(&result.taught),
        duration(result.seconds),
        CAUTIONS.join("\n"),
    )
}

/// What was lost, and the prediction beside the dilution, a line a drink.
fn weighed_back(result: &RoundResult) -> String {
    let lines = result.drinks.iter().filter_map(|drink| {
        let back = drink.holds.back.as_ref()?;
        let usual = back
            .dilution_expected_percent
            .zip(back.dilution_expected_sigma_percent)
            .map_or_else(String::new, |(percent, sigma)| {
                format!("; usual dilution {percent:.0}\u{b1}{sigma:.0} %")
            });
        Some(format!(
            " {}, weighed back: lost {:.1}\u{b1}{:.1} g{usual}\n",
            drink.name,
            back.lost_g,
            shown(back.lost_sigma_g)
        ))
    });
    lines.collect()
}

fn pours(result: &RoundResult) -> Table {
    let heads = ["target ml", "target g", "poured g", "error g", "verdict"];
    let mut table = columns("Pours", heads, POUR_WIDTHS);
    for drink in &result.drinks {
        table.add_row(vec![Cell::new(&drink.name)]);
        table.add_rows(drink.pours.iter().map(pour_row));
    }
    table
}

fn pour_row(pour: &PourResult) -> Vec<Cell> {
    let figures = &pour.figures;
    vec![
        Cell::new(format!("  {}", pour.liquid)),
        figure(format!("{:.1}", figures.target_ml)),
        figure(format!("{:.2}", figures.target_g)),
        figure(format!("{:.2}", figures.poured_g)),
        figure(format!("{:+.2}", figures.error_g)),
        figure(figures.verdict.to_owned()),
    ]
}

fn glasses(result: &RoundResult) -> Table {
    let heads = ["volume ml", "% vol", "sugar g/l", "alcohol g", "dilution %"];
    let mut table = columns("Glasses", heads, GLASS_WIDTHS);
    table.add_rows(result.drinks.iter().map(glass_row));
    table
}

fn glass_row(drink: &DrinkResult) -> Vec<Cell> {
    let holds = &drink.holds;
    let dilution = match (
        holds.dilution_percent,
        holds.dilution_sigma_percent,
        holds.dilution_basis,
    ) {
        (Some(percent), Some(sigma), Some(basis)) => {
            format!("{percent:.0}\u{b1}{sigma:.0} {basis}")
        }
        (_, _, _) => "-".to_owned(),
    };
    vec![
        Cell::new(&drink.name),
        figure(format!(
            "{:.0}\u{b1}{:.1}",
            holds.volume_ml,
            shown(holds.volume_sigma_ml)
        )),
        figure(format!(
            "{:.1}\u{b1}{:.1}",
            holds.abv_percent,
            shown(holds.abv_sigma_percent)
        )),
        figure(format!("{:.0}", holds.sugar_g_per_l)),
        figure(format!(
            "{:.1}\u{b1}{:.1}",
            holds.ethanol_g,
            shown(holds.ethanol_sigma_g)
        )),
        figure(dilution),
    ]
}

/// A deviation in tenths, rounded up (JCGM 100, 7.2.6): nothing is known exactly.
fn shown(sigma: f32) -> f32 {
    (10.0 * sigma).ceil() / 10.0
}

fn columns(title: &str, heads: [&str; 5], widths: [u16; 6]) -> Table {
    let mut table = Table::new();
    let header = [Cell::new(title)]
        .into_iter()
        .chain(heads.into_iter().map(|head| figure(head.to_owned())));
    table
        .load_style(NOTHING)
        .set_content_arrangement(ContentArrangement::Disabled)
        .set_header(header.collect::<Vec<_>>());
    for (column, width) in table.column_iter_mut().zip(widths) {
        column.set_constraint(ColumnConstraint::Absolute(Width::Fixed(width)));
    }
    table
}

fn figure(text: String) -> Cell {
    Cell::new(text).set_alignment(CellAlignment::Right)
}

/// The table's lines without blanks at their ends, a rule below the first.
fn trimmed(table: &Table) -> String {
    let mut lines: Vec<String> = table
        .lines()
        .map(|line| line.trim_end().to_owned())
        .collect();
    let width = lines
        .iter()
        .map(|line| line.chars().count())
        .max()
        .unwrap_or(0);
    lines.insert(1.min(lines.len()), "\u{2500}".repeat(width));
    lines.join("\n")
}

fn duration(seconds: f64) -> String {
    let tenths = (seconds * 10.0).round();
    let minutes = (tenths / 600.0).floor();
    format!(
        "{minutes:.0} min {:.1} s",
        (tenths - minutes * 600.0) / 10.0
    )
}
