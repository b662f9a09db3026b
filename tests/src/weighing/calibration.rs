//! Calibration: the table of weights, the line, and its refusals.

use pennyweight_core::weigh::calibration::fit::{GravityRatio, Point, Seen, fit};
use pennyweight_core::weigh::calibration::refusal::{
    LEAST_SPAN_CODES, LEAST_SPAN_SHARE, POINTS, Refusal, STEADY_SHARE,
};
use pennyweight_core::weigh::calibration::standing::Level;
use pennyweight_core::weigh::calibration::weights::{Class, Weight};
use pennyweight_sim::commands::scale::calibrate::{message, reason};
use rand::{RngExt, SeedableRng};
use rand_pcg::Pcg64;

/// OIML R 111-1:2004 Table 1, milligrams: F1, F2, M1 as a weight maker reprints it. The other
/// classes are told from memory and only checked for their order and steps.
const REPRINT: [(f64, [f64; 3]); 12] = [
    (1.0, [0.10, 0.3, 1.0]),
    (2.0, [0.12, 0.4, 1.2]),
    (5.0, [0.16, 0.5, 1.6]),
    (10.0, [0.20, 0.6, 2.0]),
    (20.0, [0.25, 0.8, 2.5]),
    (50.0, [0.3, 1.0, 3.0]),
    (100.0, [0.5, 1.6, 5.0]),
    (200.0, [1.0, 3.0, 10.0]),
    (500.0, [2.5, 8.0, 25.0]),
    (1000.0, [5.0, 16.0, 50.0]),
    (2000.0, [10.0, 30.0, 100.0]),
    (5000.0, [25.0, 80.0, 250.0]),
];

#[test]
fn weights_may_be_off_as_r_111_says() {
    for (grams, row) in REPRINT {
        for (class, milligrams) in [Class::F1, Class::F2, Class::M1].into_iter().zip(row) {
            let told = class.mpe_g(grams).unwrap() * 1000.0;
            assert!((told - milligrams).abs() < 1e-9, "{grams} g {class:?}");
        }
        let all = Class::ALL.map(|class| class.mpe_g(grams).unwrap());
        assert!(all.is_sorted_by(|a, b| a < b), "{grams} g: {all:?}");
        // About a factor of the square root of ten from class to class (R 111's own build-up).
        for pair in all.windows(2) {
            assert!(
                (2.4..4.1).contains(&(pair[1] / pair[0])),
                "{grams} g: {all:?}"
            );
        }
    }
    for none in [0.5, 3.0, 1500.0, 10_000.0, f64::NAN] {
        assert_eq!(Class::F2.mpe_g(none), None, "{none}");
    }
    // 1500 g is 1 kg and 500 g: 16 mg and 8 mg.
    assert!((Class::F2.load_mpe_g(1500.0) - 0.024).abs() < 1e-12);
}

fn level(code: f64) -> Level {
    Level {
        code,
        sigma: 1.0,
        drift: 0.0,
    }
}

fn point(grams: f64, tolerance_g: f64, code: f64) -> Point {
    Point {
        weight: Weight { grams, tolerance_g },
        level: level(code),
    }
}

fn seen<'p>(zero: f64, points: &'p [Point]) -> Seen<'p> {
    Seen {
        zero: level(zero),
        zero_again: None,
        points,
        repeat: None,
        capacity_g: 3000.0,
        gravity: GravityRatio::SAME,
    }
}

