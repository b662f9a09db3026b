//! What a glass holds.

use pennyweight_core::liquid::{Composition, Contents, LiquidError, Measured, Mixture, ethanol};

use super::{assert_close, number, table};

fn label(abv: f64, sugar: f64) -> Composition {
    Composition::from_label(abv, sugar).unwrap()
}

fn of(pours: &[(Composition, f64)]) -> Contents {
    let mut glass = Mixture::default();
    for (liquid, grams) in pours {
        glass.add(liquid, *grams, 0.0).unwrap();
    }
    glass.contents().unwrap()
}

#[test]
fn an_empty_glass_holds_nothing() {
    assert_eq!(Mixture::default().contents().unwrap(), Contents::default());
}

/// Mixing by Lange's Handbook at 20 degC: so many grams of one mass percentage and of another
/// make a third, whose density the table gives. The volumes before and after, and so the
/// contraction, are the handbook's; 0.1 kg/m3 is 0.012 % of the volume.
#[test]
fn contraction_agrees_with_the_handbook() {
    let rows = table(include_str!("../../data/liquid/ethanol_water_lange.csv"));
    let handbook = |percent: f64| {
        rows.iter()
            .find(|r| number(r, 0) == percent && &r[1] == "20")
            .map(|r| number(r, 2))
            .unwrap()
    };
    for (strong, weak, result) in [
        (100.0, 0.0, 50.0),
        (90.0, 0.0, 45.0),
        (60.0, 20.0, 40.0),
        (50.0, 0.0, 25.0),
        (80.0, 40.0, 60.0),
        (40.0, 10.0, 25.0),
    ] {
        let pour = |percent: f64| Composition {
            strength: ethanol::strength(percent / 100.0).unwrap(),
            ..Composition::default()
        };
        let held = of(&[(pour(strong), 50.0), (pour(weak), 50.0)]);
        let expected = 100_000.0 / handbook(result);
        assert_close(held.volume_ml, expected, 1.2e-4 * expected, (strong, weak));
        let before = 50_000.0 / handbook(strong) + 50_000.0 / handbook(weak);
        let own = 50_000.0 / pour(strong).density(20.0).unwrap().density
            + 50_000.0 / pour(weak).density(20.0).unwrap().density;
        assert_close(
            own - held.volume_ml,
            before - expected,
            0.02,
            (strong, weak),
        );
        let abv = result * handbook(result) / handbook(100.0);
        assert_close(held.abv_percent, abv, 0.015, (strong, weak));
    }
}

/// 50 ml of ethanol and 50 ml of water at 20 degC make about 96.4 ml: from the handbook, 39.46 g
/// and 49.91 g are 44.15 % by mass, between its rows of 44 (926.82) and 45 % (924.69).
#[test]
fn fifty_and_fifty_do_not_make_a_hundred() {
    let held = of(&[
        (label(100.0, 0.0), 50.0 * 0.78934),
        (Composition::default(), 50.0 * 0.99820),
    ]);
    let percent = 100.0 * 39.467 / (39.467 + 49.91);
    let density = 926.82 + (percent - 44.0) * (924.69 - 926.82);
    assert_close(held.volume_ml, 89_377.0 / density, 0.012, "50 + 50");
    assert_close(held.volume_ml, 96.4, 0.1, "50 + 50");
}

/// Water added as melt counts as water poured.
#[test]
fn melt_water_dilutes() {
    let spirit = label(50.0, 0.0);
    let mut glass = Mixture::default();
    glass.add(&spirit, 60.0, 0.0).unwrap();
    glass.add_water(30.0, 0.0);
    let (melted, poured) = (
        glass.contents().unwrap(),
        of(&[(spirit, 60.0), (Composition::default(), 30.0)]),
    );
    assert_eq!(melted.volume_ml, poured.volume_ml);
    assert_eq!(melted.abv_percent, poured.abv_percent);
    assert_eq!(melted.ethanol_g, poured.ethanol_g);
}

