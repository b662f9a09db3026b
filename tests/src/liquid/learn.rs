//! Learning a bottle from a known volume: worked from published tables, and as sure as it says.

use pennyweight_core::liquid::learn::{Impossible, Uncertain, Weighing, strength, sugar};
use pennyweight_core::liquid::{Composition, LiquidError};
use proptest::prelude::*;
use rand::{RngExt, SeedableRng};
use rand_distr::{Distribution, Normal};
use rand_pcg::Pcg64Mcg;

use super::{assert_close, number, table};

/// What a scale shows of `ml` of a liquid of `density` kg/m3, by the definition of conventional
/// mass (OIML D 28, 4.1: weights of 8000 kg/m3 in air of 1.2 kg/m3), written out anew.
fn shown_g(ml: f64, density: f64) -> f64 {
    let mass = ml * density / 1000.0;
    (mass - ml * 1.2 / 1000.0) / (1.0 - 1.2 / 8000.0)
}

fn weighing(ml: f64, density: f64, celsius: f64) -> Weighing {
    Weighing {
        volume_ml: ml,
        volume_sigma_ml: 0.005 * ml,
        shown_g: shown_g(ml, density),
        shown_sigma_g: 0.03,
        celsius,
    }
}

fn exactly(density: f64) -> Uncertain {
    Uncertain {
        value: density,
        sigma: 0.0,
    }
}

/// ISO 8655-6, table of Z: at 20 degC and 1013 hPa a gram shown of water is 1.0029 ul a
/// milligram, so 100 ml show 99.711 g; water has 998.2 kg/m3 (CRC). Air of that table is 1.2.
#[test]
fn water_weighs_what_pipettes_are_calibrated_with() {
    let found = Weighing {
        shown_g: 100.0 / 1.0029,
        ..weighing(100.0, 998.2, 20.0)
    }
    .density()
    .unwrap();
    // The fourth decimal of Z is 0.1 kg/m3.
    assert_close(found.value, 998.2, 0.06, found);
}

/// Lange's Handbook: ethanol and water by mass; the strength follows from the density, at each of
/// the table's temperatures, within what the table's last digits and R 22 leave (0.10 kg/m3).
#[test]
fn strength_of_the_handbook_s_mixtures() {
    for row in table(include_str!("../../data/liquid/ethanol_water_lange.csv")) {
        let (percent, celsius, density) = (number(&row, 0), number(&row, 1), number(&row, 2));
        let found = weighing(50.0, density, celsius).density().unwrap();
        let learned = strength(found, celsius, 0.0).unwrap();
        // By volume at 20 degC: mass fraction times density there over that of ethanol, 789.24
        // (OIML R 22); the density there by the core, which other checks hold to the table.
        let at_20 = pennyweight_core::liquid::ethanol::density(percent / 100.0, 20.0).unwrap();
        let by_volume = percent / 100.0 * at_20 / 789.24;
        // Where the density hardly answers to the strength 0.10 kg/m3 is 0.2 % vol.
        assert_close(learned.value, by_volume.min(1.0), 0.003, &row);
    }
}

/// CRC Handbook: sucrose solutions at 20 degC; the sugar of a syrup without strength.
#[test]
fn sugar_of_the_handbook_s_syrups() {
    for row in table(include_str!("../../data/liquid/sucrose_crc.csv")) {
        let (percent, density) = (number(&row, 0), number(&row, 1));
        if percent > 70.0 {
            continue;
        }
        let found = weighing(50.0, density, 20.0).density().unwrap();
        let learned = sugar(found, 20.0, 0.0).unwrap();
        // The formula lies within 0.3 kg/m3 of the table, which is 0.8 g/l.
        assert_close(learned.value, percent / 100.0 * density, 1.0, &row);
    }
}

