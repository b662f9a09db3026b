//! Flights: how they are written, worked out, checked and played.

mod fairness;
mod played;
mod scenario;
mod written;

use pennyweight_sim::sheet::{HouseSheet, parse};

/// A bar for flights; the lines of its drinks are what the variants change.
const SHEET: &str = include_str!("sheet.toml");

fn house() -> HouseSheet {
    parse(SHEET, "flights").expect("the sheet is sound")
}
