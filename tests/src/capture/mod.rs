//! Capture: pours without a spec, what is told of them, and the spec they become.

mod played;
mod text;

use pennyweight_sim::sheet::{HouseSheet, parse};

fn house() -> HouseSheet {
    parse(include_str!("../flight/sheet.toml"), "capture").expect("the sheet is sound")
}