#[test]
fn one_weight_gives_the_line_worked_by_hand() {
    // 1000 g move the code from 50 000 to 450 000: 400 a gram. F2: 16 mg, 16 ppm as an even
    // spread is 9.24 ppm. Noise: sqrt(1 + 1) codes of 400 000, 3.54 ppm. Creep: 50 ppm as an
    // even spread, 28.9 ppm.
    let points = [point(1000.0, 0.016, 450_000.0)];
    let fitted = fit(&seen(50_000.0, &points)).unwrap();
    assert!((fitted.counts_per_gram - 400.0).abs() < 1e-9);
    assert!((fitted.zero_code - 50_000.0).abs() < 1e-6);
    let ppm = |share: f64| share * 1e6;
    assert!(
        (ppm(fitted.sigma.weights) - 9.24).abs() < 0.01,
        "{fitted:?}"
    );
    assert!((ppm(fitted.sigma.noise) - 3.536).abs() < 0.01, "{fitted:?}");
    assert!((ppm(fitted.sigma.drift) - 28.87).abs() < 0.01, "{fitted:?}");
    assert!(fitted.sigma.nonlinearity == 0.0 && fitted.sigma.gravity == 0.0);
    let total = (9.24_f64.powi(2) + 3.536_f64.powi(2) + 28.87_f64.powi(2)).sqrt();
    assert!((ppm(fitted.sigma.total()) - total).abs() < 0.02);
    // Normal gravity (GRS 80) is 9.780 327 m/s2 at the equator and 9.806 20 at 45 degrees.
    let mut moved = seen(50_000.0, &points);
    moved.gravity = GravityRatio {
        ratio: 9.780_327 / 9.806_20,
        sigma: 3e-5,
    };
    let moved = fit(&moved).unwrap();
    assert!((moved.counts_per_gram - 398.9446).abs() < 1e-3, "{moved:?}");
    assert!((ppm(moved.sigma.gravity) - 30.08).abs() < 0.02, "{moved:?}");
}

/// Ordinary least squares by the normal equations.
fn least_squares(rows: &[(f64, f64)]) -> (f64, f64) {
    let n = rows.len() as f64;
    let sum = |of: fn(&(f64, f64)) -> f64| rows.iter().map(of).sum::<f64>();
    let (x, y) = (sum(|row| row.0), sum(|row| row.1));
    let (xx, xy) = (sum(|row| row.0 * row.0), sum(|row| row.0 * row.1));
    let slope = (n * xy - x * y) / (n * xx - x * x);
    ((y - slope * x) / n, slope)
}

#[test]
fn equally_sure_points_give_ordinary_least_squares() {
    let mut chance = Pcg64::seed_from_u64(5);
    for count in 1..=POINTS {
        for sign in [1.0, -1.0] {
            let mut rows = vec![(0.0, 1234.0 + chance.random_range(-3.0..3.0))];
            let mut points = Vec::new();
            for nth in 1..=count {
                let grams = 500.0 * nth as f64;
                let code = 1234.0 + sign * 420.0 * grams + chance.random_range(-3.0..3.0);
                rows.push((grams, code));
                points.push(point(grams, 0.0, code));
            }
            let (zero, slope) = least_squares(&rows);
            let fitted = fit(&seen(rows[0].1, &points)).unwrap();
            assert!((fitted.counts_per_gram - slope).abs() < 1e-8, "{count}");
            assert!((fitted.zero_code - zero).abs() < 1e-5, "{count}");
            for (weight, residual_g) in &fitted.residuals_g {
                let row = rows.iter().find(|row| row.0 == weight.grams).unwrap();
                let by_hand = (row.1 - zero) / slope - row.0;
                assert!((residual_g - by_hand).abs() < 1e-7);
            }
        }
    }
}

#[test]
fn a_vague_weight_has_less_say() {
    // The second weight, ten times as vague, lies off by half a gram; the first by nothing.
    let points = [
        point(1000.0, 0.05, 400_000.0),
        point(2000.0, 5.0, 800_200.0),
    ];
    let fitted = fit(&seen(0.0, &points)).unwrap();
    assert!((fitted.counts_per_gram - 400.0).abs() < 0.01, "{fitted:?}");
}

fn refused(seen: &Seen<'_>) -> Refusal {
    let refusal = fit(seen).expect_err("refused");
    // Every reason has words, without a number that is none.
    assert!(!reason(&refusal).is_empty() && !message(&refusal).contains("NaN"));
    refusal
}

