//! Sucrose and water.

use pennyweight_core::liquid::sucrose::{
    HIGHEST_G_PER_L, HIGHEST_G_PER_L_MEASURED, density, grams_per_litre, mass_fraction,
};
use pennyweight_core::liquid::{Composition, LiquidError, Model};

use super::{assert_close, number, table};

/// SPS-4 summed term by term over the water column of another source.
fn added_by_sugar(w: f64, celsius: f64) -> f64 {
    table(include_str!(
        "../../data/liquid/icumsa_sps4_coefficients.csv"
    ))
    .iter()
    .rev()
    .map(|term| {
        let (of_w, of_t) = (number(term, 0) as i32, number(term, 1) as i32);
        number(term, 2) * w.powi(of_w) * ((celsius - 20.0) / 100.0).powi(of_t)
    })
    .sum()
}

#[test]
fn agrees_with_another_evaluation_of_the_formula() {
    for celsius in [0.0, 5.0, 20.0, 25.0, 40.0] {
        let water = density(0.0, celsius).unwrap();
        for step in 0..=17 {
            let w = f64::from(step) / 20.0;
            let added = density(w, celsius).unwrap() - water;
            assert_close(added, added_by_sugar(w, celsius), 1e-6, (w, celsius));
        }
    }
}

/// CRC Handbook of Chemistry and Physics: within 0.3 kg/m3 to 70 Brix, as asked; from there to
/// the last row within the 75 Brix accepted (74) within 0.36.
#[test]
fn agrees_with_the_handbook() {
    let mut rows = 0;
    for row in table(include_str!("../../data/liquid/sucrose_crc.csv")) {
        let brix = number(&row, 0);
        let within = if brix <= 70.0 { 0.3 } else { 0.36 };
        if brix <= 75.0 {
            let rho = density(brix / 100.0, 20.0).unwrap();
            assert_close(rho, number(&row, 1), within, &row);
            rows += 1;
        }
    }
    assert!(rows > 40);
}

#[test]
fn water_agrees_with_the_water_tables() {
    for row in table(include_str!("../../data/liquid/water.csv")) {
        let rho = density(0.0, number(&row, 0)).unwrap();
        assert_close(rho, number(&row, 3), 6e-5, &row);
        assert_close(rho, number(&row, 2), 0.0052, &row);
    }
}

/// A published correction table for a hydrometer read away from 20 degC: it floats where the
/// liquid's density, times its own expansion, is that of its scale at 20 degC. 0.05 Brix is
/// 0.2 kg/m3.
#[test]
fn expands_as_the_hydrometer_table_says() {
    for row in table(include_str!("../../data/liquid/sucrose_hydrometer.csv")) {
        let (brix, celsius, correction) = (number(&row, 0), number(&row, 1), number(&row, 2));
        let floats_at = density(brix / 100.0, celsius).unwrap() * (1.0 + 25e-6 * (celsius - 20.0));
        let reading = density((brix - correction) / 100.0, 20.0).unwrap();
        assert_close(floats_at, reading, 0.2, &row);
    }
}

/// OIV-MA-AS2-03B: extract in grams per litre over relative density 20/20. One column was
/// computed elsewhere from the same formula, to 0.1 g/l; the other are the table's values, from
/// memory.
#[test]
fn extract_agrees_with_the_wine_tables() {
    for row in table(include_str!("../../data/liquid/oiv_extract.csv")) {
        let wanted = number(&row, 0) * density(0.0, 20.0).unwrap();
        let w = mass_fraction(number(&row, 1)).unwrap();
        // 0.05 g/l of rounding is 0.02 kg/m3.
        assert_close(density(w, 20.0).unwrap(), wanted, 0.02, &row);
        if !row[2].is_empty() {
            let w = mass_fraction(number(&row, 2)).unwrap();
            assert_close(density(w, 20.0).unwrap(), wanted, 0.06, &row);
        }
    }
}

#[test]
fn a_syrup_at_the_bound_is_accepted_and_one_beyond_is_not() {
    let syrup = Composition::from_brix(75.0).unwrap();
    let estimate = syrup.density(20.0).unwrap();
    assert_eq!(estimate.model, Model::IcumsaSps4);
    assert_close(
        syrup.sugar_g_per_l,
        0.75 * estimate.density,
        1e-6,
        "75 Brix",
    );
    assert_close(
        HIGHEST_G_PER_L,
        grams_per_litre(0.75).unwrap(),
        1e-9,
        "75 Brix",
    );
    assert_close(
        HIGHEST_G_PER_L_MEASURED,
        grams_per_litre(0.85).unwrap(),
        1e-9,
        "85 Brix",
    );
    assert_eq!(
        Composition::from_brix(76.0).unwrap_err(),
        LiquidError::Brix(76.0)
    );
    let thick = Composition::from_label(0.0, 1100.0).unwrap_err();
    assert_eq!(thick, LiquidError::Sugar(1100.0));
    assert_eq!(
        thick.to_string(),
        "sugar 1100 g/l lies outside 0 to 1035 g/l (75 Brix), or to 1229 g/l (85 Brix) where \
         the density is measured"
    );
}

#[test]
fn a_syrup_below_zero_is_refused() {
    let syrup = Composition::from_brix(50.0).unwrap();
    assert!(syrup.density(0.0).is_ok());
    assert_eq!(
        syrup.density(-1.0).unwrap_err(),
        LiquidError::Freezing {
            celsius: -1.0,
            lowest: 0.0
        }
    );
}
