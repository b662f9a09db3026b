//! What a card at the bar writes for an amount.

use pennyweight_core::spec::{Amount, CARD_TOLERANCE, CardAmount, Quantity};
use proptest::prelude::*;

fn ul(text: &str) -> u32 {
    match Amount::parse(text).expect("an amount").quantity {
        Quantity::Volume(ul) => ul,
        other => panic!("{other:?}"),
    }
}

/// Common practice, no source, but for the exact volumes: NIST Handbook 44, Appendix C, gives
/// 29.573 529 562 5 ml to the ounce, so 1 1/2 oz are 44.36, 1/3 oz 9.86 and 2 oz 59.15 ml.
#[test]
fn the_usual_pairs_stand_on_one_card() {
    for (ml, oz) in [
        ("45 ml", "1 1/2 oz"),
        ("10 ml", "1/3 oz"),
        ("60 ml", "2 oz"),
        ("30 ml", "1 oz"),
        ("15 ml", "1/2 oz"),
        ("7.5 ml", "1/4 oz"),
        ("22.5 ml", "3/4 oz"),
        ("20 ml", "2/3 oz"),
        ("50 ml", "1 2/3 oz"),
        ("90 ml", "3 oz"),
    ] {
        let from_ml = CardAmount::in_oz(ul(ml));
        let from_oz = CardAmount::in_ml(ul(oz));
        assert_eq!(from_ml.to_string(), oz, "{ml}");
        assert_eq!(from_oz.to_string(), ml, "{oz}");
        assert!(from_ml.moves(ul(ml)).abs() <= CARD_TOLERANCE, "{ml}");
        assert!(from_oz.moves(ul(oz)).abs() <= CARD_TOLERANCE, "{oz}");
    }
}

/// By the same handbook: 1 1/2 oz are 44 360 microlitres, 3/8 oz 11 090, 2/3 oz 19 716.
#[test]
fn a_written_amount_stands_for_its_exact_volume() {
    assert_eq!(CardAmount::in_oz(45_000).microlitres(), 44_360);
    assert_eq!(CardAmount::in_oz(11_000).microlitres(), 11_090);
    assert_eq!(CardAmount::in_oz(20_000).microlitres(), 19_716);
    assert_eq!(CardAmount::in_oz(11_000).to_string(), "3/8 oz");
}

/// A barspoon of 5 ml lies between 1/8 oz (3.70) and 1/4 oz (7.39); 25 ml is nearest 7/8 oz
/// (25.88 ml): by hand, 3.5 % more.
#[test]
fn what_no_card_can_write_is_told() {
    let quarter = CardAmount::in_oz(25_000);
    assert_eq!(quarter.to_string(), "7/8 oz");
    assert!((quarter.moves(25_000) - 0.035).abs() < 0.001);
    let spoon = CardAmount::in_oz(5_000);
    assert!(spoon.moves(5_000).abs() > CARD_TOLERANCE, "{spoon}");
}

/// The smallest and the largest amounts of a sheet are written too.
#[test]
fn the_ends_of_the_range_are_written() {
    assert_eq!(CardAmount::in_ml(1).to_string(), "0.5 ml");
    assert_eq!(CardAmount::in_oz(1).to_string(), "1/8 oz");
    assert_eq!(CardAmount::in_ml(20_000_000).to_string(), "20000 ml");
    assert_eq!(CardAmount::in_oz(0).moves(0), 0.0);
}

proptest! {
    /// What a card says is read back as what it stands for; and no amount that an eighth of an
    /// ounce (3.7 ml) can stand for is moved by more than half of that, or the tolerance.
    #[test]
    fn a_card_reads_back_as_it_was_written(amount in 500_u32..3_000_000) {
        for card in [CardAmount::in_ml(amount), CardAmount::in_oz(amount)] {
            prop_assert_eq!(ul(&card.to_string()), card.microlitres());
        }
        let eighth = 29_573.53 / 8.0;
        let moved = CardAmount::in_oz(amount).microlitres().abs_diff(amount);
        let most = (f64::from(amount) * CARD_TOLERANCE).max(0.5 * eighth + 1.0);
        let seen = f64::from(amount) > 0.5 * eighth;
        prop_assert!(!seen || f64::from(moved) <= most, "{} {}", amount, moved);
    }
}
