//! Mixing what the house makes.
//!
//! Everything is mixed by mass at 20 degC; salt and acid take the room they take up in water.
//! Grams are masses here: that a scale shows sugar a little otherwise than water (0.05 %) is left
//! out.

use pennyweight_core::liquid::{Composition, Measured, Mixture, saline, sucrose};
use pennyweight_core::spec::Family;

use super::fields::Reader;
use super::house_sheet::{Basis, HouseLiquid};
use super::liquids::ACID_MAX_G_PER_L;
use super::made_of::{Ingredient, Line, Recipe, Share};
use super::strength;

/// Millilitres a gram of dissolved citric acid takes up: 10 % by mass is 1039 kg/m3 at 20 degC
/// (CRC Handbook, from memory).
const CITRIC_ML_PER_GRAM: f64 = 0.61;

/// As much citric acid as dissolves, grams to the gram of water and acid (from memory).
const CITRIC_SATURATED: f64 = 0.59;

/// Sugar beyond which a house mix pours as a syrup where the sheet does not say, grams per litre.
const SYRUP_G_PER_L: f64 = 300.0;

/// What a recipe comes to.
pub(super) struct Mixed {
    mixture: Mixture,
    acid_g: f64,
    allergens: u16,
}

/// Mixes the lines; nothing when they make no liquid.
pub(super) fn mix(
    reader: &mut Reader<'_>,
    recipe: &Recipe,
    lines: &[Line],
    shelf: &[HouseLiquid],
) -> Option<Mixed> {
    let water_g_per_ml = Composition::default().density(20.0).ok()?.density / 1_000.0;
    let mut mixed = Mixed {
        mixture: Mixture::default(),
        acid_g: 0.0,
        allergens: 0,
    };
    let (mut sugar_g, mut salt_g, mut citric_g) = (0.0, 0.0, 0.0);
    for line in lines {
        let liquid = match line.ingredient {
            Ingredient::Liquid(number) => shelf.get(number),
            _ => None,
        };
        let composition = liquid.map_or_else(Composition::default, HouseLiquid::as_composition);
        let g_per_ml = composition.density(20.0).ok()?.density / 1_000.0;
        let grams = match share_of(line.share, recipe.by_mass) {
            Share::Grams(grams) | Share::Parts(grams) => grams,
            Share::Millilitres(ml) => ml * g_per_ml,
        };
        match line.ingredient {
            Ingredient::Liquid(_) | Ingredient::Water => {
                if let Err(error) = mixed.mixture.add(&composition, grams, 0.0) {
                    reader.mistake(line.at, error.to_string(), "make less of it");
                    return None;
                }
            }
            Ingredient::Sugar => sugar_g += grams,
            Ingredient::Salt => salt_g += grams,
            Ingredient::CitricAcid => citric_g += grams,
        }
        if let Some(liquid) = liquid {
            mixed.acid_g += liquid.acid_g_per_l * grams / g_per_ml / 1_000.0;
            mixed.allergens |= liquid.allergens;
        }
    }
    let Mixture {
        total_g,
        ethanol_g,
        sugar_g: dissolved_g,
        ..
    } = mixed.mixture;
    let water_g = total_g - ethanol_g - dissolved_g;
    let sweet_g = dissolved_g + sugar_g;
    let too_much = |dry_g: f64, of_g: f64, most: f64| dry_g > most * (dry_g + of_g);
    let most_salt = saline::HIGHEST_PERCENT / 100.0;
    let most_sugar = sucrose::HIGHEST_BRIX / 100.0;
    let undissolved = if sugar_g > 0.0 && too_much(sweet_g, water_g, most_sugar) {
        Some(("sugar", most_sugar))
    } else if too_much(salt_g, water_g, most_salt) {
        Some(("salt", most_salt))
    } else if too_much(citric_g, water_g, CITRIC_SATURATED) {
        Some(("citric acid", CITRIC_SATURATED))
    } else {
        None
    };
    if let Some((what, most)) = undissolved {
        let what = format!("there is more {what} than the water holds");
        let right = format!(
            "at most {:.0} % of it and the water together: add water",
            100.0 * most
        );
        reader.mistake(recipe.at, what, right);
        return None;
    }
    let salt_percent = 100.0 * salt_g / (salt_g + water_g).max(f64::MIN_POSITIVE);
    let salt_ml = salt_g * saline::ml_per_gram(salt_percent).ok()?;
    let citric_ml = citric_g * CITRIC_ML_PER_GRAM;
    mixed.mixture.total_g += sugar_g + salt_g + citric_g;
    mixed.mixture.sugar_g += sugar_g;
    // The mixture takes what it does not know for water.
    mixed.mixture.excess_ml += salt_ml + citric_ml - (salt_g + citric_g) / water_g_per_ml;
    mixed.acid_g += citric_g;
    Some(mixed)
}

