//! The delay of the converter's filter is a setting: of the station, of `replay`, and of a trace.

use pennyweight_core::limits::FILTER_DELAY_MOST_PERIODS;
use pennyweight_core::{Mode, Setup, Station};
use pennyweight_sim::commands::replay::{ReplayArgs, replay};

use super::json_lines;

/// A recorded pour at ten conversions a second.
const TRACE: &str = include_str!("../../data/trace/gap.csv");

/// When the stop is cued, microseconds.
fn stop_us(trace: &str, filter_delay: Option<f32>) -> u64 {
    let args = ReplayArgs {
        target_g: Some(15.0),
        filter_delay,
        json: true,
        ..ReplayArgs::default()
    };
    let mut out = Vec::new();
    replay("T", trace.as_bytes(), &args, &mut out).expect("a good trace");
    let stop = json_lines(&out)
        .into_iter()
        .find(|line| line["event"] == "stop")
        .expect("a stop");
    stop["t_us"].as_u64().expect("a time")
}

#[test]
fn a_longer_delay_is_made_up_for_by_an_earlier_cue() {
    let sinc3 = stop_us(TRACE, None);
    assert_eq!(stop_us(TRACE, Some(1.5)), sinc3);
    let (none, longer) = (stop_us(TRACE, Some(0.0)), stop_us(TRACE, Some(4.5)));
    assert!(longer < sinc3 && sinc3 < none, "{longer} {sinc3} {none}");
    // The trace may say it itself; an option has the last word.
    let said = format!("# filter_delay_periods=4.5\n{TRACE}");
    assert_eq!(stop_us(&said, None), longer);
    assert_eq!(stop_us(&said, Some(0.0)), none);
}

#[test]
fn a_delay_that_no_filter_has_is_refused() {
    let mut station = Station::new(Setup {
        counts_per_gram: 420.0,
        zero_code: 0,
        sps: 80.0,
        mode: Mode::Plain,
    });
    for wrong in [
        -0.1,
        FILTER_DELAY_MOST_PERIODS + 0.1,
        f32::NAN,
        f32::INFINITY,
    ] {
        assert!(!station.set_filter_delay(wrong), "{wrong}");
    }
    assert!(station.set_filter_delay(0.0));
    let said = format!("# filter_delay_periods=-2\n{TRACE}");
    let refused = replay("T", said.as_bytes(), &ReplayArgs::default(), Vec::new());
    let text = refused.expect_err("no such filter").to_string();
    assert!(text.contains("filter_delay_periods"), "{text}");
}
