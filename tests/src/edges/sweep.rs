//! `sweep` on a tiny grid, and what it makes of pours.

use std::fs;
use std::process::Output;

use pennyweight_sim::commands::sweep::METHODS;
use pennyweight_sim::commands::sweep::document::share_points;
use pennyweight_sim::commands::sweep::options::LiquidName;
use pennyweight_sim::commands::sweep::spread::spread;
use pennyweight_sim::plant::{Hidden, Surroundings, Table};
use pennyweight_sim::trial::{HandKind, Method, Trial, TrialPour, run};
use rand::SeedableRng;
use rand_distr::{Distribution, StandardNormal};
use rand_pcg::Pcg64;
use serde_json::Value;

use super::pennyweight;
use super::plot::elements;

const TINY: [&str; 6] = ["--liquid", "spirit", "--flow", "8", "--ml", "10"];

fn swept(pours: &str, arguments: &[&str], threads: &str) -> Output {
    let output = pennyweight()
        .arg("sweep")
        .args(TINY)
        .args(["--pours", pours])
        .args(arguments)
        .env("RAYON_NUM_THREADS", threads)
        .output()
        .unwrap();
    let complaint = String::from_utf8_lossy(&output.stderr);
    assert_eq!(output.status.code(), Some(0), "{complaint}");
    assert!(
        complaint.is_empty(),
        "no bar where nobody looks: {complaint}"
    );
    output
}

#[test]
fn the_document_has_the_names_other_programs_read() {
    let output = swept("8", &["--json", "--seed", "3"], "2");
    assert_eq!(
        output.stdout.iter().filter(|byte| **byte == b'\n').count(),
        1
    );
    let document: Value = serde_json::from_slice(&output.stdout).unwrap();
    let cells = document["cells"].as_array().unwrap();
    // Two hands by four methods.
    assert_eq!(cells.len(), 8);
    for (number, cell) in cells.iter().enumerate() {
        let hand = if number < METHODS.len() {
            "known"
        } else {
            "unknown"
        };
        let method = ["plain", "practised", "guided", "limit"][number % METHODS.len()];
        assert_eq!(
            (&cell["hand"], &cell["method"]),
            (&hand.into(), &method.into())
        );
        assert_eq!(cell["liquid"], "spirit");
        for (key, value) in [
            ("flow_ml_s", 8.0),
            ("sps", 80.0),
            ("target_ml", 10.0),
            ("pours", 8.0),
        ] {
            assert_eq!(cell[key].as_f64(), Some(value), "{key}");
        }
        for key in ["bias_g", "sd_g", "p95_g", "good_share"] {
            assert!(cell[key].is_f64(), "{key}: {cell}");
        }
    }
    let settle = document["settle"].as_array().unwrap();
    assert_eq!(settle.len(), 1);
    for key in ["sps", "landings", "median_s", "p95_s", "wrong"] {
        assert!(settle[0][key].is_number(), "{key}: {settle:?}");
    }
    assert_eq!(settle[0]["liquid"], "spirit");
    let round = &document["round"];
    assert!(round["guided_s"].as_f64() > Some(0.0) && round["plain_s"].as_f64() > Some(0.0));
    // The world is told as its table states it.
    let table: Table = serde_json::from_value(document["plant"].clone()).unwrap();
    assert_eq!(table, Table::nominal());
    assert_eq!(document["worlds"][0]["factors"]["flow"], 1.0);
}

#[test]
fn one_thread_or_many_the_same_seed_gives_the_same_bytes() {
    let once = swept("8", &["--json", "--seed", "7"], "1").stdout;
    assert_eq!(once, swept("8", &["--json", "--seed", "7"], "4").stdout);
    assert_ne!(once, swept("8", &["--json", "--seed", "8"], "4").stdout);
}

