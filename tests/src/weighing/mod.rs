//! From converter code to settled mass.

mod bench;
mod calibrated;
mod calibration;
mod delay;
mod draught;
mod drips;
mod estimator;
mod faults;
mod gate;
mod hands;
mod lines;
mod nothing;
mod pan;
mod period;
mod report;
mod samples;
mod settled;
mod starts;
mod stuck;
mod watched;
mod zero;

use pennyweight_sim::commands::scale::ScaleArgs;
use pennyweight_sim::commands::station::StationArgs;
use serde_json::Value;

/// Options of a station that calibrates or proves the scale.
fn scale_args(scale: ScaleArgs) -> StationArgs {
    StationArgs {
        scale,
        ..crate::edges::station_args()
    }
}

/// Every line as JSON.
fn json_lines(text: &[u8]) -> Vec<Value> {
    serde_json::Deserializer::from_slice(text)
        .into_iter()
        .collect::<Result<_, _>>()
        .expect("every line is JSON")
}
