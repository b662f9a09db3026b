//! Whether a drink fits into what it is built and served in.

use pennyweight_core::spec::{Step, Vessel};
use serde::Serialize;

use crate::sheet::{HouseDrink, HouseSheet, vessel_word};

/// Density of ice at 0 degC, g/ml (IAPWS R10-06: 916.72 kg/m3).
const ICE_G_PER_ML: f64 = 0.916_72;

/// How full one vessel gets, ice included.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Fit {
    /// Which.
    pub vessel: &'static str,
    /// What it takes to the brim, millilitres.
    pub brimful_ml: f64,
    /// The liquid in it, millilitres.
    pub liquid_ml: f64,
    /// The most ice the build asks for in it, grams.
    pub ice_g: f64,
    /// What is left below the brim; negative where it runs over.
    pub room_ml: f64,
    /// It does not run over.
    pub fits: bool,
}

impl Fit {
    pub(super) fn new(sheet: &HouseSheet, vessel: Vessel, liquid_ml: f64, ice_g: f64) -> Self {
        let brimful_ml = sheet.brimful_ml(vessel);
        let room_ml = brimful_ml - liquid_ml - ice_g / ICE_G_PER_ML;
        Self {
            vessel: vessel_word(vessel),
            brimful_ml,
            liquid_ml,
            ice_g,
            room_ml,
            fits: room_ml >= 0.0,
        }
    }
}

/// The most ice the build asks for before the strain and after it, grams.
pub(super) fn most_ice_g(drink: &HouseDrink) -> (f64, f64) {
    let mut strained = false;
    let (mut built, mut served) = (0.0, 0.0);
    for line in &drink.build {
        match line.step() {
            Step::Strain => strained = true,
            Step::Ice { high_g, .. } if strained => served += f64::from(high_g),
            Step::Ice { high_g, .. } => built += f64::from(high_g),
            _ => {}
        }
    }
    (built, served)
}