#[test]
fn table_and_picture_are_legible() {
    let path = std::env::temp_dir().join(format!("pennyweight-{}-sweep.svg", std::process::id()));
    let output = swept("8", &["--plot", path.to_str().unwrap()], "2");
    let svg = fs::read_to_string(&path).unwrap();
    fs::remove_file(&path).unwrap();
    assert!(elements(&svg).len() > 40);
    assert_eq!(svg.matches("class=\"errors\"").count(), METHODS.len());
    assert_eq!(svg.matches("class=\"curve\"").count(), 2);
    assert!(!svg.contains("NaN") && !svg.contains("inf"), "{svg}");
    let table = String::from_utf8(output.stdout).unwrap();
    for line in table.lines() {
        assert!(line.chars().count() <= 100, "{line}");
    }
    for part in [
        "hand known",
        "hand unknown",
        "R 61",
        "Early verdict",
        "plain scale",
    ] {
        assert!(table.contains(part), "{part}: {table}");
    }
}

/// More than fifty cells stand volume beside volume.
#[test]
fn a_large_grid_is_told_in_few_lines() {
    let grid = [
        "--hand",
        "unknown",
        "--ml",
        "5,15,30",
        "--flow",
        "4,5,6,7,9,10,11,12,13,14,15,16",
    ];
    let table = String::from_utf8(swept("1", &grid, "2").stdout).unwrap();
    let rows = |line: &&str| line.trim_start().starts_with("80 SPS unknown");
    assert_eq!(table.lines().filter(rows).count(), 13, "{table}");
    for part in [
        "5 ml",
        "10 ml",
        "practised",
        "limit",
        "spirit, 16 ml/s",
        "design's figure",
    ] {
        assert!(table.contains(part), "{part}: {table}");
    }
    for line in table.lines() {
        assert!(line.chars().count() <= 100, "{line}");
    }
}

#[test]
fn worlds_are_moved_up_down_and_at_random() {
    let output = swept("2", &["--vary", "all", "--json"], "2");
    let document: Value = serde_json::from_slice(&output.stdout).unwrap();
    let worlds = document["worlds"].as_array().unwrap();
    assert_eq!(worlds.len(), 22);
    let factors = |world: &Value| -> Vec<f64> {
        let factors = world["factors"].as_object().unwrap();
        factors
            .values()
            .map(|factor| factor.as_f64().unwrap())
            .collect()
    };
    assert_eq!(factors(&worlds[0]), [0.8; 8]);
    assert_eq!(factors(&worlds[1]), [1.2; 8]);
    for world in &worlds[2..] {
        assert!(
            factors(world)
                .iter()
                .all(|factor| (0.8..=1.2).contains(factor))
        );
    }
    // Known hands, guided and the limit.
    assert_eq!(document["cells"].as_array().unwrap().len(), 2 * 22);
    let table = String::from_utf8(swept("8", &["--vary", "0.8"], "2").stdout).unwrap();
    assert!(table.contains("all x 0.8"), "{table}");
    assert!(
        table.lines().all(|line| line.chars().count() <= 100),
        "{table}"
    );
}

#[test]
fn wrong_options_name_the_option_and_its_bound() {
    for (arguments, says) in [
        (
            &["--pours", "0"][..],
            "--pours <N>': \"0\" is not a whole number between 1 and 100000",
        ),
        (&["--pours", "many"], "between 1 and 100000"),
        (
            &["--flow", "8,900"],
            "--flow <ML_S>': \"900\" is not between 2 and 60 ml/s",
        ),
        (
            &["--ml", "0"],
            "--ml <ML>': \"0\" is not between 1 and 250 ml",
        ),
        (&["--ml", "nan"], "between 1 and 250 ml"),
        (
            &["--sps", "100"],
            "--sps <HZ>': \"100\" is not one of 10, 80 and 320",
        ),
        (&["--hand", "left"], "--hand"),
        (&["--liquid", "water"], "--liquid"),
        (
            &["--vary", "3"],
            "--vary <F>': \"3\" is not between 0.5 and 2",
        ),
        (&["--seed", "many"], "--seed"),
        (
            &["--plot", "no/such/folder/out.svg"],
            "--plot no/such/folder/out.svg",
        ),
    ] {
        let output = pennyweight().arg("sweep").args(arguments).output().unwrap();
        assert_eq!(output.status.code(), Some(2), "{arguments:?}");
        assert!(output.stdout.is_empty(), "{arguments:?}");
        let complaint = String::from_utf8(output.stderr).unwrap();
        assert!(complaint.contains(says), "{arguments:?}: {complaint}");
    }
}

