//! Many pours: the figure that must be reached, and a table to look at.

use std::fmt::Write;

use pennyweight_core::spec::Family;
use pennyweight_sim::plant::{Hidden, Liquid, Surroundings, Table};
use pennyweight_sim::trial::{HandKind, Method, Trial, TrialPour, TrialResult, quantile, run};

/// A liquid, its usual flow in ml/s and how much of it is poured, ml.
#[derive(Clone, Copy, Debug)]
struct Case {
    name: &'static str,
    family: Family,
    flow_ml_s: f64,
    target_ml: f64,
}

const fn case(name: &'static str, family: Family, flow_ml_s: f64, target_ml: f64) -> Case {
    Case {
        name,
        family,
        flow_ml_s,
        target_ml,
    }
}

const CASES: [Case; 4] = [
    case("spirit", Family::Spirit, 8.0, 30.0),
    case("spirit", Family::Spirit, 12.0, 45.0),
    case("spirit", Family::Spirit, 22.0, 45.0),
    case("syrup", Family::Syrup, 6.0, 20.0),
];

/// How many pours of each kind.
const POURS: usize = 300;

fn pour(case: Case, method: Method, hand: HandKind, sps: f64, seed: u64) -> TrialResult {
    let (abv_percent, sugar_g_per_l) = match case.family {
        // 50 % by mass: 615 g of sugar a litre.
        Family::Syrup => (0.0, 615.0),
        _ => (40.0, 0.0),
    };
    let trial = Trial {
        method,
        hand,
        liquid: Liquid::of_strength(case.name, case.family, abv_percent, sugar_g_per_l),
        flow_ml_s: case.flow_ml_s,
        sps,
        target_ml: case.target_ml,
        pours: POURS,
        seed,
        surroundings: Surroundings::Usual,
        hidden: Hidden::default(),
    };
    run(&Table::nominal(), &trial)
}

/// P95 and bias of several trials together, grams.
fn together(case: Case, method: Method, seeds: &[u64]) -> (f64, f64) {
    let mut errors = Vec::new();
    for &seed in seeds {
        let result = pour(case, method, HandKind::Known, 80.0, seed);
        assert_eq!(result.summary.pours, POURS);
        errors.extend(result.pours.iter().map(TrialPour::error_g));
    }
    let bias = errors.iter().sum::<f64>() / errors.len() as f64;
    let p95 = quantile(errors.iter().map(|error| error.abs()).collect(), 0.95);
    println!("{method:?}, {case:?}: P95 {p95:.3} g, bias {bias:+.3} g");
    (p95, bias)
}

/// One hand in ten never eases, and ten hands decide a trial of 300 pours: what can be reached
/// differs from seed to seed, so a trial is held against `limit`, which knows the truth and has the
/// same hands. At 8 ml/s it is held against a figure as well: the first four seeds together, or the
/// one that was chosen, which may miss where several hands never ease.
#[test]
fn a_known_hand_pours_close_to_what_its_own_chance_allows() {
    let seeds: Vec<u64> = super::chosen_seed().map_or((1..=4).collect(), |seed| vec![seed]);
    let short = case("spirit", Family::Spirit, 12.0, 10.0);
    // What draught, jet and wander take from the weighing, and what a short pour leaves untold.
    for (case, weighing_g) in [
        (CASES[0], 0.15),
        (CASES[2], 0.15),
        (CASES[3], 0.15),
        (short, 0.3),
    ] {
        let (p95, bias) = together(case, Method::Guided, &seeds);
        let (limit, _) = together(case, Method::Limit, &seeds);
        assert!(p95 <= 1.6 * limit + weighing_g, "P95 {p95}, limit {limit}");
        if case.flow_ml_s == 8.0 {
            let alone = seeds.len() == 1;
            let (most, aside) = if alone { (0.8, 0.15) } else { (0.75, 0.1) };
            assert!(p95 <= most, "P95 {p95}");
            assert!(bias.abs() <= aside, "bias {bias}");
        }
    }
}

/// To the nearest twentieth of a gram, without a sign on nothing.
fn grams(value: f64) -> f64 {
    (value * 20.0).round() / 20.0 + 0.0
}

fn row(table: &mut String, case: Case, method: Method, hand: HandKind, sps: f64) {
    const SEED: u64 = 20;
    let result = pour(case, method, hand, sps, SEED);
    let summary = result.summary;
    let delays: Vec<f64> = result
        .pours
        .iter()
        .filter_map(|pour| pour.said?.started_after_s)
        .collect();
    let delay = match delays.len() {
        0 => "-".to_owned(),
        _ => format!("{:.2}", quantile(delays, 0.5)),
    };
    let who = match (method, hand) {
        (Method::Plain, _) => "plain scale".to_owned(),
        (Method::Practised, _) => "plain, practised".to_owned(),
        (Method::Limit, _) => "limit".to_owned(),
        (Method::Guided, hand) => format!("guided, {hand:?}").to_lowercase(),
    };
    writeln!(
        table,
        "{who:16} {sps:4} {:6} {:5} {:5} {:6.2} {:5.2} {:5.2} {:5.0} {delay:>6}",
        summary.pours,
        case.flow_ml_s,
        case.target_ml,
        grams(summary.bias_g),
        grams(summary.sd_g),
        grams(summary.p95_g),
        100.0 * summary.good_share,
    )
    .unwrap();
}

#[test]
fn pours_by_every_method_on_the_same_draws() {
    let mut table = String::new();
    for case in CASES {
        writeln!(
            table,
            "{}, {} ml/s, {} ml\n\
             how               sps  pours  ml/s    ml   bias    sd   P95 good%  start",
            case.name, case.flow_ml_s, case.target_ml
        )
        .unwrap();
        for method in [Method::Plain, Method::Practised] {
            row(&mut table, case, method, HandKind::Known, 80.0);
        }
        let hands = [
            HandKind::Unknown,
            HandKind::Changing,
            HandKind::Silent,
            HandKind::Known,
        ];
        for hand in hands {
            row(&mut table, case, Method::Guided, hand, 80.0);
        }
        for sps in [10.0, 320.0] {
            row(&mut table, case, Method::Guided, HandKind::Known, sps);
        }
        row(&mut table, case, Method::Limit, HandKind::Known, 80.0);
        table.push('\n');
    }
    insta::assert_snapshot!(table);
}
