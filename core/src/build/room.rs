//! Whether a vessel has room for what is to be built in it.

use crate::limits::FILL_SHARE;
use crate::spec::{DrinkId, Quantity, Sheet, Step};

/// Grams of ice in a millilitre of it (CRC Handbook: 0.9167 at 0 degC).
const ICE_G_PER_ML: f32 = 0.917;

/// What one glass of the drink takes in its vessel: liquids, and ice; millilitres. A gram of what
/// is stated in grams counts as a millilitre, and so does what a piece is;
/// dashes and barspoons are lost in what [`FILL_SHARE`] leaves free.
fn takes_ml(sheet: &Sheet<'_>, id: DrinkId) -> Option<(f32, f32)> {
    let (mut liquid, mut ice) = (0.0, 0.0);
    for number in 0..sheet.drink(id).ok()?.steps {
        match sheet.step(id, number).ok()? {
            Step::Pour { amount, .. } | Step::Soda { amount, .. } => {
                liquid += match amount.quantity {
                    Quantity::Volume(ul) => ul as f32 / 1e3,
                    Quantity::Mass(mg) => mg as f32 / 1e3,
                    Quantity::Count(_) => 0.0,
                };
            }
            Step::Whole { count, each_mg, .. } => {
                liquid += f32::from(count) * each_mg as f32 / 1e3;
            }
            Step::Ice { high_g, .. } => ice += f32::from(high_g) / ICE_G_PER_ML,
            Step::Strain => break,
            Step::Dash { .. }
            | Step::Barspoon { .. }
            | Step::Stir { .. }
            | Step::Shake { .. }
            | Step::Rinse { .. }
            | Step::Note { .. } => {}
        }
    }
    Some((liquid, ice))
}

/// So many glasses of the drink, its liquids grown by `growth`, fit its vessel.
pub fn has_room(sheet: &Sheet<'_>, id: DrinkId, glasses: u8, growth: f32) -> bool {
    let (Some((liquid, ice)), Ok(drink)) = (takes_ml(sheet, id), sheet.drink(id)) else {
        return false;
    };
    let filled = f32::from(glasses) * (growth * liquid + ice);
    filled <= FILL_SHARE * f32::from(drink.vessel.brimful_ml())
}

/// The drink is strained into its glass.
pub fn is_strained(sheet: &Sheet<'_>, id: DrinkId) -> bool {
    sheet.drink(id).is_ok_and(|drink| {
        (0..drink.steps).any(|number| matches!(sheet.step(id, number), Ok(Step::Strain)))
    })
}
