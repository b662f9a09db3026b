//! Calibrating and proving from the command line, and broken reads on the way there.

use std::fs::{self, File};
use std::io::{BufWriter, Write};

use pennyweight_core::weigh::report::CAUTION;
use pennyweight_sim::commands::scale::ScaleArgs;
use pennyweight_sim::commands::station::{StationArgs, station};
use pennyweight_sim::plant::{Loads, Table};
use serde_json::Value;

use super::{json_lines, pennyweight, station_args};

fn told(arguments: &[&str]) -> String {
    let output = pennyweight().args(arguments).output().unwrap();
    let complaint = String::from_utf8_lossy(&output.stderr);
    assert_eq!(output.status.code(), Some(0), "{arguments:?}: {complaint}");
    assert!(complaint.is_empty(), "{complaint}");
    String::from_utf8(output.stdout).unwrap()
}

#[test]
fn a_report_ends_with_its_verdict_and_with_what_it_is_not() {
    let (mut meeting, mut failing) = (0, 0);
    for seed in ["1", "2"] {
        let text = told(&["run", "--report", "--seed", seed]);
        assert_eq!(text.lines().last(), Some(CAUTION));
        assert!(
            text.lines().all(|line| line.chars().count() <= 80),
            "{text}"
        );
        let json = told(&["run", "--report", "--seed", seed, "--json"]);
        let report: Value = serde_json::from_str(&json).unwrap();
        assert_eq!(report["caution"], CAUTION);
        let tests = report["tests"].as_array().unwrap();
        assert_eq!(tests.len(), 9);
        if report["meets"] == true {
            meeting += 1;
            assert!(text.contains("The scale meets these limits."), "{text}");
        } else {
            failing += 1;
            let worst = tests
                .iter()
                .map(|test| test["over_g"].as_f64().unwrap() / test["limit_g"].as_f64().unwrap());
            assert!(worst.fold(0.0, f64::max) > 0.0);
            assert!(text.contains("does not meet these limits,\nby "), "{text}");
        }
    }
    // Of these two cells one creeps too much: both endings are seen.
    assert_eq!((meeting, failing), (1, 1));
}

#[test]
fn a_calibration_is_played_and_told() {
    let weights = ["run", "--calibrate", "500 g F2, 1 kg F2"];
    let text = told(&weights);
    assert!(text.contains("--counts-per-gram="), "{text}");
    let json = told(&[&weights[..], &["--json"]].concat());
    let found: Value = serde_json::from_str(&json).unwrap();
    let sigma = found["sigma_ppm"].as_f64().unwrap();
    assert!(
        found["off_ppm"].as_f64().unwrap().abs() < 2.0 * sigma,
        "{found}"
    );
    assert_eq!(found["points"].as_array().unwrap().len(), 2);
}

#[test]
fn what_no_scale_can_be_ends_with_code_2() {
    for (arguments, says) in [
        // n = 30 000 (OIML R 76-1 Table 3 allows class III 10 000).
        (&["--report", "--max", "3 kg", "--e", "0.1 g"][..], "10000"),
        (&["--report", "--max", "three kg"], "--max"),
        (&["--report", "--order", "Long Gantry"], "--order"),
        (&["--report", "--calibrate", "1 kg F2"], "--calibrate"),
        (&["--calibrate", "3 g F2"], "3 g F2"),
        (&["--max", "3 kg"], "--report"),
    ] {
        let output = pennyweight().arg("run").args(arguments).output().unwrap();
        assert_eq!(output.status.code(), Some(2), "{arguments:?}");
        assert!(output.stdout.is_empty(), "{arguments:?}");
        let complaint = String::from_utf8(output.stderr).unwrap();
        assert!(complaint.contains(says), "{arguments:?}: {complaint}");
    }
}

/// Codes of a calibration with 1 kg; every `each`th is a broken read instead, all ones or
/// `2^n - 1`.
fn codes(each: usize) -> String {
    let mut loads = Loads::drawn(&Table::nominal(), 11, 80.0, 900.0, 0.0);
    let mut lines = String::new();
    let plan = [(0.0, 12.0), (1000.0, 12.0), (0.0, 12.0), (1000.0, 12.0)];
    let mut number = 0;
    for (grams, seconds) in plan {
        loads.put(grams, 0.0);
        let until = loads.now_s() + seconds;
        while loads.now_s() < until {
            let read = loads.read();
            number += 1;
            let code = match number % each {
                0 if number % (2 * each) == 0 => -1,
                0 => (1 << 22) - 1,
                _ => read.code,
            };
            lines.push_str(&format!("{{\"t_us\":{},\"code\":{code}}}\n", read.t_us));
        }
    }
    lines
}

fn calibrated(lines: &str) -> (Value, usize) {
    let args = StationArgs {
        scale: ScaleArgs {
            calibrate: Some("1 kg F2".to_owned()),
            ..ScaleArgs::default()
        },
        ..station_args()
    };
    let mut out = Vec::new();
    station(&args, lines.as_bytes(), &mut out).unwrap();
    let events = json_lines(&out);
    let glitches = events.iter().filter(|event| event["kind"] == "glitch");
    let glitches = glitches.count();
    let mut told = events.into_iter();
    let found = told.find(|event| event["event"] == "calibrated");
    (found.expect("it ends with a line"), glitches)
}

#[test]
fn broken_reads_are_told_and_never_averaged_in() {
    let (clean, none) = calibrated(&codes(usize::MAX / 2));
    let (broken, glitches) = calibrated(&codes(37));
    assert_eq!(none, 0);
    assert!(glitches > 80, "{glitches}");
    let of = |value: &Value| value["counts_per_gram"].as_f64().unwrap();
    let off_ppm = (of(&broken) / of(&clean) - 1.0) * 1e6;
    let sigma = clean["sigma_ppm"].as_f64().unwrap();
    println!("{glitches} broken reads: off by {off_ppm:.2} ppm, sigma {sigma} ppm");
    assert!(off_ppm.abs() < sigma, "{off_ppm}");
}

/// Long by its comments, which cost nothing to replay.
#[test]
fn no_progress_of_a_long_trace_goes_to_a_pipe() {
    let name = format!("pennyweight-{}-long.csv", std::process::id());
    let path = std::env::temp_dir().join(name);
    let mut trace = BufWriter::new(File::create(&path).unwrap());
    for number in 0..220_000 {
        writeln!(trace, "# note_{number}={}", "x".repeat(40)).unwrap();
    }
    writeln!(trace, "# counts_per_gram=420\n# zero_code=0\nt_us,code").unwrap();
    for number in 0..400 {
        writeln!(trace, "{},{}", number * 12_500, number % 3).unwrap();
    }
    drop(trace);
    assert!(fs::metadata(&path).unwrap().len() > 10_000_000);
    let output = pennyweight().arg("replay").arg(&path).output().unwrap();
    fs::remove_file(&path).unwrap();
    assert_eq!(output.status.code(), Some(0), "{output:?}");
    assert!(output.stderr.is_empty(), "no bar where nobody looks");
    assert!(!output.stdout.contains(&b'\x1b'));
}
