//! Measured densities.

use pennyweight_core::liquid::{Composition, LiquidError, Measured, Model};

use super::{assert_close, number, table};

fn measured(abv: f64, sugar_g_per_l: f64, density: f64, at: f64) -> Composition {
    Composition {
        strength: abv / 100.0,
        sugar_g_per_l,
        measured: Some(Measured { density, at }),
    }
}

#[test]
fn wins_at_its_own_temperature() {
    for at in [4.0, 20.0] {
        let estimate = measured(40.0, 230.0, 1021.5, at).density(at).unwrap();
        assert_eq!(estimate.density, 1021.5);
        assert_eq!(estimate.model, Model::Measured);
    }
}

/// Lange's Handbook: a measured spirit carried from 20 degC to 10, 25 and 30 lands on the
/// handbook's density there.
#[test]
fn a_spirit_is_carried_as_the_handbook_says() {
    let rows = table(include_str!("../../data/liquid/ethanol_water_lange.csv"));
    for row in &rows {
        let at_20 = rows
            .iter()
            .find(|r| r[0] == row[0] && &r[1] == "20")
            .map(|r| number(r, 2));
        let Some(at_20) = at_20 else { continue };
        let p = number(row, 0) / 100.0;
        let strength = pennyweight_core::liquid::ethanol::strength(p).unwrap();
        let liquid = measured(100.0 * strength, 0.0, at_20, 20.0);
        let estimate = liquid.density(number(row, 1)).unwrap();
        assert_close(estimate.density, number(row, 2), 0.1, row);
    }
}

/// Saline, milk and cream, of which neither strength nor sugar tells anything: from the coldest
/// row of each to its others, the stated uncertainty holds.
#[test]
fn carrying_blind_owns_up_to_its_error() {
    let rows = table(include_str!("../../data/liquid/saline_and_dairy.csv"));
    let mut worst: f64 = 0.0;
    for first in &rows {
        let liquid = measured(0.0, 0.0, number(first, 2), number(first, 1));
        for row in rows.iter().filter(|r| r[0] == first[0]) {
            let estimate = liquid.density(number(row, 1)).unwrap();
            let off = 100.0 * (estimate.density / number(row, 2) - 1.0);
            worst = worst.max(off.abs() / estimate.sigma_percent);
        }
    }
    assert!((0.5..2.0).contains(&worst), "{worst} sigma");
}

/// Honey, 17 to 18 % water, 1420 kg/m3 (USDA SR28): thicker than any syrup, so only measured.
#[test]
fn honey_needs_a_measured_density() {
    let sugar = 0.82 * 1420.0;
    assert!(Composition::from_label(0.0, sugar).is_err());
    let honey = measured(0.0, sugar, 1420.0, 20.0);
    assert_eq!(honey.density(20.0).unwrap().density, 1420.0);
    assert!(honey.density(30.0).unwrap().density < 1420.0);
}

#[test]
fn refuses_what_cannot_be() {
    for density in [0.0, 1.036, 749.0, 1501.0, -5.0] {
        let error = measured(40.0, 0.0, density, 20.0)
            .density(20.0)
            .unwrap_err();
        assert_eq!(error, LiquidError::Density(density));
        assert!(error.to_string().ends_with("outside 750 to 1500 kg/m3"));
    }
    let hot = measured(40.0, 0.0, 948.0, 60.0).density(20.0).unwrap_err();
    assert_eq!(hot, LiquidError::Temperature(60.0));
    // More sugar than the whole weighs.
    assert!(measured(0.0, 1200.0, 1010.0, 20.0).density(20.0).is_err());
    assert!(measured(100.0, 0.0, 760.0, 20.0).density(20.0).is_err());
    assert!(measured(100.0, 0.0, 789.0, 20.0).density(20.0).is_ok());
}

/// By Lange's Handbook 20 % vol is 973.6 kg/m3; with 300 g/l of sugar it is about 1088 (Tabarie).
/// 900 is neither, 60 % vol is never 1200; a cream liqueur of 17 % vol and 250 g/l at 1050 is.
#[test]
fn strength_sugar_and_density_must_be_of_one_liquid() {
    let liquid = |abv: f64, sugar: f64, density: f64| Composition {
        strength: abv / 100.0,
        sugar_g_per_l: sugar,
        measured: Some(Measured { density, at: 20.0 }),
    };
    for right in [
        liquid(17.0, 250.0, 1050.0),
        liquid(24.0, 0.0, 1061.0),
        liquid(40.0, 0.0, 948.0),
        liquid(0.0, 0.0, 920.0),
    ] {
        assert_eq!(right.agree(), Ok(()), "{right:?}");
    }
    for wrong in [liquid(20.0, 300.0, 900.0), liquid(60.0, 0.0, 1200.0)] {
        let told = wrong.agree().expect_err("impossible");
        assert!(matches!(told, LiquidError::NoSugar { .. }), "{told:?}");
    }
}
