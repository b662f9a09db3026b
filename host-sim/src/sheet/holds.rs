//! What a drink holds when it is built as written, before any ice melts.

use pennyweight_core::liquid::{LiquidError, Mixture};
use pennyweight_core::spec::{Amount, Family, LiquidId, Quantity, Step, Unit};
use serde::Serialize;

use super::house_sheet::{Action, BuildLine, HouseDrink, HouseSheet};
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
    /// What the scale shows of it, grams; of drops, what it would show if it could see them.
    pub g: Option<f64>,
}

/// What `drink` of `sheet` holds, drops included.
///
/// # Errors
/// [`LiquidError`] when a liquid has no density or the glass would hold beyond any.
pub fn drink_holds(sheet: &HouseSheet, drink: &HouseDrink) -> Result<DrinkHolds, LiquidError> {
    let mut mixture = Mixture::default();
    let mut allergens = 0;
    let mut raw_egg = false;
    let mut steps = Vec::new();
    for line in &drink.build {
        let brought = brought_in(line).and_then(|(id, amount)| Some((sheet.liquid(id)?, amount)));
        let target = match brought {
            Some((liquid, amount)) => {
                let packed = liquid.as_liquid();
                let target = if drink.as_poured {
                    amount.target_poured(&packed, &sheet.house())?
                } else {
                    amount.target(&packed, &sheet.house())?
                };
                mixture.add(&liquid.as_liquid().composition(), target.mass_g)?;
                allergens |= liquid.allergens;
                raw_egg |= liquid.family == Family::Whole && liquid.allergens & EGG != 0;
                Some(target)
            }
            None => None,
        };
        steps.push(StepHolds {
            written: line.written.clone(),
            ml: target.map(|target| target.volume_ml),
            g: target.map(|target| target.shown_g),
        });
    }
    let contents = mixture.contents()?;
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

/// The liquid a line brings in, and how much of it.
fn brought_in(line: &BuildLine) -> Option<(LiquidId, Amount)> {
    let counted = |liquid, count, unit| {
        let quantity = Quantity::Count(count);
        Some((liquid, Amount { quantity, unit }))
    };
    if let Action::Drops { liquid, count, .. } = line.action {
        return counted(liquid, count, Unit::Drop);
    }
    match line.step() {
        Step::Pour { liquid, amount } | Step::Soda { liquid, amount } => Some((liquid, amount)),
        Step::Dash { liquid, count } => counted(liquid, count, Unit::Dash),
        Step::Barspoon { liquid, count } => counted(liquid, count, Unit::Barspoon),
        Step::Whole {
            liquid,
            count,
            each_mg,
        } => {
            let quantity = Quantity::Mass(each_mg.saturating_mul(u32::from(count)));
            let unit = Unit::Gram;
            Some((liquid, Amount { quantity, unit }))
        }
        Step::Ice { .. }
        | Step::Stir { .. }
        | Step::Shake { .. }
        | Step::Strain
        | Step::Note { .. } => None,
    }
}
