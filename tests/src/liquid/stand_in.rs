//! What could stand in for a liquid, and how much of it.

use pennyweight_core::liquid::stand_in::{Found, Profile, amounts};
use proptest::prelude::*;

use super::assert_close;

const ABSENT: (f64, f64) = (0.0, 0.0);

fn per_ml(abv: f64, sugar_g_per_l: f64, acid_g_per_l: f64) -> Profile {
    Profile {
        volume_ml: 1.0,
        ethanol_g: abv / 100.0 * 0.789_24,
        sugar_g: sugar_g_per_l / 1000.0,
        acid_g: acid_g_per_l / 1000.0,
    }
}

fn alone(rest: Profile, removed: Profile, with: Profile, bounds: (f64, f64)) -> Found {
    amounts(rest, removed, [with, Profile::default()], [bounds, ABSENT]).expect("bounded")
}

/// A liquid stands in for itself in its own amount, whatever the drink.
#[test]
fn a_liquid_stands_in_for_itself() {
    let spirit = per_ml(45.0, 0.0, 0.0);
    let syrup = per_ml(0.0, 615.0, 0.0);
    let sour = per_ml(0.0, 20.0, 60.0);
    for (rest, liquid, ml) in [
        (sour.times(25.0).and(syrup.times(20.0)), spirit, 50.0),
        (spirit.times(50.0).and(sour.times(25.0)), syrup, 20.0),
        (spirit.times(50.0).and(syrup.times(20.0)), sour, 25.0),
        (Profile::default(), spirit, 60.0),
    ] {
        let found = alone(rest, liquid.times(ml), liquid, (0.0, 200.0));
        assert_close(found.ml[0], ml, 1e-6, ml);
        assert!(found.cost < 1e-12, "{found:?}");
    }
}

/// By hand: 20 ml of a syrup of 615 g/l bring in 12.3 g of sugar. A syrup of 820 g/l brings in
/// as much in 15 ml; sugar to acid comes first, so the volume gives way.
#[test]
fn a_richer_syrup_takes_less() {
    let rest = per_ml(45.0, 0.0, 0.0)
        .times(50.0)
        .and(per_ml(0.0, 0.0, 60.0).times(25.0));
    let removed = per_ml(0.0, 615.0, 0.0).times(20.0);
    let found = alone(rest, removed, per_ml(0.0, 820.0, 0.0), (0.0, 60.0));
    assert_close(found.ml[0], 15.0, 0.02, "by hand");
    assert!(found.off[0].abs() < 0.002, "{found:?}");
}

/// By hand: 50 ml of 50 % vol hold as much alcohol as 62.5 ml of 40 % vol. The volume pulls back
/// a little, by the square of the weights.
#[test]
fn a_weaker_spirit_takes_more() {
    let rest = per_ml(15.0, 2.0, 0.0).times(22.5);
    let removed = per_ml(50.0, 0.0, 0.0).times(50.0);
    let found = alone(rest, removed, per_ml(40.0, 0.0, 0.0), (25.0, 100.0));
    assert_close(found.ml[0], 62.5, 0.8, "by hand");
    assert!(found.ml[0] < 62.5, "the volume pulls back: {found:?}");
    let held = alone(rest, removed, per_ml(40.0, 0.0, 0.0), (25.0, 60.0));
    assert_eq!(held.ml[0], 60.0, "no more than the bound");
}

/// Where one liquid misses both the alcohol and the sugar, two hit them: a sweet liqueur by a
/// spirit and a syrup. By hand: 30 ml of 25 % vol and 300 g/l hold 7.5 ml of alcohol and 9 g of
/// sugar, which 18.75 ml of 40 % vol and 10.98 ml of 820 g/l hold, in 29.7 ml.
#[test]
fn one_liquid_may_become_two() {
    let rest = per_ml(50.0, 0.0, 0.0)
        .times(30.0)
        .and(per_ml(0.0, 20.0, 60.0).times(25.0));
    let removed = per_ml(25.0, 300.0, 0.0).times(30.0);
    let with = [per_ml(40.0, 0.0, 0.0), per_ml(0.0, 820.0, 0.0)];
    let found = amounts(rest, removed, with, [(0.0, 60.0), (0.0, 60.0)]).expect("bounded");
    assert_close(found.ml[0], 18.75, 0.05, "spirit");
    assert_close(found.ml[1], 10.976, 0.03, "syrup");
    let one = alone(rest, removed, with[0], (0.0, 60.0));
    assert!(found.cost < 0.01 * one.cost, "{found:?} {one:?}");
}

/// Without acid there is no ratio: the sugar itself is kept.
#[test]
fn without_acid_the_sugar_is_kept() {
    let rest = per_ml(50.0, 0.0, 0.0).times(60.0);
    let removed = per_ml(0.0, 615.0, 0.0).times(5.0);
    let found = alone(rest, removed, per_ml(0.0, 1230.0, 0.0), (0.0, 60.0));
    assert_close(found.ml[0], 2.5, 0.01, "half as much");
}

#[test]
fn bounds_that_are_none_find_nothing() {
    let spirit = per_ml(40.0, 0.0, 0.0);
    let nothing = Profile::default();
    let try_bounds = |bounds| {
        amounts(
            nothing,
            spirit.times(30.0),
            [spirit, nothing],
            [bounds, ABSENT],
        )
    };
    assert_eq!(try_bounds((10.0, 5.0)), None);
    assert_eq!(try_bounds((f64::NAN, 5.0)), None);
}

fn any_liquid() -> impl Strategy<Value = Profile> {
    (0.0..70.0, 0.0..900.0, 0.0..80.0).prop_map(|(abv, sugar, acid)| per_ml(abv, sugar, acid))
}

proptest! {
    /// The amounts are the best there are: of a grid over the box, no point does better (the
    /// definition of a minimum), and they keep to their bounds.
    #[test]
    fn no_other_amounts_do_better(
        rest in any_liquid(),
        rest_ml in 1.0..120.0,
        removed in any_liquid(),
        ml in 5.0..60.0,
        first in any_liquid(),
        second in any_liquid(),
    ) {
        let (rest, removed) = (rest.times(rest_ml), removed.times(ml));
        let bounds = [(0.25 * ml, 2.0 * ml), (0.0, ml)];
        let found = amounts(rest, removed, [first, second], bounds).expect("bounded");
        for (value, (low, high)) in found.ml.iter().zip(bounds) {
            prop_assert!((low..=high).contains(value), "{:?}", found);
        }
        for i in 0..=20 {
            for j in 0..=20 {
                let at = |share: i32, (low, high): (f64, f64)| {
                    low + (high - low) * f64::from(share) / 20.0
                };
                let (x, y) = (at(i, bounds[0]), at(j, bounds[1]));
                let fixed = amounts(rest, removed, [first, second], [(x, x), (y, y)])
                    .expect("a point");
                prop_assert!(
                    found.cost <= fixed.cost * (1.0 + 1e-9) + 1e-12,
                    "{:?} {:?}", found, fixed
                );
            }
        }
    }
}