/// Syrups by mass: equal masses of 60 and 20 Brix are 40 Brix, 1176.5 kg/m3 (CRC Handbook).
#[test]
fn syrups_mix_by_mass() {
    let brix = |b: f64| Composition::from_brix(b).unwrap();
    let held = of(&[(brix(60.0), 40.0), (brix(20.0), 40.0)]);
    let crc = table(include_str!("../../data/liquid/sucrose_crc.csv"))
        .iter()
        .find(|r| &r[0] == "40")
        .map(|r| number(r, 1))
        .unwrap();
    assert_close(held.volume_ml, 80_000.0 / crc, 0.02, "40 Brix");
    assert_close(held.sugar_g_per_l, 0.4 * crc, 0.2, "40 Brix");
    assert_eq!(held.ethanol_g, 0.0);
}

/// One liquid alone gives back its own volume and its own label, whatever it is made of.
#[test]
fn a_single_liquid_keeps_its_volume_and_its_label() {
    let mut liquids: Vec<Composition> =
        table(include_str!("../../data/liquid/typical_liquids.csv"))
            .iter()
            .map(|row| label(number(row, 1), number(row, 2)))
            .collect();
    for (abv, sugar, density) in [
        (0.0, 90.0, 1045.0),
        (17.0, 250.0, 1080.0),
        (0.0, 0.0, 994.0),
    ] {
        for at in [4.0, 20.0] {
            liquids.push(Composition {
                strength: abv / 100.0,
                sugar_g_per_l: sugar,
                measured: Some(Measured { density, at }),
            });
        }
    }
    for liquid in liquids {
        let density = liquid.density(20.0).unwrap().density;
        let held = of(&[(liquid, 45.0), (liquid, 0.3)]);
        let ml = 45_300.0 / density;
        assert_close(held.volume_ml, ml, 1e-9, liquid);
        assert_close(held.abv_percent, 100.0 * liquid.strength, 1e-8, liquid);
        assert_close(held.sugar_g_per_l, liquid.sugar_g_per_l, 1e-7, liquid);
        // 789.24 kg/m3 is what R 22 defines for ethanol.
        assert_close(held.ethanol_g, liquid.strength * ml * 0.78924, 1e-4, liquid);
    }
}

/// Two liquids of measured density do not lose what sets them apart from their models.
#[test]
fn measured_liquids_keep_their_departure_in_a_mixture() {
    let cream = Composition {
        measured: Some(Measured {
            density: 994.0,
            at: 20.0,
        }),
        ..Composition::default()
    };
    let juice = Composition {
        sugar_g_per_l: 20.0,
        measured: Some(Measured {
            density: 1035.0,
            at: 20.0,
        }),
        ..Composition::default()
    };
    let held = of(&[(cream, 30.0), (juice, 30.0)]);
    // Neither holds ethanol: nothing contracts but sugar in water, by less than 0.01 ml.
    assert_close(
        held.volume_ml,
        30_000.0 / 994.0 + 30_000.0 / 1035.0,
        0.01,
        "both",
    );
}

#[test]
fn refuses_a_mass_that_is_none_and_adds_nothing() {
    let spirit = label(40.0, 0.0);
    let mut glass = Mixture::default();
    glass.add(&spirit, 30.0, 0.1).unwrap();
    let before = glass;
    assert_eq!(glass.add(&spirit, -1.0, 0.1), Err(LiquidError::Mass(-1.0)));
    assert_eq!(
        glass.add(&spirit, f64::NAN, 0.1),
        Err(LiquidError::NotANumber)
    );
    let mut wrong = spirit;
    wrong.strength = 1.2;
    assert_eq!(
        glass.add(&wrong, 30.0, 0.1),
        Err(LiquidError::Strength(1.2))
    );
    for water in [f64::NAN, -3.0, f64::INFINITY] {
        glass.add_water(water, 0.1);
        glass.add_water(1.0, water);
    }
    assert_eq!(glass.add(&spirit, 1.0, -0.1), Err(LiquidError::Mass(-0.1)));
    assert_eq!(
        glass.add(&spirit, 1.0, f64::NAN),
        Err(LiquidError::NotANumber)
    );
    assert_eq!(glass, before);
}
