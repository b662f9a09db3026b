//! The document of `run --json`, the tables and the live view, from a round made by hand.

use pennyweight_core::output::{
    Dilution, DilutionBasis, DrinkRecord, PourRecord, Settled, StepBegun, Verdict,
};
use pennyweight_core::spec::{Amount, DrinkId, LiquidId, Quantity, Unit};
use pennyweight_core::units::{Grams, Millilitres};
use pennyweight_core::view::{Cue, Light, Next, Page, Reading, Sound};
use pennyweight_core::{Input, Instant, Outputs, View};
use pennyweight_sim::commands::Failure;
use pennyweight_sim::commands::events::write_json;
use pennyweight_sim::commands::result::RoundResult;
use pennyweight_sim::commands::run::{plain_lines, play};
use pennyweight_sim::commands::taught::TaughtLine;
use pennyweight_sim::commands::{live, tables};
use pennyweight_sim::session::Moment;
use serde_json::{Value, json};

use super::names;

fn view(page: Page<'static>) -> View<'static> {
    View {
        changed: true,
        page,
        light: Light::Go,
        sound: Sound::Silent,
        ramp: None,
    }
}

fn pouring(cue: Cue) -> View<'static> {
    let remaining = Reading {
        value: 125,
        decimals: 1,
        unit: Unit::Ml,
    };
    view(Page::Pour {
        liquid: "rye whiskey",
        remaining,
        bar: 722,
        cue,
        next: Next::Liquid("ginger syrup"),
    })
}

fn pour(step: u8, liquid: u8, target_ml: f32, target_g: f32, poured_g: f32) -> PourRecord {
    PourRecord {
        step,
        liquid: LiquidId(liquid),
        amount: Amount {
            quantity: Quantity::Volume((target_ml * 1000.0) as u32),
            unit: Unit::Ml,
        },
        target_volume: Millilitres(target_ml),
        target: Grams(target_g),
        poured: Settled {
            mass: Grams(poured_g),
            sigma: Grams(0.05),
        },
        verdict: Verdict::Good,
    }
}

/// One drink of two pours, then one of one pour.
fn moments() -> Vec<Moment<'static>> {
    let step = Outputs {
        step: Some(StepBegun {
            drink: DrinkId(0),
            step: 0,
            target: Some(Grams(42.75)),
        }),
        ..Outputs::default()
    };
    let poured = |record| Outputs {
        poured: Some(record),
        ..Outputs::default()
    };
    let done = |drink, dilution, record| Outputs {
        poured: Some(record),
        done: Some(DrinkRecord {
            drink: DrinkId(drink),
            volume: Millilitres(75.5),
            volume_sigma: Millilitres(1.25),
            abv_percent: 24.25,
            abv_sigma_percent: 0.375,
            sugar_g_per_l: 98.5,
            ethanol: Grams(14.125),
            ethanol_sigma: Grams(0.25),
            dilution,
        }),
        ..Outputs::default()
    };
    let weighed = Dilution {
        basis: DilutionBasis::Weighed,
        percent: 25.0,
        sigma_percent: 1.5,
    };
    let steps = [
        step,
        Outputs::default(),
        poured(pour(0, 0, 45.0, 42.75, 42.5)),
        done(0, Some(weighed), pour(1, 1, 15.0, 18.5, 18.75)),
        done(1, None, pour(0, 2, 60.0, 59.25, 59.25)),
    ];
    steps
        .into_iter()
        .zip(1u64..)
        .map(|(outputs, i)| Moment {
            at: Instant::from_micros(i * 12_500_000),
            input: Input::Tick,
            outputs,
            view: pouring(Cue::Pour),
        })
        .collect()
}

fn played(ordered: usize) -> Result<RoundResult, Failure> {
    play(moments().into_iter(), &names(), ordered, |_| Ok(()))
}

