//! A mass shown in the unit of the sheet.

use pennyweight_core::spec::{Reading, Unit};
use pennyweight_core::units::Grams;
use proptest::prelude::*;

fn reading(grams: f32, per_ml: f32, unit: Unit) -> (i32, u8, Unit) {
    let Reading {
        value,
        decimals,
        unit,
    } = Reading::of_mass(Grams(grams), per_ml, unit);
    (value, decimals, unit)
}

/// 948.0 kg/m3 for a spirit of 40 % vol and 1229.5 for a syrup of 50 Brix are figures of
/// OIML R 22 and of the CRC Handbook; an ounce is that of NIST Handbook 44, Appendix C.
#[test]
fn readings_are_in_the_units_of_the_sheet() {
    let spirit = 0.948;
    let syrup = 1.2295;
    assert_eq!(reading(42.66, spirit, Unit::Ml), (45, 0, Unit::Ml));
    assert_eq!(reading(9.0, spirit, Unit::Ml), (95, 1, Unit::Ml)); // 9.494 ml
    assert_eq!(reading(-2.844, spirit, Unit::Ml), (-30, 1, Unit::Ml));
    assert_eq!(reading(42.66, spirit, Unit::Cl), (45, 1, Unit::Cl));
    assert_eq!(reading(4.74, spirit, Unit::Cl), (50, 2, Unit::Cl)); // 0.5 cl
    assert_eq!(reading(42.0536, spirit, Unit::Oz), (150, 2, Unit::Oz)); // 44.3603 ml
    assert_eq!(reading(36.885, syrup, Unit::Ml), (30, 0, Unit::Ml));
    assert_eq!(reading(12.34, syrup, Unit::Gram), (123, 1, Unit::Gram));
    assert_eq!(reading(0.8, spirit, Unit::Dash), (8, 1, Unit::Gram));
    assert_eq!(reading(-0.01, spirit, Unit::Gram), (0, 1, Unit::Gram));
}

#[test]
fn the_finer_step_ends_below_ten_millilitres() {
    assert_eq!(reading(9.94, 1.0, Unit::Ml), (99, 1, Unit::Ml));
    assert_eq!(reading(9.96, 1.0, Unit::Ml), (10, 0, Unit::Ml));
    assert_eq!(reading(9.94, 1.0, Unit::Cl), (99, 2, Unit::Cl));
    assert_eq!(reading(9.96, 1.0, Unit::Cl), (10, 1, Unit::Cl));
}

#[test]
fn what_is_no_number_still_reads() {
    assert_eq!(reading(f32::NAN, 1.0, Unit::Ml), (0, 1, Unit::Ml));
    assert_eq!(
        reading(f32::INFINITY, 1.0, Unit::Oz),
        (i32::MAX, 2, Unit::Oz)
    );
    for density in [0.0, -1.0, f32::NAN, f32::INFINITY] {
        assert_eq!(reading(5.0, density, Unit::Ml), (50, 1, Unit::Gram));
    }
}

proptest! {
    #[test]
    fn a_reading_is_within_half_its_last_digit(
        grams in -2_000.0_f32..2_000.0, per_ml in 0.7_f32..1.6,
    ) {
        for (unit, ml) in [(Unit::Ml, 1.0), (Unit::Cl, 10.0), (Unit::Oz, 29.573_529_562_5)] {
            let (value, decimals, _) = reading(grams, per_ml, unit);
            let digit = 0.1_f64.powi(i32::from(decimals));
            let exact = f64::from(grams) / f64::from(per_ml) / ml;
            let error = (f64::from(value) * digit - exact).abs();
            prop_assert!(error <= 0.5 * digit + 1e-6 * exact.abs(), "{unit:?} {error}");
        }
    }
}
