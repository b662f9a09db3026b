//! `station`, `replay` and `run` as other programs drive them.
//!
//! The names checked here are the project's own contract with other programs; JSON itself is
//! read back by a general-purpose parser.

mod binary;
mod learn;
mod order;
mod plot;
mod r61;
mod replay;
mod round;
mod scale;
mod station;
mod sweep;
mod trace;

pub(crate) use binary::pennyweight;

use pennyweight_sim::commands::learning::LearnArgs;
use pennyweight_sim::commands::names::{DrinkNames, Names, StepNames};
use pennyweight_sim::commands::options::ModeName;
use pennyweight_sim::commands::scale::ScaleArgs;
use pennyweight_sim::commands::station::StationArgs;
use serde_json::Value;

/// A station at 80 conversions a second that has been asked for nothing.
pub(crate) fn station_args() -> StationArgs {
    StationArgs {
        counts_per_gram: 420.0,
        zero_code: 80_000,
        sps: 80.0,
        filter_delay: 1.5,
        target_g: None,
        sheet: None,
        order: None,
        learning: LearnArgs::default(),
        scale: ScaleArgs::default(),
        mode: ModeName::Service,
    }
}

/// Two invented drinks.
fn names() -> Names {
    let pour = |liquid: &str, detail: &str| StepNames {
        kind: "pour",
        liquid: Some(liquid.to_owned()),
        detail: Some(detail.to_owned()),
    };
    let drink = |name: &str, steps| DrinkNames {
        name: name.to_owned(),
        steps,
    };
    Names {
        drinks: vec![
            drink(
                "Cr\u{e8}me Lantern",
                vec![pour("rye whiskey", "45 ml"), pour("ginger syrup", "15 ml")],
            ),
            drink("Long Pier", vec![pour("fino sherry", "60 ml")]),
        ],
        liquids: ["rye whiskey", "ginger syrup", "fino sherry"]
            .map(str::to_owned)
            .to_vec(),
    }
}

/// Every line as JSON.
fn json_lines(text: &[u8]) -> Vec<Value> {
    std::str::from_utf8(text)
        .expect("the output is UTF-8")
        .lines()
        .map(|line| serde_json::from_str(line).expect("every line is JSON"))
        .collect()
}