#[test]
fn the_document_has_the_names_other_programs_read() {
    let mut out = Vec::new();
    write_json(&mut out, &played(2).unwrap()).unwrap();
    let document: Value = serde_json::from_slice(&out).unwrap();
    let expected = json!({
        "drinks": [
            {
                "name": "Crème Lantern",
                "pours": [
                    {"liquid": "rye whiskey", "target_ml": 45.0, "target_g": 42.75,
                     "poured_g": 42.5, "sigma_g": 0.05, "error_g": -0.25, "verdict": "good"},
                    {"liquid": "ginger syrup", "target_ml": 15.0, "target_g": 18.5,
                     "poured_g": 18.75, "sigma_g": 0.05, "error_g": 0.25, "verdict": "good"},
                ],
                "volume_ml": 75.5, "volume_sigma_ml": 1.25,
                "abv_percent": 24.25, "abv_sigma_percent": 0.375, "sugar_g_per_l": 98.5,
                "ethanol_g": 14.125, "ethanol_sigma_g": 0.25, "dilution_percent": 25.0,
                "dilution_basis": "weighed", "dilution_sigma_percent": 1.5,
            },
            {
                "name": "Long Pier",
                "pours": [
                    {"liquid": "fino sherry", "target_ml": 60.0, "target_g": 59.25,
                     "poured_g": 59.25, "sigma_g": 0.05, "error_g": 0.0, "verdict": "good"},
                ],
                "volume_ml": 75.5, "volume_sigma_ml": 1.25,
                "abv_percent": 24.25, "abv_sigma_percent": 0.375, "sugar_g_per_l": 98.5,
                "ethanol_g": 14.125, "ethanol_sigma_g": 0.25, "dilution_percent": null,
                "dilution_basis": null, "dilution_sigma_percent": null,
            },
        ],
        "seconds": 50.0,
        "taught": [],
    });
    assert_eq!(document, expected);
    assert_eq!(out.iter().filter(|byte| **byte == b'\n').count(), 1);
}

/// A line for each bottle that was poured in one clean go, and figures a hand can have.
#[test]
fn a_round_tells_what_its_pours_taught() {
    let output = super::pennyweight().args(["run", "--json"]).output();
    let document: Value = serde_json::from_slice(&output.unwrap().stdout).unwrap();
    let taught = document["taught"].as_array().unwrap();
    assert!(taught.len() >= 4, "{taught:?}");
    for line in taught {
        assert!(
            line["hand"].is_null() && line["liquid"].is_string(),
            "{line}"
        );
        assert!(line["pours"].as_u64() >= Some(1), "{line}");
        for (key, least, most) in [
            ("usual_g_s", 1.0, 30.0),
            ("eased_g_s", 0.5, 30.0),
            ("delay_s", 0.05, 0.9),
            ("drips_g", -0.1, 1.5),
        ] {
            let figure = line[key].as_f64();
            // A hand that does not ease has no eased flow.
            let none = key == "eased_g_s" && line[key].is_null();
            let within = figure.is_some_and(|figure| (least..=most).contains(&figure));
            assert!(none || within, "{key}: {line}");
        }
    }
}

#[test]
fn a_round_that_ends_early_is_a_failed_run() {
    let failure = played(3).unwrap_err();
    assert_eq!(failure.exit_code(), 1);
    assert!(
        failure.to_string().contains("only 2 of 3 drinks"),
        "{failure}"
    );
}

#[test]
fn the_tables_fit_80_columns() {
    let mut result = played(2).unwrap();
    result.taught = vec![
        TaughtLine {
            hand: None,
            liquid: Some("rye whiskey".to_owned()),
            pours: 12,
            usual_g_s: Some(21.96),
            eased_g_s: Some(3.2),
            delay_s: 0.25,
            drips_g: -0.04,
        },
        TaughtLine {
            hand: Some(2),
            liquid: None,
            pours: 1,
            usual_g_s: None,
            eased_g_s: None,
            delay_s: 0.3,
            drips_g: 0.35,
        },
    ];
    let report = tables::report(&result);
    for line in report.lines() {
        assert!(line.chars().count() <= 80, "{line}");
    }
    insta::assert_snapshot!(report);
}

#[test]
fn plain_lines_tell_steps_pours_and_drinks() {
    let mut out = Vec::new();
    play(moments().into_iter(), &names(), 2, |moment| {
        plain_lines(&mut out, moment, &names())
    })
    .unwrap();
    insta::assert_snapshot!(String::from_utf8(out).unwrap());
}

#[test]
fn the_live_view_shows_liquid_amount_bar_cue_and_next() {
    let ease = live::lines(
        "Crème Lantern  (drink 1 of 2)",
        "12.5 s",
        &pouring(Cue::Ease),
    );
    insta::assert_snapshot!(ease);
}

#[test]
fn what_is_too_much_is_told_as_such() {
    let remaining = Reading {
        value: -30,
        decimals: 1,
        unit: Unit::Ml,
    };
    let page = Page::Pour {
        liquid: "rye whiskey",
        remaining,
        bar: 1000,
        cue: Cue::Stop,
        next: Next::Nothing,
    };
    let lines = live::lines("", "", &view(page));
    assert!(lines.contains("3.0 ml too much"), "{lines}");
    assert!(lines.contains("STOP"), "{lines}");
}
