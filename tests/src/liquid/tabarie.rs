//! Spirits with sugar.

use pennyweight_core::liquid::{Composition, LiquidError, Model, target};

use super::{assert_close, number, table};

/// The relation as the source puts it (OIV-MA-AS2-03B), extract from relative densities: what is
/// left of the density once the alcohol is taken out gives the extract of the table.
#[test]
fn gives_the_extract_of_the_wine_tables() {
    let water = Composition::default().density(20.0).unwrap().density;
    for row in table(include_str!("../../data/liquid/oiv_extract.csv")) {
        let (relative, extract) = (number(&row, 0), number(&row, 1));
        if extract > 500.0 {
            continue;
        }
        for abv in [8.0, 15.0, 24.0] {
            let liquid = Composition::from_label(abv, extract).unwrap();
            let dry = Composition::from_label(abv, 0.0).unwrap();
            let left = liquid.density(20.0).unwrap().density - dry.density(20.0).unwrap().density;
            // 0.05 g/l of rounding is 0.02 kg/m3.
            assert_close(left / water + 1.0, relative, 2.5e-5, (abv, &row));
        }
    }
}

/// Another evaluation of the relation, and its spread against the displacement model: the
/// uncertainty stated must never be less than that spread.
#[test]
fn agrees_with_the_table_and_owns_up_to_the_spread() {
    for row in table(include_str!(
        "../../data/liquid/tabarie_vs_displacement.csv"
    )) {
        let liquid = Composition::from_label(number(&row, 0), number(&row, 1)).unwrap();
        let estimate = liquid.density(20.0).unwrap();
        assert_close(estimate.density, number(&row, 2), 0.06, &row);
        assert!(
            estimate.sigma_percent >= number(&row, 5).abs() - 0.006,
            "{row:?}: {estimate:?}"
        );
    }
}

/// The steps of the model uncertainty for a liqueur of 250 g/l: 0.06 % to 30 % vol, 0.3 % to
/// 35 % vol, 0.7 % above. The label's 0.3 % vol comes on top.
#[test]
fn states_the_steps_of_the_model_uncertainty() {
    for (abv, step) in [(20.0, 0.06), (30.0, 0.06), (33.0, 0.3), (40.0, 0.7)] {
        let liquid = Composition::from_label(abv, 250.0).unwrap();
        let sigma = liquid.density(20.0).unwrap().sigma_percent;
        assert!(
            (step..step + 0.02).contains(&sigma),
            "{abv} % vol: {sigma} for {step}"
        );
    }
    // A drop of sugar must not jump from the spirit's uncertainty to the liqueur's.
    let dry = Composition::from_label(40.0, 0.0).unwrap();
    let off_dry = Composition::from_label(40.0, 1.0).unwrap();
    let sigma = |liquid: Composition| liquid.density(20.0).unwrap().sigma_percent;
    assert!((0.02..0.04).contains(&sigma(dry)), "{}", sigma(dry));
    assert!(sigma(off_dry) - sigma(dry) < 0.005);
}

/// Typical liquids, generic, strength and sugar from memory; densities computed elsewhere.
#[test]
fn typical_liquids_come_out() {
    for row in table(include_str!("../../data/liquid/typical_liquids.csv")) {
        let liquid = Composition::from_label(number(&row, 1), number(&row, 2)).unwrap();
        let of_30_ml = target(30.0, &liquid).unwrap();
        assert_close(of_30_ml.estimate.density, number(&row, 3), 0.06, &row);
        assert_close(of_30_ml.mass_g, number(&row, 5), 0.0055, &row);
    }
}

/// No published figure covers a liqueur away from 20 degC; what must hold: it lies between what
/// its two parts would do alone, and the uncertainty widens.
#[test]
fn expands_between_its_parts_and_says_it_knows_less() {
    let liqueur = Composition::from_label(40.0, 230.0).unwrap();
    let spirit = Composition::from_label(40.0, 0.0).unwrap();
    let ratio = |liquid: Composition| {
        liquid.density(5.0).unwrap().density / liquid.density(20.0).unwrap().density
    };
    assert!(ratio(liqueur) > 1.005 && ratio(liqueur) < ratio(spirit) + 0.002);
    let warm = liqueur.density(20.0).unwrap();
    let cold = liqueur.density(0.0).unwrap();
    assert_eq!(cold.model, Model::Tabarie);
    assert!(cold.sigma_percent > warm.sigma_percent);
    // Below zero the sugar's share is held: no jump there.
    let below = liqueur.density(-0.01).unwrap();
    assert_close(below.density, cold.density, 0.02, "across 0 degC");
}

#[test]
fn refuses_what_leaves_no_water_for_the_sugar() {
    let error = Composition::from_label(90.0, 500.0).unwrap_err();
    assert!(matches!(error, LiquidError::NoRoom { .. }), "{error}");
    assert!(error.to_string().contains("at most 75 %"), "{error}");
    for (abv, sugar) in [(-1.0, 0.0), (101.0, 0.0), (40.0, -1.0), (0.0, 2000.0)] {
        assert!(Composition::from_label(abv, sugar).is_err());
    }
}

/// The relation turned round.
#[test]
fn strength_comes_back_from_the_density() {
    for (abv, sugar, celsius) in [(40.0, 230.0, 5.0), (16.5, 150.0, 20.0), (24.0, 400.0, 30.0)] {
        let liquid = Composition::from_label(abv, sugar).unwrap();
        let density = liquid.density(celsius).unwrap().density;
        let found = Composition::from_density(density, celsius, sugar).unwrap();
        assert_close(100.0 * found.strength, abv, 1e-7, (abv, sugar, celsius));
    }
}
