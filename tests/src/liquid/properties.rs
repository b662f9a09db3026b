//! What holds for every number there is.

use pennyweight_core::liquid::{
    Composition, Measured, Mixture, air_density, ethanol, freezing_point, shown_over_mass, sucrose,
    target, true_mass, z_factor,
};
use proptest::num::f64::ANY;
use proptest::prelude::*;

/// Any number at all, and often one that makes sense.
fn any_number(sensible: std::ops::Range<f64>) -> impl Strategy<Value = f64> {
    prop_oneof![
        2 => sensible,
        1 => ANY,
        1 => prop::sample::select(vec![
            f64::NAN, f64::INFINITY, f64::NEG_INFINITY, f64::MAX, f64::MIN_POSITIVE, -0.0, 0.0, 1.0,
        ]),
    ]
}

/// Any liquid, possible or not.
fn any_liquid() -> impl Strategy<Value = Composition> {
    let measured = prop::option::of((any_number(700.0..1600.0), any_number(-15.0..45.0)));
    (any_number(-0.1..1.1), any_number(-10.0..1300.0), measured).prop_map(
        |(strength, sugar_g_per_l, measured)| Composition {
            strength,
            sugar_g_per_l,
            measured: measured.map(|(density, at)| Measured { density, at }),
        },
    )
}

/// A liquid that some bottle might hold.
fn liquid() -> impl Strategy<Value = Composition> {
    (0.0..=1.0, 0.0..=1000.0).prop_filter_map("too little water", |(strength, sugar)| {
        Composition::from_label(100.0 * strength, sugar).ok()
    })
}

