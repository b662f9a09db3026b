//! The floor of dilution, against calorimetry.

use pennyweight_core::liquid::dilution::{Chilling, expected};
use pennyweight_core::liquid::heat::LATENT;
use pennyweight_core::liquid::ice::{Chill, ChillError, Ice, Melt, STEEL_TINS, Vessel};
use pennyweight_core::liquid::{Composition, LiquidError, Mixture, ethanol, freezing_point};
use proptest::prelude::*;

use super::{assert_close, number, table};

/// Plenty of ice at 0 degC, drained.
const DRY: Ice = Ice {
    grams: 400.0,
    celsius: 0.0,
    wet: 0.0,
};

fn chill(from_c: f64, to_c: f64) -> Chill {
    Chill {
        from_c,
        to_c,
        ice: DRY,
        vessel: Vessel::NONE,
        room_j: 0.0,
    }
}

/// So many millilitres of a label.
fn drink(ml: f64, abv: f64, sugar: f64) -> Mixture {
    let liquid = Composition::from_label(abv, sugar).unwrap();
    let mut glass = Mixture::default();
    let grams = ml * liquid.density(20.0).unwrap().density / 1000.0;
    glass.add(&liquid, grams, 0.0).unwrap();
    glass
}

/// So many grams with this share of ethanol by mass, in percent.
fn of_mass_percent(percent: f64, grams: f64) -> Mixture {
    let liquid = Composition {
        strength: ethanol::strength(percent / 100.0).unwrap(),
        ..Composition::default()
    };
    let mut glass = Mixture::default();
    glass.add(&liquid, grams, 0.0).unwrap();
    glass
}

/// J/(g K) about a temperature, as the heat given off over 0.02 K tells.
fn heat_capacity(drink: &Mixture, celsius: f64) -> f64 {
    let high = (celsius + 0.01).min(40.0);
    let low = (high - 0.02).max(-10.0);
    let melt = chill(low + 0.02, low).floor(drink).unwrap();
    melt.drink_j / 0.02 / drink.total_g
}

/// Melinder 2010, every point of -5 to 40 degC and 5 to 60 % by mass, in the core's table or not.
/// Straight lines between its points cost at most 0.2 %.
#[test]
fn heat_capacity_agrees_with_the_published_table() {
    let rows = table(include_str!(
        "../../data/liquid/ethanol_water_heat_capacity.csv"
    ));
    let mut seen = 0;
    for row in &rows {
        let (percent, celsius) = (number(row, 0), number(row, 1));
        // Pure water is another source's; -10 degC and below has its own bound.
        if percent < 5.0 || celsius < -5.0 {
            continue;
        }
        let published = number(row, 2) / 1000.0;
        let here = heat_capacity(&of_mass_percent(percent, 100.0), celsius);
        assert_close(here / published, 1.0, 0.002, (percent, celsius));
        seen += 1;
    }
    assert!(seen > 70, "{seen}");
}

/// Pure water: 83.91 kJ/kg between 0 and 20 degC (IAPWS-95 at 101.325 kPa, from memory).
#[test]
fn water_has_its_published_enthalpy() {
    let melt = chill(20.0, 0.0).floor(&drink(100.0, 0.0, 0.0)).unwrap();
    assert_close(melt.drink_j / 99.82, 83.91, 0.08, "per gram");
}

/// 50 Brix at 20 degC: 3004 J/(kg K) (Llano 2005, after Bubnik 1995).
#[test]
fn a_syrup_has_its_published_heat_capacity() {
    let syrup = Composition::from_brix(50.0).unwrap();
    let mut glass = Mixture::default();
    glass.add(&syrup, 100.0, 0.0).unwrap();
    assert_close(heat_capacity(&glass, 20.0), 3.004, 0.003, "50 Brix");
}

/// Worked: 90 ml at 30 % vol from 22 to -3 degC over dry ice at 0 degC, no vessel. By
/// 0.087 kg x 4.2 kJ/(kg K) x 25 K = 9.1 kJ and 333 kJ/kg it is about 28 g, 31 % by volume. With
/// the heat capacity of its 25 % by mass, 4.28, and water that goes on to -3 degC it is a gram
/// more.
#[test]
fn the_worked_example() {
    let melt = chill(22.0, -3.0).floor(&drink(90.0, 30.0, 0.0)).unwrap();
    assert_close(melt.drink_j, 9.1e3, 200.0, "heat");
    assert_close(melt.melted_g, 28.0, 1.2, "melted");
    assert_close(melt.share, 0.31, 0.015, "share");
    assert_eq!(melt.celsius, -3.0);
}

