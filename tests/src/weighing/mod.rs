//! From converter code to settled mass.

mod calibrated;
mod calibration;
mod estimator;
mod faults;
mod gate;
mod pan;
mod period;
mod report;
mod samples;

use pennyweight_sim::commands::learning::LearnArgs;
use pennyweight_sim::commands::options::ModeName;
use pennyweight_sim::commands::scale::ScaleArgs;
use pennyweight_sim::commands::station::StationArgs;
use serde_json::Value;

/// Options of a station that calibrates or proves the scale.
fn scale_args(scale: ScaleArgs) -> StationArgs {
    StationArgs {
        counts_per_gram: 420.0,
        zero_code: 80_000,
        sps: 80.0,
        target_g: None,
        sheet: None,
        order: None,
        learning: LearnArgs::default(),
        scale,
        mode: ModeName::Service,
    }
}

/// Every line as JSON.
fn json_lines(text: &[u8]) -> Vec<Value> {
    serde_json::Deserializer::from_slice(text)
        .into_iter()
        .collect::<Result<_, _>>()
        .expect("every line is JSON")
}
