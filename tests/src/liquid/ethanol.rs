//! Ethanol and water.

use pennyweight_core::liquid::ethanol::{
    PURE_20C, density, mass_fraction, strength, strength_from, strength_of_density,
};
use pennyweight_core::liquid::{Composition, LiquidError, freezing_point};

use super::{assert_close, number, table};

const SIXTY_DEGF: f64 = 15.555_555_555_555_555;

/// R 22 summed term by term from the printed coefficients, smallest power last.
fn r22(mass_fraction: f64, celsius: f64) -> f64 {
    let terms = table(include_str!("../../data/liquid/oiml_r22_coefficients.csv"));
    assert_eq!(terms.len(), 12 + 6 + 11 + 10 + 9 + 4 + 2);
    let mut sum = 0.0;
    for term in terms.iter().rev() {
        let (of_p, of_t) = (number(term, 0) as i32, number(term, 1) as i32);
        sum += number(term, 2) * mass_fraction.powi(of_p) * (celsius - 20.0).powi(of_t);
    }
    sum
}

/// The figure asked for is 0.001 kg/m3. The last printed digits of some coefficients move the
/// density by less, so this is held to what rounding leaves and a wrong digit shows.
#[test]
fn agrees_with_another_evaluation_of_the_formula() {
    for celsius in [
        -10.0, -5.0, 0.0, 4.0, 15.0, SIXTY_DEGF, 20.0, 25.0, 33.3, 40.0,
    ] {
        for step in 0..=40 {
            let p = f64::from(step) / 40.0;
            match density(p, celsius) {
                Ok(rho) => assert_close(rho, r22(p, celsius), 2e-9, (p, celsius)),
                Err(e) => assert!(
                    matches!(e, LiquidError::Freezing { .. }) && celsius < 0.0,
                    "{p} at {celsius}: {e}"
                ),
            }
        }
    }
}

/// Lange's Handbook, 10th ed., measured densities: not the formula. 10, 20, 25 and 30 degC.
#[test]
fn agrees_with_the_handbook_within_a_tenth() {
    let mut worst: f64 = 0.0;
    for row in table(include_str!("../../data/liquid/ethanol_water_lange.csv")) {
        let rho = density(number(&row, 0) / 100.0, number(&row, 1)).unwrap();
        assert_close(rho, number(&row, 2), 0.10, &row);
        worst = worst.max((rho - number(&row, 2)).abs());
    }
    assert!(worst > 0.05, "the handbook is rounded and older: {worst}");
}

/// Water: the formula's own column to its rounding; the equation of state (IAPWS-95) and an
/// air-free formula (Tanaka and others, 2001) within 0.0075 kg/m3.
#[test]
fn water_agrees_with_the_water_tables() {
    for row in table(include_str!("../../data/liquid/water.csv")) {
        let rho = density(0.0, number(&row, 0)).unwrap();
        assert_close(rho, number(&row, 4), 6e-5, &row);
        assert_close(rho, number(&row, 2), 0.0075, &row);
        assert_close(rho, number(&row, 1), 0.0075, &row);
    }
}

/// OIML R 22 defines 789.24 for ethanol and A1 = 998.20123 for water, both at 20 degC.
#[test]
fn keeps_the_defined_points() {
    assert_close(density(1.0, 20.0).unwrap(), 789.24, 0.001, "ethanol");
    assert_close(PURE_20C, 789.24, 0.001, "ethanol");
    assert_eq!(density(0.0, 20.0).unwrap(), 998.20123);
    for (q, p) in [(0.0, 0.0), (1.0, 1.0)] {
        assert_eq!(mass_fraction(q).unwrap(), p);
        assert_eq!(strength(p).unwrap(), q);
    }
}

