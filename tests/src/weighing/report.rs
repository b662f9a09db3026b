//! The scale's own report: limits as written, and verdicts on a sound and on a bent cell.

use pennyweight_core::weigh::calibration::weights::Class;
use pennyweight_core::weigh::report::CAUTION;
use pennyweight_core::weigh::report::class_iii::{Stated, Unfit};
use pennyweight_core::weigh::report::guided::{Reading, Watched};
use pennyweight_core::weigh::report::steps::{Part, Place, REPEATS, Step, WARM_UP_S, steps};
use pennyweight_sim::commands::scale::ScaleArgs;
use pennyweight_sim::commands::scale::played;
use pennyweight_sim::commands::scale::report::Report;
use pennyweight_sim::commands::scale::report_text::text;
use pennyweight_sim::commands::station::station;
use pennyweight_sim::plant::table::Range;
use pennyweight_sim::plant::{Loads, Table};

use super::{json_lines, scale_args};

/// OIML R 76-1:2006 Table 6, class III, initial verification: 0.5 e to 500 e, 1 e to 2000 e,
/// 1.5 e to 10 000 e.
#[test]
fn the_limits_are_those_of_table_6() {
    let stated = Stated::new(10_000.0, 1.0).unwrap();
    let rows = [
        (0.0, 0.5),
        (500.0, 0.5),
        (500.1, 1.0),
        (2000.0, 1.0),
        (2000.1, 1.5),
        (10_000.0, 1.5),
    ];
    for (load_g, limit_g) in rows {
        assert_eq!(stated.mpe_g(load_g), limit_g, "{load_g}");
    }
    assert_eq!(Stated::new(3000.0, 2.0).unwrap().mpe_g(3000.0), 2.0);
}

/// OIML R 76-1:2006 Table 3, class III: e from 0.1 g; n 100 to 10 000, from 500 where e is 5 g or
/// more; Min 20 e.
#[test]
fn what_may_be_stated_is_that_of_table_3() {
    let of = Stated::new;
    assert_eq!(of(1000.0, 0.1).unwrap().min_g(), 2.0);
    assert!((of(1000.0, 0.1).unwrap().n() - 10_000.0).abs() < 1e-6);
    assert!(matches!(of(3000.0, 0.1), Err(Unfit::TooMany { n }) if (n - 30_000.0).abs() < 1e-3));
    assert!(matches!(of(10_001.0, 1.0), Err(Unfit::TooMany { .. })));
    assert!(matches!(of(100.0, 0.05), Err(Unfit::TooFine { .. })));
    assert!(matches!(
        of(199.0, 2.0),
        Err(Unfit::TooFew { least: 100.0, .. })
    ));
    assert!(of(200.0, 2.0).is_ok() && of(2500.0, 5.0).is_ok());
    assert!(matches!(
        of(2499.0, 5.0),
        Err(Unfit::TooFew { least: 500.0, .. })
    ));
    assert!(matches!(of(3000.0, 0.3), Err(Unfit::OddInterval { .. })));
    for (max_g, e_g) in [
        (f64::NAN, 1.0),
        (3000.0, f64::NAN),
        (-1.0, 1.0),
        (3000.0, 0.0),
    ] {
        assert_eq!(of(max_g, e_g), Err(Unfit::NotANumber));
    }
}

#[test]
fn the_sequence_holds_every_part() {
    for (max_g, e_g) in [
        (3000.0, 1.0),
        (3000.0, 2.0),
        (1000.0, 0.1),
        (5000.0, 0.5),
        (200.0, 2.0),
    ] {
        let all = steps(&Stated::new(max_g, e_g).unwrap());
        let of = |part| all.iter().filter(move |step| step.part == part);
        assert!(all.len() < all.capacity(), "none is lost");
        // R 76-1 A.5.2 (from memory): zero and near Max at once, after 5, 15 and 30 minutes.
        let warm_up: Vec<(f32, f64)> = of(Part::WarmUp)
            .map(|step| (step.from_s / 60.0, step.load_g))
            .collect();
        let read = [0.0, 5.0, 15.0, 30.0].map(|minutes| [(minutes, 0.0), (minutes, max_g)]);
        assert_eq!(warm_up[..8], *read.as_flattened());
        let loaded = of(Part::Repeatability).filter(|step| step.load_g > 0.0);
        assert_eq!(loaded.count(), REPEATS);
        let up: Vec<f64> = of(Part::Up).map(|step| step.load_g).collect();
        assert!(up.is_sorted() && up.last() == Some(&max_g) && up[0] <= 20.0 * e_g + 1.0);
        assert_eq!(of(Part::Down).count(), up.len());
        let corners = of(Part::Eccentricity).filter(|step| step.place != Place::Centre);
        assert_eq!(corners.filter(|step| step.load_g >= max_g / 3.0).count(), 4);
        assert_eq!(all.last().map(|step| step.load_g), Some(0.0));
    }
}

/// Readings of a flawless scale, which the tests then spoil.
fn flawless(stated: &Stated) -> Vec<Reading> {
    let read = |step: &Step| Reading {
        step: *step,
        shown_g: step.load_g,
        sigma_g: 0.001,
        watched: step.watched.then_some(Watched {
            furthest_g: step.load_g,
            half_way_g: step.load_g,
            end_g: step.load_g,
        }),
    };
    steps(stated).iter().map(read).collect()
}