/// The table of typical liquids, whose densities another evaluation of the relation gave: from
/// what a scale shows of 50 ml to density, sugar and strength, within the uncertainty stated.
#[test]
fn typical_liquids_come_back() {
    for row in table(include_str!("../../data/liquid/typical_liquids.csv")) {
        let (abv, sweet, density) = (number(&row, 1), number(&row, 2), number(&row, 3));
        let found = weighing(50.0, density, 20.0).density().unwrap();
        assert_close(found.value, density, 1e-6, &row);
        let by_strength = sugar(found, 20.0, abv / 100.0).unwrap();
        // The table has one decimal: 0.05 kg/m3 are 0.13 g/l.
        assert_close(by_strength.value, sweet, 0.3, &row);
        assert!(
            by_strength.sigma > 10.0 && by_strength.sigma < 45.0,
            "{by_strength:?}"
        );
        if abv > 0.0 {
            let by_sugar = strength(found, 20.0, sweet).unwrap();
            assert_close(100.0 * by_sugar.value, abv, 0.15, &row);
            assert!(
                by_sugar.sigma > 0.015 && by_sugar.sigma < 0.12,
                "{by_sugar:?}"
            );
        }
    }
}

/// Simulated weighings with drawn errors of volume, scale and label: the spread of what is learned
/// is the one foretold, and the truth lies within two sigma in about 95 of 100.
#[test]
fn the_uncertainty_is_the_one_that_draws_show() {
    const DRAWS: usize = 4000;
    let mut random = Pcg64Mcg::seed_from_u64(20);
    for (abv, sweet) in [(24.0, 238.0), (40.0, 0.0), (17.0, 150.0), (28.0, 320.0)] {
        let truth = Composition::from_label(abv, sweet).unwrap();
        let density = truth.density(20.0).unwrap().density;
        let volume = Normal::new(50.0, 0.25).unwrap();
        let scale = Normal::new(0.0, 0.05).unwrap();
        let mut densities = Vec::new();
        let mut sugars = Vec::new();
        let (mut sigma_density, mut sigma_sugar, mut held) = (0.0, 0.0, 0);
        for _ in 0..DRAWS {
            let weighed = Weighing {
                volume_ml: 50.0,
                volume_sigma_ml: 0.25,
                shown_g: shown_g(volume.sample(&mut random), density) + scale.sample(&mut random),
                shown_sigma_g: 0.05,
                celsius: 20.0,
            };
            let found = weighed.density().unwrap();
            held += usize::from((found.value - density).abs() <= 2.0 * found.sigma);
            densities.push(found.value);
            sigma_density = found.sigma;
            let label = abv / 100.0 + random.random_range(-0.003..0.003);
            if sweet > 0.0 {
                let learned = sugar(found, 20.0, label).unwrap();
                sugars.push(learned.value);
                sigma_sugar = learned.sigma;
            }
        }
        let share = held as f64 / DRAWS as f64;
        assert!((0.94..=0.965).contains(&share), "{abv} % vol: {share}");
        assert_close(spread(&densities) / sigma_density, 1.0, 0.05, (abv, sweet));
        if sweet > 0.0 {
            // The relation's own uncertainty is not drawn: it may only make the figure larger.
            let ratio = spread(&sugars) / sigma_sugar;
            assert!((0.85..=1.03).contains(&ratio), "{abv} % vol: {ratio}");
        }
    }
}

fn spread(values: &[f64]) -> f64 {
    let mean = values.iter().sum::<f64>() / values.len() as f64;
    let squares: f64 = values.iter().map(|value| (value - mean).powi(2)).sum();
    (squares / (values.len() - 1) as f64).sqrt()
}

