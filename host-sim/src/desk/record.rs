//! What was poured and finished: the record, and its CSV.

use std::collections::VecDeque;

use pennyweight_core::output::{DrinkRecord, PourRecord};
use pennyweight_core::{Instant, Outputs};
use serde::Serialize;

use crate::commands::names::Names;
use crate::commands::result::{GlassHolds, PourFigures};

/// Rows kept; older ones are dropped.
pub const ROWS_MAX: usize = 2000;

/// The heading of the CSV, units in it. The time is that of the scale.
pub const CSV_HEADING: &str = "time (s),kind,by,drink,liquid,target (ml),target (g),poured (g),\
    sigma (g),error (g),verdict,volume (ml),strength (% vol),sugar (g/l),alcohol (g),dilution (%)";

/// One row.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Row {
    /// Scale time, seconds.
    pub t_s: f64,
    /// `you`, or `watched` where the simulated hand did it.
    pub by: &'static str,
    /// The drink.
    pub drink: String,
    /// What it tells.
    #[serde(flatten)]
    pub entry: Entry,
}

/// What a row tells.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[serde(tag = "kind", rename_all = "snake_case")]
pub enum Entry {
    /// A closed pour.
    Pour {
        /// The liquid.
        liquid: String,
        /// What it came to.
        #[serde(flatten)]
        figures: PourFigures,
    },
    /// A finished glass.
    Drink(GlassHolds),
}

/// The latest rows, oldest first.
#[derive(Clone, Debug, Default)]
pub struct Record {
    rows: VecDeque<Row>,
    /// The drink of the step last begun: that of the pours until the next is done.
    drink: String,
}

impl Record {
    /// Takes what the station told; true where a row was added.
    pub fn take(
        &mut self,
        at: Instant,
        outputs: &Outputs,
        names: &Names,
        by: &'static str,
    ) -> bool {
        let t_s = at.micros() as f64 / 1e6;
        if let Some(record) = &outputs.poured {
            let drink = self.drink.clone();
            self.push(Row {
                t_s,
                by,
                drink,
                entry: pour(record, names),
            });
        }
        if let Some(record) = &outputs.done {
            self.push(Row {
                t_s,
                by,
                drink: name(names.drink(record.drink), "drink", record.drink.0),
                entry: drink(record),
            });
        }
        if let Some(begun) = &outputs.step {
            self.drink = name(names.drink(begun.drink), "drink", begun.drink.0);
        }
        outputs.poured.is_some() || outputs.done.is_some()
    }

    fn push(&mut self, row: Row) {
        if self.rows.len() >= ROWS_MAX {
            self.rows.pop_front();
        }
        self.rows.push_back(row);
    }

    /// The last `count` rows, oldest first.
    pub fn last(&self, count: usize) -> impl Iterator<Item = &Row> {
        self.rows.iter().skip(self.rows.len().saturating_sub(count))
    }

    /// All rows as CSV (RFC 4180), lines ended by CR LF.
    #[must_use]
    pub fn csv(&self) -> String {
        let mut text = format!("{CSV_HEADING}\r\n");
        for row in &self.rows {
            text.push_str(&csv_row(row));
            text.push_str("\r\n");
        }
        text
    }
}

fn pour(record: &PourRecord, names: &Names) -> Entry {
    Entry::Pour {
        liquid: name(names.liquid(record.liquid), "liquid", record.liquid.0),
        figures: record.into(),
    }
}

fn drink(record: &DrinkRecord) -> Entry {
    Entry::Drink(record.into())
}

fn name(known: Option<&str>, kind: &str, number: u8) -> String {
    known.map_or_else(|| format!("{kind} {number}"), str::to_owned)
}

fn csv_row(row: &Row) -> String {
    let when = format!("{:.3}", row.t_s);
    let drink = cell(&row.drink);
    let by = row.by;
    match &row.entry {
        Entry::Pour { liquid, figures } => format!(
            "{when},pour,{by},{drink},{},{},{:.2},{:.2},{:.2},{:.2},{},,,,,",
            cell(liquid),
            figures.target_ml,
            figures.target_g,
            figures.poured_g,
            figures.sigma_g,
            figures.error_g,
            figures.verdict
        ),
        Entry::Drink(holds) => format!(
            "{when},drink,{by},{drink},,,,,,,,{:.1},{:.1},{:.0},{:.1},{}",
            holds.volume_ml,
            holds.abv_percent,
            holds.sugar_g_per_l,
            holds.ethanol_g,
            holds
                .dilution_percent
                .map(|percent| format!("{percent:.0}"))
                .unwrap_or_default()
        ),
    }
}

/// A text of the sheet as one cell. A spreadsheet would reckon what begins like a formula; an
/// apostrophe before it keeps it a text.
fn cell(text: &str) -> String {
    let guard = if text.starts_with(['=', '+', '-', '@', '\t', '\r']) {
        "'"
    } else {
        ""
    };
    if guard.is_empty() && !text.contains(['"', ',', '\r', '\n']) {
        return text.to_owned();
    }
    format!("\"{guard}{}\"", text.replace('"', "\"\""))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn row(liquid: &str) -> Row {
        Row {
            t_s: 12.5,
            by: "you",
            drink: "Slow Ledger".to_owned(),
            entry: Entry::Pour {
                liquid: liquid.to_owned(),
                figures: PourFigures {
                    target_ml: 50.0,
                    target_g: 46.45,
                    poured_g: 46.61,
                    sigma_g: 0.05,
                    error_g: 0.16,
                    verdict: "good",
                },
            },
        }
    }

    #[test]
    fn csv_has_units_in_its_heading_and_a_cell_for_each() {
        let mut record = Record::default();
        record.push(row("rye whiskey"));
        let csv = record.csv();
        let lines: Vec<&str> = csv.split("\r\n").collect();
        assert_eq!(lines[0].split(',').count(), lines[1].split(',').count());
        assert!(lines[0].contains("target (ml),target (g)"));
        let expected = "12.500,pour,you,Slow Ledger,rye whiskey,50,46.45,46.61,0.05,0.16,good,,,,,";
        assert_eq!(lines[1], expected);
    }

    #[test]
    fn names_of_a_sheet_stay_names() {
        assert_eq!(cell("plain"), "plain");
        assert_eq!(cell("a, b"), "\"a, b\"");
        assert_eq!(cell("the \"good\" one"), "\"the \"\"good\"\" one\"");
        assert_eq!(cell("=1+1"), "\"'=1+1\"");
        assert_eq!(cell("@sum"), "\"'@sum\"");
    }

    #[test]
    fn the_record_is_bounded() {
        let mut record = Record::default();
        for _ in 0..ROWS_MAX + 5 {
            record.push(row("rye whiskey"));
        }
        assert_eq!(record.last(usize::MAX).count(), ROWS_MAX);
    }
}
