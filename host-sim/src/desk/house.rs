//! What the page knows of a sheet: its bottles and its drinks.

use pennyweight_core::spec::Family;
use serde::Serialize;

use super::hands::careful_tilt;
use crate::commands::names::Names;
use crate::session::BarBottle;
use crate::sheet::{HouseSheet, allergen_words, vessel_word};

/// A sheet, as the page shows it.
#[derive(Clone, Debug, Serialize)]
pub struct HouseTold<'h> {
    name: &'h str,
    bottles: Vec<BottleTold<'h>>,
    drinks: Vec<DrinkTold<'h>>,
    /// The drink of the first minute: the first that begins with a pour.
    first: Option<usize>,
}

/// A bottle of the shelf.
#[derive(Clone, Debug, Serialize)]
struct BottleTold<'h> {
    name: &'h str,
    /// `pour`, `dash` (a bottle that gives dashes) or `piece` (whole things).
    gives: &'static str,
    /// `spirit`, `syrup`, `juice`, `bitters`, `soda` or `whole`.
    family: &'static str,
    abv_percent: f64,
    sugar_g_per_l: f64,
    /// What it gives when it is tilted half way, ml/s.
    flow_ml_s: f64,
    /// How far it is tilted for a careful pour.
    careful: f64,
    /// What one whole thing of it weighs, grams.
    piece_g: f64,
    allergens: Vec<&'static str>,
}

/// A drink of the sheet.
#[derive(Clone, Debug, Serialize)]
struct DrinkTold<'h> {
    name: &'h str,
    vessel: &'static str,
    glass: &'static str,
    /// Its build, a line a step.
    build: Vec<String>,
}

impl<'h> HouseTold<'h> {
    /// What is told of `sheet`, with the bottles of `bar`.
    #[must_use]
    pub fn of(sheet: &'h HouseSheet, bar: &'h [BarBottle], names: &'h Names) -> Self {
        let bottles = sheet.liquids().iter().zip(bar);
        let drinks = sheet.drinks().iter().zip(&names.drinks);
        Self {
            name: sheet.name(),
            bottles: bottles
                .map(|(liquid, bottle)| BottleTold {
                    name: &liquid.name,
                    gives: match liquid.family {
                        Family::Bitters => "dash",
                        Family::Whole => "piece",
                        Family::Spirit | Family::Syrup | Family::Juice | Family::Soda => "pour",
                    },
                    family: family_name(liquid.family),
                    abv_percent: bottle.liquid.abv_percent,
                    sugar_g_per_l: bottle.liquid.sugar_g_per_l,
                    flow_ml_s: bottle.flow_ml_s,
                    careful: careful_tilt(bottle.flow_ml_s),
                    piece_g: bottle.piece_g,
                    allergens: allergen_words(liquid.allergens),
                })
                .collect(),
            drinks: drinks
                .map(|(drink, named)| DrinkTold {
                    name: &drink.name,
                    vessel: vessel_word(drink.vessel),
                    glass: vessel_word(drink.glass),
                    build: named.steps.iter().map(|step| step.words()).collect(),
                })
                .collect(),
            first: names
                .drinks
                .iter()
                .position(|drink| drink.steps.first().is_some_and(|step| step.kind == "pour")),
        }
    }
}

const fn family_name(family: Family) -> &'static str {
    match family {
        Family::Spirit => "spirit",
        Family::Syrup => "syrup",
        Family::Juice => "juice",
        Family::Bitters => "bitters",
        Family::Soda => "soda",
        Family::Whole => "whole",
    }
}