#[test]
fn what_cannot_be_is_refused_with_its_bound() {
    // 40 % vol has 948.0 kg/m3 (typical_liquids.csv): without sugar nothing of it is lighter.
    let Err(Impossible::TooLight { density, least }) = sugar(exactly(930.0), 20.0, 0.40) else {
        panic!("lighter than its strength allows");
    };
    assert_close(density, 930.0, 1e-9, "density");
    assert_close(least, 948.0, 0.1, "bound");
    // Within two sigma it is a spirit without sugar.
    let nearly = Uncertain {
        value: 940.0,
        sigma: 4.7,
    };
    assert_eq!(sugar(nearly, 20.0, 0.40).map(|sugar| sugar.value), Ok(0.0));
    // Sugar and water reach 1379 kg/m3 at 75 % (CRC has 1.3790).
    let Err(Impossible::TooDense { most, .. }) = sugar(exactly(1400.0), 20.0, 0.0) else {
        panic!("denser than a syrup can be");
    };
    assert_close(most, 1379.0, 0.5, "bound");
    assert!(matches!(
        sugar(exactly(1300.0), 20.0, 0.40),
        Err(Impossible::TooDense { most, .. }) if most < 1300.0
    ));
    // No strength makes anything of 1200 kg/m3 with 100 g/l, nor of 750 without sugar.
    assert!(matches!(
        strength(exactly(1200.0), 20.0, 100.0),
        Err(Impossible::TooDense { most, .. }) if (most - 1036.7).abs() < 0.3
    ));
    assert!(matches!(
        strength(exactly(760.0), 20.0, 0.0),
        Err(Impossible::TooLight { least, .. }) if (least - 789.24).abs() < 0.1
    ));
    // A measure half full, and one of mercury.
    for (ml, bound) in [(25.0, 750.0), (100.0, 1500.0)] {
        let odd = Weighing {
            shown_g: shown_g(ml, 998.2),
            ..weighing(50.0, 998.2, 20.0)
        };
        assert!(matches!(
            odd.density(),
            Err(Impossible::NoLiquid { bound: b, .. }) if b == bound
        ));
    }
    let no_volume = weighing(0.0, 998.2, 20.0).density();
    assert_eq!(no_volume, Err(Impossible::Figure(LiquidError::Volume(0.0))));
    let too_warm = weighing(50.0, 998.2, 41.0).density();
    assert_eq!(
        too_warm,
        Err(Impossible::Figure(LiquidError::Temperature(41.0)))
    );
}

proptest! {
    /// What the model makes of a label is learned back from its density, either way.
    #[test]
    fn round_trips(abv in 0.5..60.0_f64, sweet in 1.0..400.0_f64, celsius in 2.0..35.0_f64) {
        if let Ok(liquid) = Composition::from_label(abv, sweet)
            && let Ok(estimate) = liquid.density(celsius)
        {
            let density = exactly(estimate.density);
            let found = sugar(density, celsius, abv / 100.0);
            prop_assert!(found.is_ok_and(|it| (it.value - sweet).abs() < 0.01), "{found:?}");
            let found = strength(density, celsius, sweet);
            prop_assert!(found.is_ok_and(|it| (100.0 * it.value - abv).abs() < 0.01), "{found:?}");
        }
    }

    /// A denser liquid of the same label holds more sugar; with the same sugar it is weaker.
    #[test]
    fn monotone(a in 800.0..1350.0_f64, more in 0.1..50.0_f64, known in 0.0..0.6_f64) {
        if let (Ok(low), Ok(high)) =
            (sugar(exactly(a), 20.0, known), sugar(exactly(a + more), 20.0, known))
        {
            // Equal where both stand at a bound.
            prop_assert!(low.value <= high.value);
        }
        let sweet = 500.0 * known;
        if let (Ok(low), Ok(high)) =
            (strength(exactly(a), 20.0, sweet), strength(exactly(a + more), 20.0, sweet))
        {
            prop_assert!(low.value >= high.value);
        }
    }

    /// Figures from anywhere: an answer without a NaN, or an error.
    #[test]
    fn never_not_a_number(
        value in any::<f64>(), sigma in any::<f64>(), celsius in any::<f64>(), known in any::<f64>(),
        near in 700.0..1500.0_f64, warm in -15.0..45.0_f64, share in -0.1..1.1_f64,
    ) {
        let sound = |found: Result<Uncertain, Impossible>| {
            found.is_err() || found.is_ok_and(|it| it.value.is_finite() && !it.sigma.is_nan())
        };
        for (density, celsius, known) in [
            (Uncertain { value, sigma }, celsius, known),
            (Uncertain { value: near, sigma: 5.0 }, warm, share),
        ] {
            prop_assert!(sound(sugar(density, celsius, known)));
            prop_assert!(sound(strength(density, celsius, known * 900.0)));
            let weighing = Weighing {
                volume_ml: known,
                volume_sigma_ml: density.sigma,
                shown_g: density.value,
                shown_sigma_g: sigma,
                celsius,
            };
            prop_assert!(sound(weighing.density()));
        }
    }
}