/// Calorimetry at its simplest: m cp dT = melted x latent heat, for water that ends at 0 degC.
#[test]
fn the_latent_heat_identity() {
    let water = drink(100.0, 0.0, 0.0);
    for from in [1.0, 5.0, 20.0, 35.0] {
        let melt = chill(from, 0.0).floor(&water).unwrap();
        assert_close(melt.melted_g * 333.42, melt.drink_j, 1e-9, from);
        assert_close(melt.drink_j / (99.82 * from), 4.2, 0.03, from);
    }
    for at in [0.0, 4.0, 22.0] {
        let none = chill(at, at).floor(&drink(90.0, 30.0, 50.0)).unwrap();
        assert_eq!((none.melted_g, none.drink_j, none.celsius), (0.0, 0.0, at));
    }
}

/// A tin of 225 J/K that cools by 25 K melts 225 x 25 / (333.42 - 3 x 4.22) = 17.5 g more; ice of
/// which 2 g in a hundred are water brings those along, and their own 8 x 3 x 4.22 J.
#[test]
fn vessel_and_surface_water_come_on_top() {
    let base = chill(22.0, -3.0);
    let drink = drink(90.0, 30.0, 0.0);
    let dry = base.floor(&drink).unwrap();
    let mut tins = base;
    tins.vessel = Vessel {
        heat_capacity: STEEL_TINS,
        celsius: 22.0,
    };
    let each = 333.42 - 3.0 * 4.2194;
    let more = tins.floor(&drink).unwrap().melted_g - dry.melted_g;
    assert_close(more, 225.0 * 25.0 / each, 1e-9, "tins");
    let mut wet = base;
    wet.ice.wet = 0.02;
    let wet = wet.floor(&drink).unwrap();
    assert_eq!(wet.surface_g, 8.0);
    let more = 8.0 * 3.0 * 4.2194 / each;
    assert_close(wet.water_g, 8.0 + dry.melted_g + more, 1e-9, "wet");
}

/// Where a weak drink would freeze, it ends at the freezing point of what it has become.
#[test]
fn a_weak_drink_stops_at_its_freezing_point() {
    for abv in [5.0, 8.0, 12.0, 15.0] {
        let drink = drink(120.0, abv, 0.0);
        let melt = chill(22.0, -9.0).floor(&drink).unwrap();
        assert!(melt.celsius > -9.0, "{abv}: {melt:?}");
        let mass_fraction = drink.ethanol_g / (drink.total_g + melt.water_g);
        let freezes = freezing_point(mass_fraction);
        assert_close(melt.celsius, freezes, 1e-9, abv);
    }
    let water = chill(20.0, -3.0).floor(&drink(100.0, 0.0, 0.0)).unwrap();
    assert_close(water.celsius, 0.0, 1e-12, "water");
}

/// The floor lies below what stirring was found to melt: dry ice at 0 degC, no vessel, from 22 to
/// -3 degC, percent of the undiluted volume.
#[test]
fn the_floor_lies_below_the_expectation() {
    for (abv, floor, stirred) in [
        (20.0, 33.2, 34.6),
        (25.0, 32.8, 38.1),
        (30.0, 32.2, 41.0),
        (35.0, 31.4, 43.3),
        (40.0, 30.4, 45.0),
    ] {
        let melt = chill(22.0, -3.0).floor(&drink(90.0, abv, 0.0)).unwrap();
        let share = expected(Chilling::Stirred, abv / 100.0).unwrap().share;
        assert_close(100.0 * melt.share, floor, 0.1, abv);
        assert_close(100.0 * share, stirred, 0.06, abv);
        assert!(melt.share < share, "{abv}: {melt:?}");
        assert_eq!(melt.celsius, -3.0);
    }
}

