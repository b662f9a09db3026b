//! Amounts against NIST Handbook 44, Appendix C.

use pennyweight_core::spec::{Amount, AmountError, House, Quantity, Unit};
use proptest::prelude::*;

/// A US fluid ounce in millilitres: 231 cubic inches to the gallon, 128 to the gallon
/// (NIST Handbook 44, Appendix C).
const US_FLUID_OUNCE_ML: f64 = 29.573_529_562_5;

fn microlitres(text: &str) -> u32 {
    match Amount::parse(text).map(|amount| amount.quantity) {
        Ok(Quantity::Volume(ul)) => ul,
        other => panic!("{text}: {other:?}"),
    }
}

/// The table of NIST Handbook 44, Appendix C, in ounces, and the same to the microlitre.
#[test]
fn ounces_agree_with_handbook_44() {
    for (text, ml, ul) in [
        ("1 oz", 29.573_529_562_5, 29_574),
        ("1/6 oz", 4.928_921_593_75, 4_929),     // a teaspoon
        ("1/2 oz", 14.786_764_781_25, 14_787),   // a tablespoon
        ("1/8 oz", 3.696_691_195_312_5, 3_697),  // a fluid dram
        ("8 oz", 236.588_236_5, 236_588),        // a cup
        ("128 oz", 3_785.411_784, 3_785_412),    // a gallon
        ("1 1/2 oz", 44.360_294_343_75, 44_360), // the rest are multiples
        ("1.5 oz", 44.360_294_343_75, 44_360),
        ("3/2 oz", 44.360_294_343_75, 44_360),
        ("3/4 oz", 22.180_147_171_875, 22_180),
        ("1/3 oz", 9.857_843_187_5, 9_858),
        ("2/3 oz", 19.715_686_375, 19_716),
        ("1/4 oz", 7.393_382_390_625, 7_393),
        ("1 3/4 oz", 51.753_676_734_375, 51_754),
        ("2 fl oz", 59.147_059_125, 59_147),
    ] {
        assert_eq!(microlitres(text), ul, "{text}");
        assert!((f64::from(ul) / 1_000.0 - ml).abs() <= 0.000_5, "{text}");
    }
}

#[test]
fn metric_amounts_are_exact() {
    for (text, quantity, unit) in [
        ("45 ml", Quantity::Volume(45_000), Unit::Ml),
        ("45ml", Quantity::Volume(45_000), Unit::Ml),
        ("22.5 mL", Quantity::Volume(22_500), Unit::Ml),
        (".5 ml", Quantity::Volume(500), Unit::Ml),
        ("0.0005 ml", Quantity::Volume(1), Unit::Ml), // halves up
        ("4.5 cl", Quantity::Volume(45_000), Unit::Cl),
        ("2000 cl", Quantity::Volume(20_000_000), Unit::Cl),
        ("12 g", Quantity::Mass(12_000), Unit::Gram),
        ("0.1 g", Quantity::Mass(100), Unit::Gram),
        ("2 dashes", Quantity::Count(2), Unit::Dash),
        ("1 dash", Quantity::Count(1), Unit::Dash),
        ("1 barspoon", Quantity::Count(1), Unit::Barspoon),
        ("2 barspoons", Quantity::Count(2), Unit::Barspoon),
        ("3 drops", Quantity::Count(3), Unit::Drop),
        ("2 pieces", Quantity::Count(2), Unit::Piece),
        ("1\u{BD} oz", Quantity::Volume(44_360), Unit::Oz),
        ("1 \u{BD} oz", Quantity::Volume(44_360), Unit::Oz),
        ("\u{2154} oz", Quantity::Volume(19_716), Unit::Oz),
    ] {
        assert_eq!(Amount::parse(text), Ok(Amount { quantity, unit }), "{text}");
    }
}

#[test]
fn what_is_no_amount_is_refused() {
    for (text, error) in [
        ("", AmountError::Number),
        ("ml", AmountError::Number),
        (". ml", AmountError::Number),
        ("4. ml", AmountError::Number),
        ("/2 oz", AmountError::Number),
        ("4,5 cl", AmountError::Comma),
        ("1/0 oz", AmountError::Fraction),
        ("1/100 oz", AmountError::Fraction),
        ("1 3/2 oz", AmountError::Fraction),
        ("1 /2 oz", AmountError::Unit),
        ("1.1234567 ml", AmountError::Digits),
        ("1234567890 ml", AmountError::Digits),
        ("45", AmountError::Unit),
        ("45 mll", AmountError::Unit),
        ("45 50 ml", AmountError::Unit),
        ("1/2 dash", AmountError::Whole),
        ("1.5 barspoons", AmountError::Whole),
        ("0 ml", AmountError::Range),
        ("0.0004 ml", AmountError::Range),
        ("-5 ml", AmountError::Range),
        ("20001 ml", AmountError::Range),
        ("677 oz", AmountError::Range),
        ("999999999 oz", AmountError::Range),
        ("20000.001 g", AmountError::Range),
        ("100 dashes", AmountError::Range),
    ] {
        assert_eq!(Amount::parse(text), Err(error), "{text}");
    }
}

#[test]
fn an_error_says_what_would_be_right() {
    let error = Amount::parse("30 l")
        .expect_err("no unit of ours")
        .to_string();
    assert!(error.contains("use ml, cl, oz, g"), "{error}");
    let error = Amount::parse("21000 ml").expect_err("too much").to_string();
    assert!(error.contains("at most 20 l"), "{error}");
}

#[test]
fn house_measures_make_volumes_of_counts() {
    let house = House {
        dash_ul: 800,
        barspoon_ul: 5_000,
        drop_ul: 50,
    };
    for (text, quantity) in [
        ("2 dashes", Quantity::Volume(1_600)),
        ("1 barspoon", Quantity::Volume(5_000)),
        ("3 drops", Quantity::Volume(150)),
        ("2 pieces", Quantity::Count(2)),
        ("45 ml", Quantity::Volume(45_000)),
        ("12 g", Quantity::Mass(12_000)),
    ] {
        let amount = Amount::parse(text).expect(text);
        assert_eq!(amount.in_house(&house).quantity, quantity, "{text}");
        assert_eq!(amount.in_house(&house).unit, amount.unit, "{text}");
    }
}

proptest! {
    #[test]
    fn every_mixed_number_of_ounces_is_within_half_a_microlitre(
        whole in 0_u32..600, below in 2_u32..99, above in 1_u32..98,
    ) {
        prop_assume!(above < below);
        let ounces = f64::from(whole) + f64::from(above) / f64::from(below);
        let exact_ul = ounces * US_FLUID_OUNCE_ML * 1_000.0;
        let read_ul = f64::from(microlitres(&format!("{whole} {above}/{below} oz")));
        prop_assert!((read_ul - exact_ul).abs() <= 0.5 + 1e-6, "{read_ul} {exact_ul}");
    }

    #[test]
    fn no_text_makes_it_panic(text in "\\PC{0,40}") {
        let _ = Amount::parse(&text);
    }

    #[test]
    fn no_near_amount_makes_it_panic(text in "[-0-9./, \u{BD}]{0,24}(ml|oz|g|dash|drops)?") {
        let _ = Amount::parse(&text);
    }
}