#[test]
fn each_test_tells_by_how_much_it_fails() {
    let stated = Stated::new(3000.0, 1.0).unwrap();
    let sound = Report::of(&stated, &flawless(&stated), Class::F2);
    assert!(sound.meets && sound.tests.len() == 9, "{sound:?}");
    type Spoil = fn(&mut Reading) -> bool;
    // What is spoilt, by how much it is then over: limits in e from Table 6 and 3.9.4.
    let cases: [(&str, f64, Spoil); 9] = [
        ("warm_up", 0.2, |one| {
            let after = one.step.part == Part::WarmUp && one.step.from_s == WARM_UP_S[2];
            after && one.step.load_g == 0.0 && {
                one.shown_g -= 0.7;
                true
            }
        }),
        ("warm_up_span", 0.5, |one| {
            one.step.part == Part::WarmUp && one.step.load_g > 0.0 && {
                one.shown_g += 2.0;
                true
            }
        }),
        ("repeatability", 0.5, |one| {
            one.step.part == Part::Repeatability && one.step.load_g > 0.0 && {
                one.shown_g += 1.5;
                true
            }
        }),
        ("linearity_up", 0.25, |one| {
            one.step.part == Part::Up && one.step.load_g == 500.0 && {
                one.shown_g -= 0.75;
                true
            }
        }),
        ("linearity_down", 1.0, |one| {
            one.step.part == Part::Down && one.step.load_g == 2000.0 && {
                one.shown_g += 2.0;
                true
            }
        }),
        ("eccentricity", 0.5, |one| {
            one.step.place == Place::BackLeft && {
                one.shown_g += 1.5;
                true
            }
        }),
        ("creep", 0.1, |one| {
            one.step.part == Part::Creep && one.step.watched && {
                one.watched.as_mut().unwrap().furthest_g += 0.6;
                true
            }
        }),
        ("creep_late", 0.1, |one| {
            one.step.part == Part::Creep && one.step.watched && {
                one.watched.as_mut().unwrap().end_g += 0.3;
                true
            }
        }),
        ("zero_return", 0.5, |one| {
            one.step.part == Part::Creep && !one.step.watched && {
                one.shown_g -= 1.0;
                true
            }
        }),
    ];
    for (name, over_g, spoil) in cases {
        let mut readings = flawless(&stated);
        // The first one that it fits.
        let _ = readings.iter_mut().any(spoil);
        let report = Report::of(&stated, &readings, Class::F2);
        assert!(!report.meets, "{name}");
        for test in &report.tests {
            assert_eq!(test.meets, test.test != name, "{name}: {test:?}");
            let over = if test.test == name { over_g } else { 0.0 };
            assert!((test.over_g - over).abs() < 1e-9, "{name}: {test:?}");
        }
        let words = format!("does not, by {over_g:.3} g");
        assert!(text(&report).contains(&words), "{name}: {}", text(&report));
    }
}

#[test]
fn coarse_weights_are_told() {
    let stated = Stated::new(3000.0, 1.0).unwrap();
    let coarse = Report::of(&stated, &flawless(&stated), Class::M3);
    assert!(
        coarse.tests.iter().any(|test| test.weights_too_coarse),
        "{coarse:?}"
    );
    let fine = Report::of(&stated, &flawless(&stated), Class::F2);
    assert!(!fine.tests.iter().any(|test| test.weights_too_coarse));
}

/// On cells that creep no more than OIML R 60-1 allows class C3: 0.735 of 3000 divisions in 30
/// minutes. The simulated world also has worse ones.
fn played(seed: u64, e_g: f64, bow: f64) -> Report {
    let mut table = Table::nominal();
    table.cell.creep.share = Range {
        low: 1.5e-4,
        high: 2.45e-4,
    };
    let mut loads = Loads::drawn(&table, seed, 80.0, 0.0, bow);
    let stated = Stated::new(3000.0, e_g).unwrap();
    let zero_code = f64::from(loads.zero_code());
    let counts_per_gram = loads.counts_per_gram();
    played::report(&mut loads, stated, zero_code, counts_per_gram, Class::F2).expect("it ends")
}

#[test]
fn a_good_cell_meets_and_a_bent_one_does_not() {
    let good = played(1, 2.0, 0.0);
    println!("{}", text(&good));
    let meeting = (1..=10).filter(|&seed| played(seed, 2.0, 0.0).meets);
    println!("{} of 10 cells meet", meeting.count());
    assert!(good.meets, "{}", text(&good));
    let bent = played(1, 2.0, 0.01);
    println!("{}", text(&bent));
    assert!(!bent.meets);
    let up = bent
        .tests
        .iter()
        .find(|test| test.test == "linearity_up")
        .unwrap();
    assert!(up.over_g > 5.0, "{up:?}");
    for report in [good, bent] {
        let text = text(&report);
        assert!(
            text.lines().all(|line| line.chars().count() <= 80),
            "{text}"
        );
        assert!(text.contains(CAUTION), "{text}");
        let json = serde_json::to_value(&report).unwrap();
        assert_eq!(json["caution"], CAUTION);
        assert_eq!(json["tests"].as_array().unwrap().len(), 9);
    }
}

#[test]
fn a_station_asks_and_refuses_what_class_iii_has_not() {
    let args = |max, e| {
        scale_args(ScaleArgs {
            report: true,
            max: Some(max),
            e: Some(e),
            ..ScaleArgs::default()
        })
    };
    let failure = station(&args(3000.0, 0.1), &b""[..], Vec::new()).expect_err("n = 30 000");
    assert_eq!(failure.exit_code(), 2);
    let mut out = Vec::new();
    let line = b"{\"t_us\":1,\"code\":80000}\n";
    station(&args(3000.0, 1.0), &line[..], &mut out).unwrap();
    let events = json_lines(&out);
    assert_eq!(events[0]["ask"], "empty");
    assert_eq!(events[0]["at"], "centre");
    assert_eq!(events[1]["event"], "idle");
}