/// Three equal parts of 30 g, one 3 g too large: 33 of 93 in place of 30 of 90.
#[test]
fn an_error_is_told_as_points_of_a_share() {
    assert!((share_points(3.0, 30.0) - 100.0 * (33.0 / 93.0 - 30.0 / 90.0)).abs() < 1e-12);
    assert_eq!(share_points(0.0, 30.0), 0.0);
}

fn pour(hand: usize, error_g: f64) -> TrialPour {
    TrialPour {
        hand,
        before: 0,
        target_g: 30.0,
        landed_g: 30.0 + error_g,
        seconds: 0.0,
        stop_flow_g_s: 0.0,
        said: None,
    }
}

/// The standard error of a quantile of n independent values is sqrt(p(1 - p)/n)/f, f the density
/// there (any textbook on order statistics). Of |x|, x standard normal, at 1.95996 (p = 0.95) f is
/// 0.11689.
#[test]
fn the_spread_of_independent_pours_is_that_of_theory() {
    let mut chance = Pcg64::seed_from_u64(5);
    let pours: Vec<TrialPour> = (0..4000)
        .map(|hand| pour(hand, StandardNormal.sample(&mut chance)))
        .collect();
    let found = spread(&pours, 1).unwrap();
    let theory = (0.05 * 0.95 / 4000.0_f64).sqrt() / 0.11689;
    println!("{found:?}, theory {theory:.4}");
    assert!((found.p95_se_g / theory - 1.0).abs() < 0.25);
    assert!((found.bias_se_g * 4000.0_f64.sqrt() - 1.0).abs() < 0.15);
    assert!(found.p95_low_g < 1.96 && found.p95_high_g > 1.96);
}

/// What hands have in common is no chance of their pours: ten equal pours of a hand tell no more
/// than one.
#[test]
fn pours_of_one_hand_count_as_one_draw() {
    let mut chance = Pcg64::seed_from_u64(6);
    let hands: Vec<f64> = (0..100)
        .map(|_| StandardNormal.sample(&mut chance))
        .collect();
    let of = |each: usize| {
        let pours = hands.iter().enumerate();
        let pours: Vec<TrialPour> = pours
            .flat_map(|(hand, &error_g)| vec![pour(hand, error_g); each])
            .collect();
        spread(&pours, 1).unwrap()
    };
    assert!((of(1).bias_se_g - of(10).bias_se_g).abs() < 1e-9);
    assert!(spread(&[pour(0, 1.0), pour(1, 2.0)], 1).is_none());
}

#[test]
fn hands_change_after_three_to_ten_pours() {
    let trial = Trial {
        method: Method::Practised,
        hand: HandKind::ChangingOften,
        liquid: LiquidName::Spirit.bottle(),
        flow_ml_s: 12.0,
        sps: 80.0,
        target_ml: 10.0,
        pours: 200,
        seed: 4,
        surroundings: Surroundings::Usual,
        hidden: Hidden::default(),
    };
    let pours = run(&Table::nominal(), &trial).pours;
    for station in pours.chunks(100) {
        let runs: Vec<usize> = station
            .chunk_by(|a, b| a.hand == b.hand)
            .map(<[TrialPour]>::len)
            .collect();
        // The last is cut off by the end.
        let whole = &runs[..runs.len() - 1];
        assert!(whole.iter().all(|run| (3..=10).contains(run)), "{runs:?}");
        assert!(whole.len() >= 9, "{runs:?}");
    }
    let met = Trial {
        hand: HandKind::Met,
        pours: 16,
        ..trial
    };
    let before: Vec<usize> = run(&Table::nominal(), &met)
        .pours
        .iter()
        .map(|pour| pour.before)
        .collect();
    assert_eq!(before, [8, 9, 10, 11, 12, 13, 14, 15].repeat(2));
}
