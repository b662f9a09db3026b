//! The fix after an over-pour: its ratios, and that it is the smallest.

use pennyweight_core::build::fix::{Part, growth};
use pennyweight_core::units::Grams;
use proptest::prelude::*;

fn part(target: f32, poured: f32) -> Part {
    Part {
        target: Grams(target),
        poured: Grams(poured),
        least: Grams(1.0),
        share: 0.05,
    }
}

fn parts() -> impl Strategy<Value = Vec<Part>> {
    let one = (2.0_f32..90.0, 0.0_f32..1.6, any::<bool>())
        .prop_map(|(target, share, begun)| part(target, if begun { share * target } else { 0.0 }));
    prop::collection::vec(one, 1..9)
}

/// 45 : 30 : 22 with the 30 poured as 36, by hand: 36 g lie within 5 % of k x 30 from
/// k = 36 / 31.5 = 1.143 on; then 51.4 and 25.1 are asked for, so 6.4 and 3.1 are added.
#[test]
fn a_worked_example() {
    let drink = [part(45.0, 45.0), part(30.0, 36.0), part(22.0, 22.0)];
    let grown = growth(drink);
    assert!((grown - 1.1429).abs() < 1e-4, "{grown}");
    assert!((drink[0].missing(grown).unwrap().0 - 6.43).abs() < 0.01);
    assert_eq!(drink[1].missing(grown), None);
    assert!((drink[2].missing(grown).unwrap().0 - 3.143).abs() < 0.01);
}

#[test]
fn a_drink_within_its_bands_does_not_grow() {
    let drink = [part(45.0, 46.9), part(30.0, 29.0), part(22.0, 0.0)];
    assert!((growth(drink) - 1.0).abs() < f32::EPSILON);
}

proptest! {
    /// Every ratio is within tolerance of the grown spec afterwards, and nothing is taken out.
    #[test]
    fn ratios_are_right_after_it(drink in parts()) {
        let grown = growth(drink.iter().copied());
        prop_assert!(grown >= 1.0);
        for part in &drink {
            let mended = part.mended(grown);
            prop_assert!(mended >= part.poured);
            let off = (mended.0 - grown * part.target.0).abs();
            let band = part.least.0.max(part.share * grown * part.target.0);
            prop_assert!(off <= band + 1e-3 * part.target.0, "{part:?} in {grown}");
        }
    }

    /// A drink grown by a little less leaves something over.
    #[test]
    fn it_is_the_smallest(drink in parts()) {
        let grown = growth(drink.iter().copied());
        prop_assume!(grown > 1.001);
        let less = 0.999 * grown;
        let over = drink.iter().any(|part| {
            let band = part.least.0.max(part.share * less * part.target.0);
            part.poured.0 > less * part.target.0 + band
        });
        prop_assert!(over);
    }

    /// A second over-pour while it is being mended is mended in turn.
    #[test]
    fn two_over_pours_in_one_drink(drink in parts(), which in any::<prop::sample::Index>(), by in 1.0_f32..1.5) {
        let first = growth(drink.iter().copied());
        let mut mended: Vec<Part> = drink.iter().map(|part| Part { poured: part.mended(first), ..*part }).collect();
        let which = which.index(mended.len());
        mended[which].poured = mended[which].poured * by;
        let second = growth(mended.iter().copied());
        prop_assert!(second >= first * 0.999);
        for part in &mended {
            let off = (part.mended(second).0 - second * part.target.0).abs();
            let band = part.least.0.max(part.share * second * part.target.0);
            prop_assert!(off <= band + 1e-3 * part.target.0);
        }
    }
}

#[test]
fn a_part_without_a_target_asks_for_nothing() {
    let drink = [part(0.0, 3.0), part(30.0, 30.0)];
    assert!((growth(drink) - 1.0).abs() < f32::EPSILON);
    assert_eq!(drink[0].missing(1.0), None);
}
