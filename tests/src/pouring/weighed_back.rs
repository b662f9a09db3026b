//! Weighing back: what is told of a drink once its vessel is back with what stayed behind, held
//! against what the simulated bench knows of ice, glass and spill.

use pennyweight_core::Mode;
use pennyweight_core::output::{DilutionBasis, DrinkRecord, WeighedBack};
use pennyweight_core::spec::DrinkId;
use pennyweight_core::view::{Page, STAYED};
use pennyweight_sim::plant::Table;
use pennyweight_sim::session::{Outcome, Session, SessionSetup};

use super::rounds::demo;

/// Density of water at 20 degC, g/ml (Tanaka et al. 2001: 998.207 kg/m3).
const WATER_G_ML: f64 = 0.998_207;

/// The stirred drink of the demo sheet, and the shaken one.
const STIRRED: DrinkId = DrinkId(0);
const SHAKEN: DrinkId = DrinkId(1);

/// What the simulated hand leaves on ice and walls, 2 to 4 g: the middle of it.
const HELD_UP_G: f64 = 3.0;

/// A drink, when it was done and when it was weighed back, and the bench's own truth.
struct Weighed {
    done: DrinkRecord,
    back: WeighedBack,
    /// Percent of the undiluted volume.
    true_percent: f64,
    /// What was built, millilitres before any ice melted.
    built_ml: f64,
}

fn session(drinks: &[DrinkId], mode: Mode, sps: f64, seed: u64, spills_g: f64) -> Session<'static> {
    let mut setup = SessionSetup::new(drinks.to_vec(), seed);
    (setup.mode, setup.sps, setup.spills_g) = (mode, sps, spills_g);
    Session::new(&Table::nominal(), demo(), &setup).expect("the demo sheet can be read")
}

fn play(drink: DrinkId, sps: f64, seed: u64, spills_g: f64) -> Weighed {
    let mut session = session(&[drink], Mode::Develop, sps, seed, spills_g);
    let (mut done, mut back) = (None, None);
    for moment in session.by_ref() {
        done = done.or(moment.outputs.done);
        back = back.or(moment.outputs.weighed_back);
    }
    let place = format!("drink {} at {sps} a second, seed {seed}", drink.0);
    assert_eq!(session.outcome(), Outcome::Finished, "{place}");
    let served = session.served();
    let held = served.first().expect("a served glass").1;
    let melted_ml = held.melted_g / WATER_G_ML;
    let neat_ml = held.volume_ml - melted_ml;
    // A gram of it is a millilitre to a few parts in a hundred; what did not come is a tenth.
    let came = held.volume_ml / (held.volume_ml + HELD_UP_G + spills_g);
    Weighed {
        done: done.unwrap_or_else(|| panic!("{place}: not done")),
        back: back.unwrap_or_else(|| panic!("{place}: not weighed back")),
        true_percent: 100.0 * melted_ml / neat_ml,
        built_ml: neat_ml / came,
    }
}

/// The spill is found, and no longer taken for water that never melted.
fn tells_spill_and_dilution(sps: f64) {
    for drink in [STIRRED, SHAKEN] {
        for (seed, spills_g) in [(1, 0.0), (2, 0.0), (3, 6.0), (4, 12.0)] {
            let told = play(drink, sps, seed, spills_g);
            let place = format!("drink {} at {sps} a second, seed {seed}", drink.0);
            let lost = told.back.lost;
            let off_g = f64::from(lost.mass.0) - spills_g;
            // Mass balance: the vessel before, less the glass, less the vessel after.
            let within = 3.0 * f64::from(lost.sigma.0);
            assert!(off_g.abs() < within, "{place}: lost off by {off_g} g");
            let found = told.back.drink.dilution.expect("a dilution");
            assert_eq!(found.basis, DilutionBasis::Weighed, "{place}");
            let off = f64::from(found.percent) - told.true_percent;
            // What no weight tells is how much liquid stayed on the ice; the station's judgement of
            // it is not that of the simulated hand, and the difference is known here.
            let assumed_g = if drink == STIRRED { 3.5 } else { 7.0 };
            let off_g = off / 100.0 * told.built_ml * WATER_G_ML - (assumed_g - HELD_UP_G);
            let sigma_g = f64::from(found.sigma_percent) / 100.0 * told.built_ml * WATER_G_ML;
            assert!(off_g.abs() < 3.0 * sigma_g, "{place}: {off_g} of {sigma_g}");
            let before = told.done.dilution.expect("a dilution");
            if spills_g > 10.0 {
                let off_before = f64::from(before.percent) - told.true_percent;
                assert!(off_before < off - 5.0, "{place}: {off_before}, then {off}");
            }
            // The prediction stands beside it, of the drink as it was poured.
            let expected = told.back.expected.expect("a prediction");
            assert_eq!(expected.basis, DilutionBasis::Expected, "{place}");
            assert!(expected.sigma_percent > found.sigma_percent, "{place}");
        }
    }
}

#[test]
fn at_10_samples_a_second() {
    tells_spill_and_dilution(10.0);
}

#[test]
fn at_80_samples_a_second() {
    tells_spill_and_dilution(80.0);
}

#[test]
fn at_320_samples_a_second() {
    tells_spill_and_dilution(320.0);
}

/// In service nobody is asked to weigh back.
#[test]
fn service_never_asks() {
    for moment in session(&[STIRRED, SHAKEN], Mode::Service, 80.0, 1, 0.0) {
        assert!(moment.outputs.weighed_back.is_none());
        assert!(!matches!(moment.view.page, Page::Place { drink, .. } if drink == STAYED));
    }
}

/// Two drinks one after the other: each is weighed back, and the next vessel is taken for itself.
#[test]
fn the_next_drink_follows() {
    let mut session = session(&[STIRRED, STIRRED], Mode::Develop, 80.0, 5, 0.0);
    let mut back = 0;
    for moment in session.by_ref() {
        back += u32::from(moment.outputs.weighed_back.is_some());
    }
    assert_eq!((session.outcome(), back), (Outcome::Finished, 2));
}