/// What cannot be is refused, and the bound is named.
#[test]
fn out_of_bounds_is_an_error_that_names_the_bound() {
    let spirit = drink(60.0, 40.0, 0.0);
    let refused = |chill: Chill, drink: &Mixture| chill.floor(drink).unwrap_err();
    let with_ice = |ice: Ice| Chill {
        ice,
        ..chill(22.0, -3.0)
    };
    for (error, words) in [
        (refused(chill(41.0, 0.0), &spirit), "-10 to 40 degC"),
        (refused(chill(20.0, -11.0), &spirit), "-10 to 40 degC"),
        (refused(chill(0.0, 1.0), &spirit), "above 0 degC"),
        (
            refused(
                with_ice(Ice {
                    celsius: -21.0,
                    ..DRY
                }),
                &spirit,
            ),
            "-20 to 0 degC",
        ),
        (
            refused(
                with_ice(Ice {
                    celsius: 0.1,
                    ..DRY
                }),
                &spirit,
            ),
            "-20 to 0 degC",
        ),
        (
            refused(with_ice(Ice { wet: 1.1, ..DRY }), &spirit),
            "0 to 100 %",
        ),
        (
            refused(with_ice(Ice { grams: 10.0, ..DRY }), &spirit),
            "there are 10.0 g",
        ),
        (
            refused(chill(22.0, -3.0), &drink(60.0, 75.0, 0.0)),
            "above 60 %",
        ),
        (
            refused(chill(-4.0, -5.0), &drink(90.0, 3.0, 0.0)),
            "freezes",
        ),
        (
            refused(
                Chill {
                    room_j: -1.0,
                    ..chill(22.0, -3.0)
                },
                &spirit,
            ),
            "below 0",
        ),
    ] {
        let text = error.to_string();
        assert!(text.contains(words), "{text} does not name {words}");
    }
    let nothing = Mixture::default();
    assert_eq!(refused(chill(22.0, -3.0), &nothing), ChillError::Empty);
    assert_eq!(
        refused(chill(f64::NAN, -3.0), &spirit),
        ChillError::Liquid(LiquidError::NotANumber)
    );
}

/// Heat taken up by the ice, by the constants of the module's table: J.
fn taken_up(melt: &Melt, ice: Ice) -> f64 {
    assert!(melt.celsius <= 0.0);
    let water = 4.2194 * melt.celsius;
    let to_zero = -ice.celsius * (2.0967 + 0.5 * 0.007_345 * ice.celsius);
    melt.melted_g * (to_zero + LATENT + water) + melt.surface_g * water
}

fn melted(chill: Chill, drink: &Mixture) -> f64 {
    chill.floor(drink).unwrap().melted_g
}

proptest! {
    #[test]
    fn energy_closes(
        abv in 10.0..45.0,
        sugar in 0.0..150.0,
        from in 0.0..40.0,
        to in -8.0..=0.0,
        ice_c in -20.0..=0.0,
        wet in 0.0..0.03,
        capacity in 0.0..600.0,
        room_j in 0.0..3000.0,
    ) {
        let chill = Chill {
            ice: Ice { grams: 400.0, celsius: ice_c, wet },
            vessel: Vessel { heat_capacity: capacity, celsius: 22.0 },
            room_j,
            ..chill(from, to)
        };
        let melt = chill.floor(&drink(90.0, abv, sugar)).unwrap();
        let given = melt.drink_j + melt.vessel_j + room_j;
        let taken = taken_up(&melt, chill.ice);
        prop_assert!((given - taken).abs() <= 1e-9 * given.abs().max(1.0), "{given} {taken}");
    }

    /// More heat melts more; colder ice melts less.
    #[test]
    fn it_is_monotone(
        abv in 5.0..45.0,
        sugar in 0.0..150.0,
        from in 1.0..39.0,
        to in -8.0..=0.0,
        capacity in 0.0..300.0,
        ice_c in -19.0..=0.0,
    ) {
        let drink = drink(90.0, abv, sugar);
        let base = Chill {
            ice: Ice { celsius: ice_c, ..DRY },
            vessel: Vessel { heat_capacity: capacity, celsius: 22.0 },
            ..chill(from, to)
        };
        let here = melted(base, &drink);
        let mut warmer = base;
        warmer.from_c += 1.0;
        prop_assert!(melted(warmer, &drink) > here);
        let mut heavier = base;
        heavier.vessel.heat_capacity += 10.0;
        prop_assert!(melted(heavier, &drink) > here);
        let mut roomier = base;
        roomier.room_j += 100.0;
        prop_assert!(melted(roomier, &drink) > here);
        let mut colder = base;
        colder.ice.celsius -= 1.0;
        prop_assert!(melted(colder, &drink) < here);
    }

    #[test]
    fn no_chill_gives_what_is_no_number(
        abv in 0.0..100.0,
        numbers in prop::array::uniform8(prop_oneof![
            8 => -25.0..500.0,
            1 => Just(f64::NAN),
            1 => Just(f64::INFINITY),
            1 => Just(-0.0),
        ]),
    ) {
        let [from_c, to_c, grams, celsius, wet, heat_capacity, vessel_c, room_j] = numbers;
        let chill = Chill {
            from_c,
            to_c,
            ice: Ice { grams, celsius, wet },
            vessel: Vessel { heat_capacity, celsius: vessel_c },
            room_j,
        };
        if let Ok(melt) = chill.floor(&drink(90.0, abv, 0.0)) {
            for figure in [melt.melted_g, melt.water_g, melt.share, melt.celsius, melt.drink_j] {
                prop_assert!(figure.is_finite(), "{melt:?}");
            }
        }
    }
}