/// By hand from Lange's densities at 20 degC: strength = p rho(p) / rho(1). 0.10 kg/m3 in 789
/// leaves 0.013 % vol.
#[test]
fn strength_follows_from_handbook_densities() {
    let rows = table(include_str!("../../data/liquid/ethanol_water_lange.csv"));
    let pure = rows
        .iter()
        .find(|r| &r[0] == "100" && &r[1] == "20")
        .map(|r| number(r, 2))
        .unwrap();
    for row in rows.iter().filter(|r| &r[1] == "20") {
        let p = number(row, 0) / 100.0;
        let q = p * number(row, 2) / pure;
        assert_close(100.0 * strength(p).unwrap(), 100.0 * q, 0.013, row);
    }
}

/// United States Pharmacopeia 29, alcoholometric table: percent by volume at 60 degF to percent
/// by mass, within half of its last digit.
#[test]
fn strength_at_60_degf_agrees_with_the_pharmacopeia() {
    for row in table(include_str!(
        "../../data/liquid/ethanol_percent_mass_60f.csv"
    )) {
        let p = mass_fraction(strength_from(number(&row, 0) / 100.0, SIXTY_DEGF).unwrap()).unwrap();
        let decimals = row[1].split('.').nth(1).map_or(0, str::len) as i32;
        let half_digit = 0.5 * 10_f64.powi(-decimals);
        assert_close(100.0 * p, number(&row, 1), half_digit, &row);
        let by_proof = Composition::from_proof(2.0 * number(&row, 0)).unwrap();
        assert_close(mass_fraction(by_proof.strength).unwrap(), p, 1e-12, &row);
    }
}

/// Lange's freezing table: a liquid just above the line, an error that names the line below.
#[test]
fn refuses_below_the_freezing_line() {
    for row in table(include_str!("../../data/liquid/ethanol_water_freezing.csv")) {
        let (p, line) = (number(&row, 0) / 100.0, number(&row, 2));
        if line < -33.9 {
            continue;
        }
        assert_close(freezing_point(p), line, 1e-9, &row);
        if line < -10.0 {
            assert!(density(p, -10.0).is_ok(), "{row:?}");
            continue;
        }
        assert!(density(p, line + 0.01).is_ok(), "{row:?}");
        if line > -9.9 {
            match density(p, line - 0.1) {
                Err(LiquidError::Freezing { celsius, lowest }) => {
                    assert_eq!(celsius, line - 0.1);
                    assert_close(lowest, line, 1e-9, &row);
                }
                other => panic!("{row:?}: {other:?}"),
            }
        }
    }
}

#[test]
fn names_the_bound_that_was_crossed() {
    let said = |e: LiquidError| e.to_string();
    assert_eq!(
        said(density(0.4, -10.5).unwrap_err()),
        "-10.5 degC lies outside -10 to 40 degC"
    );
    assert_eq!(
        said(density(0.4, 41.0).unwrap_err()),
        "41 degC lies outside -10 to 40 degC"
    );
    assert_eq!(
        said(mass_fraction(1.5).unwrap_err()),
        "strength 150 % lies outside 0 to 100 %"
    );
    assert_eq!(
        said(density(0.05, -5.0).unwrap_err()),
        "-5 degC lies below -2.1 degC, where this liquid freezes or its formula ends"
    );
    assert_eq!(
        said(density(f64::NAN, 20.0).unwrap_err()),
        "a figure is not a number"
    );
    let thin = strength_of_density(700.0, 20.0).unwrap_err();
    assert!(said(thin).contains("700.00"), "{thin}");
    assert!(said(thin).contains("789.24 to 998.20 kg/m3"), "{thin}");
}

/// Lange's densities turned round: 0.1 kg/m3 is at most 0.11 % vol where the density hardly
/// answers to the strength (around 10 %).
#[test]
fn density_gives_the_handbook_strength_back() {
    for row in table(include_str!("../../data/liquid/ethanol_water_lange.csv")) {
        let expected = strength(number(&row, 0) / 100.0).unwrap();
        let found = strength_of_density(number(&row, 2), number(&row, 1)).unwrap();
        assert_close(100.0 * found, 100.0 * expected, 0.11, &row);
    }
}