#[test]
fn each_reason_refuses() {
    let good = [
        point(500.0, 0.008, 200_000.0),
        point(1000.0, 0.016, 400_000.0),
    ];
    assert!(fit(&seen(0.0, &good)).is_ok());

    assert_eq!(refused(&seen(0.0, &[])), Refusal::NoWeights);
    let six: Vec<Point> = (1..=6)
        .map(|nth| point(100.0 * f64::from(nth), 0.01, 40_000.0 * f64::from(nth)))
        .collect();
    assert_eq!(refused(&seen(0.0, &six)), Refusal::TooMany);
    let twice = [good[0], good[0]];
    assert_eq!(
        refused(&seen(0.0, &twice)),
        Refusal::Duplicate { grams: 500.0 }
    );
    for broken in [
        point(f64::NAN, 0.0, 1e5),
        point(-5.0, 0.0, 1e5),
        point(f64::INFINITY, 0.0, 1e5),
        point(1000.0, f64::NAN, 1e5),
        point(1000.0, -0.1, 1e5),
        point(1000.0, 0.0, f64::NAN),
    ] {
        assert_eq!(
            refused(&seen(0.0, &[broken])),
            Refusal::NotANumber,
            "{broken:?}"
        );
    }
    assert_eq!(refused(&seen(f64::NAN, &good)), Refusal::NotANumber);

    let light = [point(200.0, 0.003, 80_000.0)];
    let least_g = LEAST_SPAN_SHARE * 3000.0;
    let too_light = Refusal::SpanTooLight {
        grams: 200.0,
        least_g,
    };
    assert_eq!(refused(&seen(0.0, &light)), too_light);
    let heavy = [point(5000.0, 0.08, 80_000.0)];
    assert!(matches!(
        refused(&seen(0.0, &heavy)),
        Refusal::BeyondCapacity { .. }
    ));
    let few = [point(1000.0, 0.016, 9_000.0)];
    let too_short = Refusal::SpanTooShort {
        codes: 9_000.0,
        least: LEAST_SPAN_CODES,
    };
    assert_eq!(refused(&seen(0.0, &few)), too_short);

    let back = [
        point(500.0, 0.008, 500_000.0),
        point(1000.0, 0.016, 400_000.0),
    ];
    assert_eq!(
        refused(&seen(0.0, &back)),
        Refusal::NotMonotone { grams: 1000.0 }
    );
    let none = [point(1000.0, 0.016, 0.0)];
    assert_eq!(
        refused(&seen(0.0, &none)),
        Refusal::NotMonotone { grams: 1000.0 }
    );

    for (sigma, drift) in [(100.0, 0.0), (1.0, 40.0), (1.0, -40.0)] {
        let mut wild = good;
        wild[0].level = Level {
            sigma,
            drift,
            ..wild[0].level
        };
        let refusal = refused(&seen(0.0, &wild));
        let is = matches!(refusal, Refusal::Unsteady { grams, most, .. }
            if grams == 500.0 && most == STEADY_SHARE);
        assert!(is, "{refusal:?}");
    }

    // 0.3 g of 1 kg and some noise are allowed: 0.5 g are not.
    let mut moved = seen(0.0, &good);
    moved.zero_again = Some(level(200.0));
    assert!(
        matches!(refused(&moved), Refusal::ZeroMoved { by_g, .. } if (by_g - 0.5).abs() < 1e-9)
    );
    let mut repeat = seen(0.0, &good);
    repeat.repeat = Some(level(400_200.0));
    assert!(matches!(refused(&repeat), Refusal::RepeatDisagrees { .. }));
    repeat.repeat = Some(level(400_020.0));
    assert!(fit(&repeat).is_ok());

    // 1 g too much under 500 g.
    let bent = [point(500.0, 0.008, 200_400.0), good[1]];
    assert!(matches!(
        refused(&seen(0.0, &bent)),
        Refusal::OffTheLine { .. }
    ));

    for ratio in [0.9, 1.1, f64::INFINITY] {
        let mut far = seen(0.0, &good);
        far.gravity = GravityRatio { ratio, sigma: 0.0 };
        assert_eq!(refused(&far), Refusal::Gravity { ratio });
    }
}