/// Parts as the amount they stand for: a part is 10 ml or 10 g, of which only the ratio counts.
fn share_of(share: Share, by_mass: bool) -> Share {
    match share {
        Share::Parts(parts) if by_mass => Share::Grams(10.0 * parts),
        Share::Parts(parts) => Share::Millilitres(10.0 * parts),
        amount => amount,
    }
}

impl Mixed {
    /// Puts the figures into liquid `number`; whether they make one.
    pub(super) fn put(
        &self,
        reader: &mut Reader<'_>,
        recipe: &Recipe,
        shelf: &mut [HouseLiquid],
        number: usize,
    ) -> bool {
        let Some(liquid) = shelf.get_mut(number) else {
            return false;
        };
        let right = "put the amounts right, or state the liquid by abv, sugar and density";
        let contents = match self.mixture.contents() {
            Ok(contents) if contents.volume_ml > 0.0 => contents,
            _ => {
                reader.mistake(recipe.at, "this makes no liquid", right);
                return false;
            }
        };
        let computed = Composition {
            strength: contents.abv_percent / 100.0,
            sugar_g_per_l: contents.sugar_g_per_l,
            measured: Some(Measured {
                density: 1_000.0 * self.mixture.total_g / contents.volume_ml,
                at: 20.0,
            }),
        };
        // What is in a gram is known by the mixing, what a millilitre weighs by the balance.
        let measured = recipe.measured.and_then(|measured| {
            let weighed = Composition {
                measured: Some(measured),
                ..computed
            };
            let denser = weighed.density(20.0).ok()?.density / computed.density(20.0).ok()?.density;
            Some((weighed, denser))
        });
        let (composition, denser) = measured.unwrap_or((computed, 1.0));
        let acid_g_per_l = denser * 1_000.0 * self.acid_g / contents.volume_ml;
        if acid_g_per_l > ACID_MAX_G_PER_L {
            let what = format!("this holds {acid_g_per_l:.0} g/l of acid");
            let right = format!("at most {ACID_MAX_G_PER_L} g/l: add water");
            reader.mistake(recipe.at, what, right);
            return false;
        }
        liquid.set(&Composition {
            strength: (denser * composition.strength).min(1.0),
            sugar_g_per_l: denser * composition.sugar_g_per_l,
            ..composition
        });
        liquid.acid_g_per_l = acid_g_per_l;
        liquid.allergens |= self.allergens;
        if recipe.measured.is_some() {
            liquid.basis = Basis::Measured;
        }
        if !recipe.pours_is_written {
            liquid.family = match contents {
                c if c.sugar_g_per_l > SYRUP_G_PER_L => Family::Syrup,
                c if c.abv_percent > 0.0 => Family::Spirit,
                _ => Family::Juice,
            };
        }
        let (key, composition) = (liquid.key.clone(), liquid.as_composition());
        strength::has_density(reader, recipe.at, &key, &composition)
    }
}
