//! Calibration on the simulated pan: whether its sigma is honest, and what a station asks for.

use pennyweight_core::weigh::calibration::fit::{Fit, GravityRatio};
use pennyweight_core::weigh::calibration::refusal::Refusal;
use pennyweight_core::weigh::calibration::weights::{Class, Weight};
use pennyweight_sim::commands::scale::ScaleArgs;
use pennyweight_sim::commands::scale::calibrate::message;
use pennyweight_sim::commands::scale::played::calibrate;
use pennyweight_sim::commands::station::station;
use pennyweight_sim::plant::{Loads, Table};
use rand::{RngExt, SeedableRng};
use rand_pcg::Pcg64;

use super::{json_lines, scale_args};

/// A calibration on the simulated pan with weights drawn evenly within their tolerance; how far
/// off it is in sigmas.
fn played(seed: u64, sps: f64, weights: &[Weight]) -> (Fit, f64) {
    let mut loads = Loads::drawn(&Table::nominal(), seed, sps, 900.0, 0.0);
    let mut chance = Pcg64::seed_from_u64(seed);
    let off: Vec<(f64, f64)> = weights
        .iter()
        .map(|weight| {
            (
                weight.grams,
                weight.tolerance_g * chance.random_range(-1.0..1.0),
            )
        })
        .collect();
    let truly = |weight: &Weight| {
        let off = off.iter().find(|off| off.0 == weight.grams).unwrap();
        weight.grams + off.1
    };
    let fitted = calibrate(&mut loads, weights, 3000.0, GravityRatio::SAME, truly)
        .unwrap_or_else(|| panic!("seed {seed} does not end"))
        .unwrap_or_else(|refusal| panic!("seed {seed}: {}", message(&refusal)));
    let error = fitted.counts_per_gram / loads.counts_per_gram() - 1.0;
    let sigmas = error / fitted.sigma.total();
    (fitted, sigmas)
}

#[test]
fn a_calibration_is_as_good_as_it_says() {
    let of = |grams, class| Weight::of_class(grams, class).unwrap();
    let sets: [(&str, Vec<Weight>); 3] = [
        ("1 kg F2", vec![of(1000.0, Class::F2)]),
        (
            "0.5, 1 kg F2",
            vec![of(500.0, Class::F2), of(1000.0, Class::F2)],
        ),
        (
            "0.5, 1, 2 kg M2",
            vec![
                of(500.0, Class::M2),
                of(1000.0, Class::M2),
                of(2000.0, Class::M2),
            ],
        ),
    ];
    for (name, weights) in sets {
        let all: Vec<(Fit, f64)> = (0..50).map(|seed| played(seed, 80.0, &weights)).collect();
        let within = all.iter().filter(|(_, sigmas)| sigmas.abs() <= 2.0).count();
        let mut ppm: Vec<f64> = all.iter().map(|(fit, _)| fit.sigma.total() * 1e6).collect();
        ppm.sort_by(f64::total_cmp);
        let rms = all
            .iter()
            .map(|(fit, sigmas)| (sigmas * fit.sigma.total() * 1e6).powi(2));
        let rms = (rms.sum::<f64>() / 50.0).sqrt();
        println!(
            "{name}: {within} of 50 within 2 sigma; sigma {:.0} ppm, rms {rms:.0} ppm",
            ppm[25]
        );
        assert!(within >= 45, "{name}: {within} of 50");
        assert!(
            ppm[25] < 4.0 * rms,
            "{name}: sigma {} ppm, error {rms} ppm",
            ppm[25]
        );
    }
}

#[test]
fn a_slow_converter_calibrates_too() {
    let weights = [Weight::of_class(1000.0, Class::F2).unwrap()];
    let within = (100..110).filter(|&seed| played(seed, 10.0, &weights).1.abs() <= 2.0);
    assert!(within.count() >= 9);
}

