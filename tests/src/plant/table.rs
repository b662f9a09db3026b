//! The table and the draws made from it.

use pennyweight_core::spec::Family;
use pennyweight_sim::plant::draw::{Draws, Process};
use pennyweight_sim::plant::table::PLANT_TOML;
use pennyweight_sim::plant::{Hidden, Liquid, Table, handbook};

/// Whole numbers as decimals: the table writes 6 and means 6.0.
fn with_decimals(value: toml::Value) -> toml::Value {
    match value {
        toml::Value::Integer(whole) => toml::Value::Float(whole as f64),
        toml::Value::Array(items) => {
            toml::Value::Array(items.into_iter().map(with_decimals).collect())
        }
        toml::Value::Table(items) => toml::Value::Table(
            items
                .into_iter()
                .map(|(key, item)| (key, with_decimals(item)))
                .collect(),
        ),
        other => other,
    }
}

#[test]
fn the_echo_is_the_table_itself() {
    let written: toml::Value = toml::from_str(PLANT_TOML).unwrap();
    let echoed: toml::Value = toml::from_str(&Table::nominal().echo()).unwrap();
    assert_eq!(with_decimals(echoed), with_decimals(written));
}

#[test]
fn figures_are_read_out_of_the_sentences() {
    let table = Table::nominal();
    assert_eq!(
        table.hand.stop_reaction_s.figures,
        [0.150, 0.030, 0.040, 0.0, 0.030]
    );
    assert_eq!(
        table.hand.stop_with_ramp_s.figures,
        [0.3, 0.9, -0.008, 2.0, 0.045]
    );
    assert_eq!(
        table.converter.true_rate_error.figures,
        [70.0, -8.0, 8.0, 30.0, 10.0, 17.0]
    );
    assert_eq!(
        table.glass.slosh.figures,
        [5.0, 9.0, 25.0, 40.0, 2.4, 4.5, 1.4, 2.8, 0.3, 0.6]
    );
    assert_eq!(
        table.hand.eased_flow_g_s.figures,
        [3.2, 0.30, 70.0, 0.30, 0.08]
    );
    assert_eq!(table.hand.known.figures, [12.0]);
}

#[test]
fn an_ex_gaussian_has_the_mean_and_spread_of_its_parts() {
    // Mean mu + tau, variance sigma^2 + tau^2: sum of independent normal and exponential.
    let mut draws = Draws::new(11, Process::HandPour, 0);
    let count = 200_000;
    let drawn: Vec<f64> = (0..count)
        .map(|_| draws.ex_gaussian(0.150, 0.030, 0.040))
        .collect();
    let mean = drawn.iter().sum::<f64>() / f64::from(count);
    let variance = drawn.iter().map(|x| (x - mean).powi(2)).sum::<f64>() / f64::from(count);
    assert!((mean - 0.190).abs() < 0.0005, "{mean}");
    assert!(
        (variance.sqrt() - 0.050).abs() < 0.0005,
        "{}",
        variance.sqrt()
    );
}

#[test]
fn densities_agree_with_rows_the_interpolation_does_not_hold() {
    // Lange's Handbook, 10th ed., 20 degC: 33 and 41 % by mass; CRC Handbook: 60 and 32 % by mass.
    for (percent, density) in [
        (33.0, 948.57),
        (31.0, 952.09),
        (17.0, 972.56),
        (89.0, 820.60),
    ] {
        let abv = percent * density / 789.32;
        let found = handbook::density_kg_m3(abv, 0.0);
        assert!((found - density).abs() < 0.1, "{percent} %: {found}");
    }
    for (percent, density) in [(60.0, 1286.4), (32.0, 1136.6), (12.0, 1046.5)] {
        let found = handbook::density_kg_m3(0.0, percent / 100.0 * density);
        assert!((found - density).abs() < 0.5, "{percent} %: {found}");
    }
}

#[test]
fn buoyancy_agrees_with_the_conventional_mass_of_oiml_d_28() {
    // Shown over true mass by the definition of conventional mass, worked to six digits.
    for (density, share) in [(948.0, 0.998_884), (1000.0, 0.998_950), (1330.0, 0.999_248)] {
        assert!((handbook::shown_share(density) - share).abs() < 1e-6);
    }
}

#[test]
fn hidden_factors_move_what_they_name() {
    let table = Table::nominal();
    let low = Hidden::all(0.8).applied(&table);
    let fall = low.stream.fall_m.high;
    assert!((fall - 0.8 * table.stream.fall_m.high).abs() < 1e-12);
    assert_eq!(low.cell, table.cell);
    assert_eq!(Hidden::random(5, 0.2), Hidden::random(5, 0.2));
    assert_ne!(Hidden::random(5, 0.2), Hidden::random(6, 0.2));
    let spirit = Liquid::of_strength("rye whiskey", Family::Spirit, 40.0, 0.0);
    assert!((spirit.density_g_ml - 0.948).abs() < 2e-4);
}
