//! Water from ice: expected and measured.

use pennyweight_core::liquid::dilution::{Chilling, Weighed, expected, measured, melt, strain};
use pennyweight_core::liquid::{Composition, LiquidError, Mixture};

use super::assert_close;

fn spirit(abv: f64, grams: f64) -> Mixture {
    let mut glass = Mixture::default();
    let liquid = Composition::from_label(abv, 0.0).unwrap();
    glass.add(&liquid, grams, 0.2).unwrap();
    glass
}

fn weighed(mass_g: f64, sigma_g: f64) -> Weighed {
    Weighed { mass_g, sigma_g }
}

/// Empirical fits of D. Arnold, Liquid Intelligence, W. W. Norton 2014 (coefficients from
/// memory), worked out apart from the core to three digits.
#[test]
fn the_expectation_is_the_published_fits() {
    for (strength, stirred, shaken) in [
        (0.15, 0.305, 0.429),
        (0.20, 0.346, 0.489),
        (0.25, 0.381, 0.541),
        (0.30, 0.410, 0.585),
        (0.35, 0.433, 0.621),
        (0.40, 0.450, 0.649),
    ] {
        let share = |chilling| expected(chilling, strength).unwrap().share;
        assert_close(share(Chilling::Stirred), stirred, 0.0006, strength);
        assert_close(share(Chilling::Shaken), shaken, 0.0006, strength);
        let spread = expected(Chilling::Stirred, strength).unwrap().spread;
        assert_eq!(spread, 0.10);
    }
}

/// The fits hold from 15 to 50 % by volume, and nothing is said outside.
#[test]
fn the_fits_are_not_carried_further() {
    for strength in [0.149, 0.501, 0.0, 1.0, -0.2, f64::NAN, f64::INFINITY] {
        assert_eq!(expected(Chilling::Stirred, strength), None, "{strength}");
    }
    for strength in [0.15, 0.50] {
        assert!(expected(Chilling::Shaken, strength).is_some(), "{strength}");
    }
    let mut weak = spirit(12.0, 90.0);
    let before = weak;
    assert_eq!(melt(&mut weak, Chilling::Stirred), None);
    assert_eq!(weak, before);
}

/// 90 ml at 30 % vol, stirred: 0.41 x 90 = 36.9 ml of water, 9 ml either way.
#[test]
fn what_is_expected_goes_into_the_glass() {
    let mut glass = spirit(30.0, 86.56);
    let neat = glass.contents().unwrap();
    assert_close(neat.volume_ml, 90.0, 0.05, "neat");
    melt(&mut glass, Chilling::Stirred).unwrap();
    assert_close(glass.total_g, 86.56 + 36.9 * 0.9982, 0.05, "mass");
    let held = glass.contents().unwrap();
    assert_close(held.ethanol_g, neat.ethanol_g, 1e-12, "alcohol");
    assert_close(held.sigma.volume_ml, 9.0, 0.1, "volume");
    // 27 ml in 126.5 ml (a little contracts), and 9 ml more or less of water.
    assert_close(held.abv_percent, 21.3, 0.1, "strength");
    assert_close(held.sigma.abv_percent, 21.3 * 9.0 / 126.5, 0.03, "strength");
}

/// Water = strained + hold-up - liquids, by hand: 118.0 + 3.5 - 86.5 = 35.0 g. An even spread of
/// 2 to 5 g has a sigma of 3/sqrt(12) = 0.866 g (JCGM 100, 4.3.7).
#[test]
fn the_measurement_worked_by_hand() {
    let stirred = Weighed::between(2.0, 5.0);
    assert_close(stirred.mass_g, 3.5, 1e-12, "mean");
    assert_close(stirred.sigma_g, 0.8660, 1e-4, "sigma");
    let water = measured(weighed(118.0, 0.3), weighed(86.5, 0.4), stirred);
    assert_close(water.mass_g, 35.0, 1e-9, "water");
    // sqrt(0.866^2 + 0.3^2 + 0.4^2) = 1.0.
    assert_close(water.sigma_g, 1.0, 1e-4, "sigma");
    let none = measured(weighed(60.0, 0.3), weighed(86.5, 0.4), stirred);
    assert_eq!(none.mass_g, 0.0);
}

/// What came into the glass weighs what the scale said, and is as strong as what stayed behind.
#[test]
fn a_strained_glass_weighs_what_was_strained() {
    let mut glass = spirit(30.0, 86.5);
    let neat = glass.contents().unwrap();
    let hold_up = Weighed::between(4.0, 10.0);
    let dilution = strain(&mut glass, weighed(118.0, 0.3), hold_up).unwrap();
    assert_close(glass.total_g, 118.0, 1e-9, "mass");
    let served = glass.contents().unwrap();
    let came = 118.0 / 125.0;
    assert_close(served.ethanol_g, came * neat.ethanol_g, 1e-9, "alcohol");
    // 125 - 86.5 = 38.5 g of water over 89.9 ml.
    let share = 38.5 / 0.998_207 / neat.volume_ml;
    assert_close(dilution.share, share, 1e-9, "dilution");
    // The hold-up's 1.73 g is most of what is not known of the water, and hardly moves the volume.
    assert_close(dilution.spread, 1.77 / 89.9, 0.0003, "dilution");
    assert!(served.sigma.volume_ml < 0.4, "{served:?}");
}

/// Less than the liquids came, hold-up included: no water, and a share of what was built.
#[test]
fn a_strain_that_leaves_much_behind_is_a_share() {
    let mut glass = spirit(30.0, 86.5);
    let strained = weighed(60.0, 0.3);
    let dilution = strain(&mut glass, strained, Weighed::between(2.0, 5.0)).unwrap();
    assert_eq!(dilution.share, 0.0);
    assert_close(glass.total_g, 60.0, 1e-9, "mass");
    assert_close(
        glass.contents().unwrap().abv_percent,
        30.0,
        1e-6,
        "strength",
    );
}

#[test]
fn what_is_no_mass_is_refused_and_changes_nothing() {
    let mut glass = spirit(30.0, 86.5);
    let before = glass;
    let hold_up = Weighed::between(2.0, 5.0);
    for wrong in [-1.0, 1e7, f64::INFINITY] {
        let refused = Err(LiquidError::Mass(wrong));
        assert_eq!(strain(&mut glass, weighed(wrong, 0.1), hold_up), refused);
        assert_eq!(strain(&mut glass, weighed(90.0, wrong), hold_up), refused);
        let hold_up = weighed(wrong, 0.1);
        assert_eq!(strain(&mut glass, weighed(90.0, 0.1), hold_up), refused);
    }
    assert!(strain(&mut glass, weighed(f64::NAN, 0.1), hold_up).is_err());
    assert_eq!(glass, before);
    let mut nothing = Mixture::default();
    let dilution = strain(&mut nothing, weighed(90.0, 0.1), hold_up).unwrap();
    assert_eq!(dilution.share, 0.0);
}