proptest! {
    #![proptest_config(ProptestConfig { failure_persistence: None, ..ProptestConfig::with_cases(2000) })]

    #[test]
    fn no_function_gives_what_is_no_number(
        a in any_number(0.0..1.0),
        t in any_number(-20.0..50.0),
        rho in any_number(700.0..1500.0),
        hpa in any_number(500.0..1200.0),
    ) {
        let results = [
            ethanol::density(a, t),
            ethanol::mass_fraction(a),
            ethanol::strength(a),
            ethanol::strength_from(a, t),
            ethanol::strength_of_density(rho, t),
            sucrose::density(a, t),
            sucrose::grams_per_litre(a),
            sucrose::mass_fraction(rho),
            air_density(t, hpa, 100.0 * a),
            z_factor(rho, a),
        ];
        for (number, result) in results.into_iter().enumerate() {
            prop_assert!(result.is_err() || result.is_ok_and(f64::is_finite), "{number}: {result:?}");
        }
        prop_assert!(!shown_over_mass(rho).is_nan());
        prop_assert!(!true_mass(a, rho).is_nan());
        prop_assert!(!freezing_point(a).is_nan());
    }

    #[test]
    fn no_liquid_gives_what_is_no_number(
        liquid in any_liquid(),
        other in any_liquid(),
        t in any_number(-15.0..45.0),
        grams in any_number(0.0..500.0),
    ) {
        if let Ok(estimate) = liquid.density(t) {
            prop_assert!((700.0..1600.0).contains(&estimate.density), "{estimate:?}");
            prop_assert!((0.0..10.0).contains(&estimate.sigma_percent), "{estimate:?}");
        }
        if let Ok(target) = target(grams, &liquid) {
            prop_assert!(target.mass_g.is_finite() && target.shown_g <= target.mass_g);
        }
        let mut glass = Mixture::default();
        let _ = glass.add(&liquid, grams, 0.1);
        let _ = glass.add(&other, 30.0, 0.1);
        glass.add_water(grams, 0.5);
        let held = glass.contents().expect("whatever was accepted makes a drink");
        for figure in [held.volume_ml, held.abv_percent, held.sugar_g_per_l, held.ethanol_g] {
            prop_assert!(figure.is_finite() && figure >= 0.0, "{held:?}");
        }
        let sigma = held.sigma;
        for figure in [sigma.volume_ml, sigma.abv_percent, sigma.sugar_g_per_l, sigma.ethanol_g] {
            prop_assert!(figure.is_finite() && figure >= 0.0, "{held:?}");
        }
        prop_assert!(held.abv_percent <= 100.0);
    }

    #[test]
    fn no_mixture_gives_what_is_no_number(
        total_g in any_number(0.0..500.0),
        ethanol_g in any_number(0.0..500.0),
        sugar_g in any_number(0.0..500.0),
        excess_ml in any_number(-50.0..50.0),
    ) {
        let glass = Mixture { total_g, ethanol_g, sugar_g, excess_ml, ..Mixture::EMPTY };
        if let Ok(held) = glass.contents() {
            for figure in [held.volume_ml, held.abv_percent, held.sugar_g_per_l, held.ethanol_g] {
                prop_assert!(figure.is_finite(), "{glass:?}: {held:?}");
            }
        }
    }

    #[test]
    fn from_constructors_nothing_impossible_comes(x in any_number(0.0..200.0), y in any_number(0.0..1100.0)) {
        for liquid in [
            Composition::from_label(x, y),
            Composition::from_brix(x),
            Composition::from_proof(x),
            Composition::from_density(y, x, 0.0),
            Composition::from_density(y, 20.0, x),
        ].into_iter().flatten() {
            prop_assert!(liquid.density(20.0).is_ok(), "{liquid:?}");
        }
    }

    #[test]
    fn outside_the_ranges_is_an_error(q in 1.0f64..1e9, t in 40.0f64..1e9) {
        let (q, t) = (q.next_up(), t.next_up());
        prop_assert!(ethanol::density(q, 20.0).is_err());
        prop_assert!(ethanol::density(-q, 20.0).is_err());
        prop_assert!(ethanol::density(0.4, t).is_err());
        prop_assert!(ethanol::density(0.4, 30.0 - t).is_err());
        prop_assert!(sucrose::density(q, 20.0).is_err());
        prop_assert!(sucrose::density(0.4, t).is_err());
        prop_assert!(Composition::from_label(100.0 * q, 0.0).is_err());
        prop_assert!(Composition::from_brix(75.0 * q).is_err());
        prop_assert!(Composition::default().density(-t).is_err());
    }

    #[test]
    fn strength_and_mass_fraction_undo_each_other(x in 0.0..=1.0) {
        let there = ethanol::strength(ethanol::mass_fraction(x).unwrap()).unwrap();
        prop_assert!((there - x).abs() < 2e-12, "{there}");
        let back = ethanol::mass_fraction(ethanol::strength(x).unwrap()).unwrap();
        prop_assert!((back - x).abs() < 2e-12, "{back}");
        let w = 0.85 * x;
        let sugar = sucrose::mass_fraction(sucrose::grams_per_litre(w).unwrap()).unwrap();
        prop_assert!((sugar - w).abs() < 2e-12, "{sugar}");
    }

    #[test]
    fn density_gives_the_strength_back(x in 0.0..=1.0, t in -10.0..=40.0) {
        let p = ethanol::mass_fraction(x).unwrap();
        if let Ok(density) = ethanol::density(p, t) {
            let found = ethanol::strength_of_density(density, t).unwrap();
            prop_assert!((found - x).abs() < 1e-11, "{found}");
        }
    }

    #[test]
    fn stronger_is_lighter_sweeter_is_heavier(x in 0.0..0.999, t in 0.0..=40.0) {
        let more = x + 0.001;
        prop_assert!(ethanol::density(more, t).unwrap() < ethanol::density(x, t).unwrap());
        prop_assert!(ethanol::mass_fraction(more).unwrap() > ethanol::mass_fraction(x).unwrap());
        let w = 0.85 * x;
        prop_assert!(sucrose::density(w + 0.0008, t).unwrap() > sucrose::density(w, t).unwrap());
    }

    #[test]
    fn a_glass_does_not_care_for_the_order(a in liquid(), b in liquid(), x in 1.0..100.0, y in 1.0..100.0) {
        let mut there = Mixture::default();
        there.add(&a, x, 0.1).unwrap();
        there.add(&b, y, 0.1).unwrap();
        let mut back = Mixture::default();
        back.add(&b, y, 0.1).unwrap();
        back.add(&a, x, 0.1).unwrap();
        let (there, back) = (there.contents().unwrap(), back.contents().unwrap());
        prop_assert!((there.volume_ml - back.volume_ml).abs() < 1e-9);
        prop_assert!((there.abv_percent - back.abv_percent).abs() < 1e-9);
    }

    /// The volume found is the one whose density makes up the mass.
    #[test]
    fn a_glass_weighs_what_its_label_says(a in liquid(), b in liquid(), x in 1.0..100.0, y in 1.0..100.0) {
        let mut glass = Mixture::default();
        glass.add(&a, x, 0.1).unwrap();
        glass.add(&b, y, 0.1).unwrap();
        let held = glass.contents().unwrap();
        let label = Composition::from_label(held.abv_percent, held.sugar_g_per_l).unwrap();
        let mass = held.volume_ml * label.density(20.0).unwrap().density / 1000.0;
        // Pure syrup and ethanol-water know two waters, 2 ppm apart.
        prop_assert!((mass / (x + y) - 1.0).abs() < 1e-9, "{mass} for {}", x + y);
    }
}
