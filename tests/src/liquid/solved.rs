//! Strength by mass, and sugar found from a density.

use pennyweight_core::liquid::{Composition, LiquidError, Measured, ethanol};
use proptest::prelude::*;

use super::{assert_close, number, table};

/// United States Pharmacopeia 29, alcoholometric table: percent by volume at 60 degF against
/// percent by mass, so a strength by mass is the one of as many degrees proof. The masses are
/// rounded to 0.01 %, which is 0.013 % vol.
#[test]
fn strength_by_mass_and_proof_agree_with_the_pharmacopeia() {
    for row in table(include_str!(
        "../../data/liquid/ethanol_percent_mass_60f.csv"
    )) {
        let by_proof = Composition::from_proof(2.0 * number(&row, 0)).unwrap();
        let by_mass = Composition::from_abw(number(&row, 1), 0.0, None).unwrap();
        assert_close(
            100.0 * by_mass.strength,
            100.0 * by_proof.strength,
            0.03,
            &row,
        );
    }
}

/// By definition: the ethanol in a litre over what the litre weighs.
#[test]
fn strength_by_mass_counts_the_sugar_in() {
    let liqueur = Composition::from_label(40.0, 230.0).unwrap();
    let share = 0.4 * ethanol::PURE_20C / liqueur.density(20.0).unwrap().density;
    let found = Composition::from_abw(100.0 * share, 230.0, None).unwrap();
    assert_close(found.strength, 0.4, 1e-9, "Tabarie");
    let measured = Some(Measured {
        density: 1021.5,
        at: 20.0,
    });
    let share = 0.4 * ethanol::PURE_20C / 1021.5;
    let found = Composition::from_abw(100.0 * share, 230.0, measured).unwrap();
    assert_close(found.strength, 0.4, 1e-9, "measured");
}

/// Another evaluation of Tabarie's relation, rounded to 0.1 kg/m3: that is 0.15 g/l of sugar, and
/// 0.25 where sugar adds less than 0.4 kg/m3 a gram.
#[test]
fn sugar_follows_from_the_densities_of_the_table() {
    for row in table(include_str!(
        "../../data/liquid/tabarie_vs_displacement.csv"
    )) {
        let (abv, sugar, density) = (number(&row, 0), number(&row, 1), number(&row, 2));
        let found = Composition::sugar_from_density(density, 20.0, abv / 100.0).unwrap();
        assert_close(found.sugar_g_per_l, sugar, 0.25, &row);
    }
}

/// CRC Handbook: sucrose of 50 % by mass is 1229.5 kg/m3 at 20 degC, 614.75 g/l.
#[test]
fn sugar_of_a_syrup_follows_from_its_density() {
    let syrup = Composition::sugar_from_density(1229.5, 20.0, 0.0).unwrap();
    assert_close(syrup.sugar_g_per_l, 614.75, 0.8, "50 Brix");
}

/// Lange's Handbook: 33 % by mass is 39.7 % vol and 948.57 kg/m3, so no sugar makes it 940; and
/// with three quarters of sugar to a quarter of water, none makes it 1400.
#[test]
fn impossible_pairs_are_refused_with_the_reason() {
    let light = Composition::sugar_from_density(940.0, 20.0, 0.397).unwrap_err();
    let LiquidError::NoSugar { low, high, .. } = light else {
        panic!("{light}");
    };
    assert_close(low, 948.57, 0.1, "the spirit itself");
    let told = light.to_string();
    assert!(told.contains("is too light"), "{told}");
    assert!(told.contains(&format!("{low:.2} to {high:.2}")), "{told}");
    let dense = Composition::sugar_from_density(1400.0, 20.0, 0.397).unwrap_err();
    let told = dense.to_string();
    assert!(told.contains("denser than any sugar makes it"), "{told}");
    // What is just within both bounds is a liquid.
    for density in [low, 0.5 * (low + high), high] {
        let found = Composition::sugar_from_density(density, 20.0, 0.397).unwrap();
        assert_close(found.density(20.0).unwrap().density, density, 1e-6, density);
    }
    assert_eq!(
        Composition::sugar_from_density(1000.0, 60.0, 0.4).unwrap_err(),
        LiquidError::Temperature(60.0)
    );
    assert_eq!(
        Composition::sugar_from_density(1000.0, 20.0, 1.4).unwrap_err(),
        LiquidError::Strength(1.4)
    );
}

proptest! {
    #![proptest_config(ProptestConfig { failure_persistence: None, ..ProptestConfig::with_cases(2000) })]

    #[test]
    fn density_gives_the_sugar_back(strength in 0.0..=1.0, sugar in 0.0..1030.0, t in -5.0..=40.0) {
        let liquid = Composition { strength, sugar_g_per_l: sugar, measured: None };
        if let Ok(estimate) = liquid.density(t) {
            // A label may contradict itself by half a percent; what is solved for may not, and within
            // 0.1 kg/m3 of the bounds it is drawn to them.
            match Composition::sugar_from_density(estimate.density, t, strength) {
                Ok(found) => {
                    let there = found.density(t).unwrap().density;
                    prop_assert!((there - estimate.density).abs() < 0.1, "{found:?}");
                    let drawn = there < estimate.density - 1e-6;
                    let within = if drawn { 0.35 } else { 0.01 };
                    prop_assert!((found.sugar_g_per_l - sugar).abs() < within, "{found:?}");
                }
                Err(LiquidError::NoSugar { density, high, .. }) => {
                    prop_assert!(density > high && density < high * 1.01, "{density} {high}");
                }
                Err(other) => prop_assert!(false, "{other}"),
            }
        }
    }

    #[test]
    fn strength_by_mass_gives_the_strength_back(strength in 0.0..=1.0, sugar in 0.0..1000.0) {
        let liquid = Composition { strength, sugar_g_per_l: sugar, measured: None };
        if let Ok(estimate) = liquid.density(20.0) {
            let abw = 100.0 * strength * ethanol::PURE_20C / estimate.density;
            prop_assume!(abw <= 100.0);
            let found = Composition::from_abw(abw, sugar, None).unwrap();
            prop_assert!((found.strength - strength).abs() < 1e-9, "{found:?}");
        }
    }

    #[test]
    fn nothing_impossible_comes_of_any_numbers(
        a in prop_oneof![-10.0..210.0, proptest::num::f64::ANY],
        b in prop_oneof![-10.0..1300.0, proptest::num::f64::ANY],
        c in prop_oneof![-0.1..1.1, proptest::num::f64::ANY],
    ) {
        let measured = Some(Measured { density: b, at: a });
        for found in [
            Composition::from_abw(a, b, None),
            Composition::from_abw(a, 0.0, measured),
            Composition::from_abw(100.0 * c, a, measured),
            Composition::sugar_from_density(b, 20.0, c),
            Composition::sugar_from_density(b, a, c),
        ].into_iter().flatten() {
            prop_assert!(found.density(20.0).is_ok(), "{found:?}");
        }
    }
}
