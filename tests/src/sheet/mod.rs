//! Sheets, good and bad.

mod amounts;
mod card;
mod demo;
mod fills;
mod holds;
mod hostile;
mod letters;
mod made_of;
mod mistakes;
mod mistakes_of_mixes;
mod order;
mod packed;
mod readings;
mod stated;
mod told;

use pennyweight_sim::sheet::{HouseLiquid, HouseSheet};

/// The liquid of this key.
fn liquid<'s>(sheet: &'s HouseSheet, key: &str) -> &'s HouseLiquid {
    let found = sheet.liquids().iter().find(|liquid| liquid.key == key);
    found.unwrap_or_else(|| panic!("there is no {key}"))
}

#[track_caller]
fn assert_close(value: f64, expected: f64, within: f64) {
    let error = (value - expected).abs();
    assert!(
        error <= within,
        "{value} is not within {within} of {expected}"
    );
}