#[test]
fn a_wrong_weight_and_a_bent_cell_are_refused() {
    let of = |grams| Weight::of_class(grams, Class::F2).unwrap();
    let weights = [of(500.0), of(1000.0)];
    let mut loads = Loads::drawn(&Table::nominal(), 3, 80.0, 900.0, 0.0);
    let wrong = |weight: &Weight| if weight.grams < 600.0 { 510.0 } else { 1000.0 };
    let outcome = calibrate(&mut loads, &weights, 3000.0, GravityRatio::SAME, wrong).unwrap();
    assert!(
        matches!(outcome, Err(Refusal::OffTheLine { .. })),
        "{outcome:?}"
    );
    let mut bent = Loads::drawn(&Table::nominal(), 3, 80.0, 900.0, 0.01);
    let truly = |weight: &Weight| weight.grams;
    let outcome = calibrate(&mut bent, &weights, 3000.0, GravityRatio::SAME, truly).unwrap();
    assert!(
        matches!(outcome, Err(Refusal::OffTheLine { .. })),
        "{outcome:?}"
    );
}

#[test]
fn a_station_asks_for_the_weights_and_tells_the_line() {
    let mut loads = Loads::drawn(&Table::nominal(), 7, 80.0, 900.0, 0.0);
    let plan = [
        (0.0, 10.0),
        (500.0, 10.0),
        (0.0, 3.0),
        (1000.0, 10.0),
        (0.0, 10.0),
        (1000.0, 10.0),
    ];
    let mut lines = String::new();
    for (grams, seconds) in plan {
        loads.put(grams, 0.0);
        let until = loads.now_s() + seconds;
        while loads.now_s() < until {
            let read = loads.read();
            lines.push_str(&format!(
                "{{\"t_us\":{},\"code\":{}}}\n",
                read.t_us, read.code
            ));
        }
    }
    let args = scale_args(ScaleArgs {
        calibrate: Some("1 kg F2, 500 g F2".to_owned()),
        ..ScaleArgs::default()
    });
    let mut out = Vec::new();
    station(&args, lines.as_bytes(), &mut out).unwrap();
    let events = json_lines(&out);
    let idle = events
        .iter()
        .filter(|event| event["event"] == "idle")
        .count();
    assert_eq!(idle, lines.lines().count());
    let asked: Vec<&str> = events
        .iter()
        .filter_map(|event| event["ask"].as_str())
        .collect();
    assert_eq!(asked, ["empty", "500 g", "1000 g", "empty", "1000 g"]);
    let told = events
        .iter()
        .find(|event| event["event"] == "calibrated")
        .unwrap();
    let found = told["counts_per_gram"].as_f64().unwrap();
    let sigma = told["sigma_ppm"].as_f64().unwrap() * 1e-6;
    assert!(
        (found / loads.counts_per_gram() - 1.0).abs() < 2.0 * sigma,
        "{told}"
    );
    assert_eq!(told["points"].as_array().unwrap().len(), 2);

    // A converter at the end of its range ends it at once.
    let rails: String = (0..100)
        .map(|nth| format!("{{\"t_us\":{nth},\"code\":8388607}}\n"))
        .collect();
    let mut out = Vec::new();
    station(&args, rails.as_bytes(), &mut out).unwrap();
    let refused = json_lines(&out)
        .into_iter()
        .find(|event| event["event"] == "refused");
    assert_eq!(refused.unwrap()["reason"], "saturated");
    for wrong in [
        "",
        "500 g",
        "500 g F9",
        "3 g F2",
        "500 F2",
        "100 g F2",
        "NaN g F2",
        "500 g F2, 500 g M1",
    ] {
        let args = scale_args(ScaleArgs {
            calibrate: Some(wrong.to_owned()),
            ..ScaleArgs::default()
        });
        let failure = station(&args, &b""[..], Vec::new()).expect_err(wrong);
        assert_eq!(failure.exit_code(), 2, "{wrong}");
    }
}

#[test]
fn a_pan_that_never_rests_is_unsteady() {
    // A slow swing of a fifth of the noise-free span.
    let lines: String = (0..80 * 150)
        .map(|nth| {
            let swing = 5000.0 * (f64::from(nth) / 80.0 * 0.9).sin();
            format!("{{\"t_us\":{},\"code\":{}}}\n", nth * 12_500, swing as i32)
        })
        .collect();
    let args = scale_args(ScaleArgs {
        calibrate: Some("1 kg F2".to_owned()),
        ..ScaleArgs::default()
    });
    let mut out = Vec::new();
    station(&args, lines.as_bytes(), &mut out).unwrap();
    let refused = json_lines(&out)
        .into_iter()
        .find(|event| event["event"] == "refused");
    assert_eq!(refused.unwrap()["reason"], "unsteady");
}
