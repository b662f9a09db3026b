//! What a drink holds when it is built as written, before any ice melts.

use pennyweight_core::liquid::{Composition, Mixture, shown_over_mass};
use pennyweight_core::spec::{Amount, DrinkId, Family, LiquidId, Quantity, Step, Unit};
use serde::Serialize;

use super::house_sheet::{HouseLiquid, HouseSheet};
use super::words::{EGG, allergen_words, vessel_word};

/// What a drink holds, as estimates.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct DrinkHolds {
    /// Its name.
    pub name: String,
    /// What it is built in.
    pub vessel: &'static str,
    /// What it is served in.
    pub glass: &'static str,
    /// Its steps.
    pub steps: Vec<StepHolds>,
    /// Millilitres at 20 degC.
    pub volume_ml: f64,
    /// Percent by volume.
    pub abv_percent: f64,
    /// Grams per litre.
    pub sugar_g_per_l: f64,
    /// Grams of pure ethanol.
    pub ethanol_g: f64,
    /// The allergen groups its liquids are marked with.
    pub allergens: Vec<&'static str>,
    /// A whole egg or part of one goes in unheated.
    pub raw_egg: bool,
}

/// What one step brings in.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct StepHolds {
    /// The line as it was written.
    pub written: String,
    /// Millilitres at 20 degC, if it brings in a liquid.
    pub ml: Option<f64>,
    /// What the scale shows of it, grams.
    pub g: Option<f64>,
}

/// What drink `id` of `sheet` holds.
///
/// # Errors
/// The name of the liquid or the drink for which the models have no answer.
pub fn drink_holds(sheet: &HouseSheet, id: DrinkId) -> Result<DrinkHolds, String> {
    let drink = sheet
        .drink(id)
        .ok_or_else(|| format!("there is no drink number {}", id.0))?;
    let mut mixture = Mixture::default();
    let mut allergens = 0;
    let mut raw_egg = false;
    let mut steps = Vec::new();
    for line in &drink.build {
        let mut holds = StepHolds {
            written: line.written.clone(),
            ml: None,
            g: None,
        };
        if let Some((liquid, shown)) = brought_in(sheet, &line.step()) {
            let composition = liquid.as_liquid().composition();
            let added = add(&mut mixture, &composition, sheet, liquid, shown);
            let (ml, g) = added.map_err(|error| {
                format!("{} in {} has no density: {error:?}", liquid.key, drink.name)
            })?;
            (holds.ml, holds.g) = (Some(ml), Some(g));
            allergens |= liquid.allergens;
            raw_egg |= liquid.family == Family::Whole && liquid.allergens & EGG != 0;
        }
        steps.push(holds);
    }
    let contents = mixture
        .contents()
        .map_err(|error| format!("{} lies outside the models: {error:?}", drink.name))?;
    Ok(DrinkHolds {
        name: drink.name.clone(),
        vessel: vessel_word(drink.vessel),
        glass: vessel_word(drink.glass),
        steps,
        volume_ml: contents.volume_ml,
        abv_percent: contents.abv_percent,
        sugar_g_per_l: contents.sugar_g_per_l,
        ethanol_g: contents.ethanol_g,
        allergens: allergen_words(allergens),
        raw_egg,
    })
}

/// The liquid a step brings in, and how much of it.
fn brought_in<'h>(sheet: &'h HouseSheet, step: &Step<'_>) -> Option<(&'h HouseLiquid, Amount)> {
    let counted = |liquid: LiquidId, count: u8, unit: Unit| {
        let quantity = Quantity::Count(count);
        (liquid, Amount { quantity, unit }.in_house(&sheet.house()))
    };
    let (id, amount) = match *step {
        Step::Pour { liquid, amount } | Step::Soda { liquid, amount } => (liquid, amount),
        Step::Dash { liquid, count } => counted(liquid, count, Unit::Dash),
        Step::Barspoon { liquid, count } => counted(liquid, count, Unit::Barspoon),
        Step::Whole {
            liquid,
            count,
            each_mg,
        } => {
            let quantity = Quantity::Mass(each_mg.saturating_mul(u32::from(count)));
            let unit = Unit::Gram;
            (liquid, Amount { quantity, unit })
        }
        Step::Ice { .. }
        | Step::Stir { .. }
        | Step::Shake { .. }
        | Step::Strain
        | Step::Note { .. } => return None,
    };
    Some((sheet.liquid(id)?, amount))
}

/// Adds `amount` of `liquid` to `mixture`; its millilitres and what the scale shows, grams.
fn add(
    mixture: &mut Mixture,
    composition: &Composition,
    sheet: &HouseSheet,
    liquid: &HouseLiquid,
    amount: Amount,
) -> Result<(f64, f64), pennyweight_core::liquid::LiquidError> {
    let liquid = liquid.as_liquid();
    let density = composition.density(20.0)?.density;
    let shown_g = amount.shown_g(&liquid, &sheet.house())?;
    mixture.add(composition, shown_g / shown_over_mass(density))?;
    Ok((shown_g / liquid.shown_g_per_ml()?, shown_g))
}
