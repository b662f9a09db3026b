//! The comparison, the split and the codes, against examples worked by hand.

use std::collections::HashSet;

use pennyweight_core::flight::VARIANTS;
use pennyweight_core::flight::codes::{codes, order};
use pennyweight_core::flight::fairness::{Finding, compare, shared_within_ml};
use pennyweight_core::flight::split::{served_ml, times};
use pennyweight_core::output::Figure;
use proptest::prelude::*;

fn figures(values: &[(f32, f32)]) -> Vec<Figure> {
    let figure = |&(value, sigma)| Figure { value, sigma };
    values.iter().map(figure).collect()
}

/// 66.2 +- 0.3, 66.9 +- 0.4 and 66.5 +- 0.1 ml: 66.9 - 66.2 = 0.7, known to
/// sqrt(0.3^2 + 0.4^2) = 0.5. A band of 2 holds 0.7 + 0.5; one of 1 holds 0.7 but not 1.2; one of
/// 0.1 is passed even by 0.7 - 0.5 = 0.2.
#[test]
fn three_glasses_by_hand() {
    let glasses = figures(&[(66.2, 0.3), (66.9, 0.4), (66.5, 0.1)]);
    for (within, finding) in [
        (2.0, Finding::Alike),
        (1.0, Finding::Unsure),
        (0.1, Finding::Apart),
    ] {
        let compared = compare(glasses.clone(), within).expect("three glasses");
        assert!((compared.spread - 0.7).abs() < 1e-4, "{compared:?}");
        assert!((compared.sigma - 0.5).abs() < 1e-4, "{compared:?}");
        assert_eq!(compared.finding, finding);
    }
}

#[test]
fn one_glass_or_no_number_is_no_comparison() {
    assert_eq!(compare(figures(&[(60.0, 0.1)]), 1.0), None);
    assert_eq!(compare(figures(&[]), 1.0), None);
    let nan = figures(&[(60.0, 0.1), (f32::NAN, 0.1)]);
    assert_eq!(compare(nan, 1.0), None);
    let unknown = figures(&[(60.0, 0.1), (60.0, f32::INFINITY)]);
    assert_eq!(compare(unknown, 1.0), None);
}

/// Develop's tolerance: max(0.5 ml, 3 %), so 0.5 ml of 10 and 2.1 ml of 70.
#[test]
fn the_band_of_the_shared_part() {
    assert!((shared_within_ml(10.0) - 0.5).abs() < 1e-6);
    assert!((shared_within_ml(70.0) - 2.1).abs() < 1e-5);
}

/// Three portions of 66.6 ml: 5 ml are 0.075 of one, 3 % of three are 0.09, the greater is taken.
/// Two of 20 ml: 5 ml are a quarter.
#[test]
fn a_batch_holds_a_little_more_than_its_portions() {
    assert!((times(3, 66.6).unwrap() - 3.09).abs() < 1e-9);
    assert!((times(2, 20.0).unwrap() - 2.25).abs() < 1e-9);
    for (glasses, portion) in [(0, 60.0), (3, 0.0), (3, -1.0), (3, f64::NAN)] {
        assert_eq!(times(glasses, portion), None, "{glasses} of {portion}");
    }
}

/// 97 +- 6 and 104 +- 7 ml: 91 and 97 are likely reached, so 90 are served.
#[test]
fn every_glass_reaches_what_is_served() {
    assert_eq!(served_ml(figures(&[(97.0, 6.0), (104.0, 7.0)])), Some(90.0));
    assert_eq!(served_ml(figures(&[(9.0, 6.0), (104.0, 7.0)])), None);
    assert_eq!(served_ml(figures(&[])), None);
    assert_eq!(served_ml(figures(&[(f32::NAN, 1.0)])), None);
}

proptest! {
    #[test]
    fn codes_are_three_digits_and_all_different(seed: u64, glasses in 0_usize..9) {
        let drawn = codes(seed, glasses);
        prop_assert_eq!(drawn.len(), glasses.min(VARIANTS.1));
        prop_assert!(drawn.iter().all(|code| (100..=999).contains(code)));
        prop_assert_eq!(drawn.iter().collect::<HashSet<_>>().len(), drawn.len());
        prop_assert_eq!(&drawn, &codes(seed, glasses));
    }

    #[test]
    fn an_order_leaves_no_glass_out(seed: u64, glasses in 0_usize..9) {
        let mut placed: Vec<u8> = order(seed, glasses).into_iter().collect();
        placed.sort_unstable();
        let all: Vec<u8> = (0..=u8::MAX).take(glasses.min(VARIANTS.1)).collect();
        prop_assert_eq!(placed, all);
    }
}

/// Of 6000 seeds each glass of three comes first about 2000 times, and no hundred of codes is
/// favoured: within five standard deviations of a binomial, sqrt(6000 p (1 - p)).
#[test]
fn neither_place_nor_code_tells_anything() {
    let mut first = [0_i32; 3];
    let mut hundreds = [0_i32; 9];
    for seed in 0..6000 {
        first[usize::from(order(seed, 3)[0])] += 1;
        hundreds[usize::from(codes(seed, 1)[0]) / 100 - 1] += 1;
    }
    let near = |count: i32, share: f64| {
        let mean = 6000.0 * share;
        (f64::from(count) - mean).abs() < 5.0 * (mean * (1.0 - share)).sqrt()
    };
    assert!(
        first.iter().all(|count| near(*count, 1.0 / 3.0)),
        "{first:?}"
    );
    assert!(
        hundreds.iter().all(|count| near(*count, 1.0 / 9.0)),
        "{hundreds:?}"
    );
}
