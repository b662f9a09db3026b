//! What the house has that could stand in for a liquid of a drink.

use pennyweight_core::liquid::stand_in::{Found, Profile, amounts};
use pennyweight_core::liquid::{LiquidError, Mixture, target};
use pennyweight_core::spec::{Family, LiquidId};
use serde::Serialize;

use super::brought::lines;
use super::drink::{ETHANOL_G_PER_L, profile};
use crate::sheet::{Basis, HouseDrink, HouseLiquid, HouseSheet, allergen_words};

/// The stand-in may be from a quarter to two and a half times as much as what it stands in for;
/// the second of two from nothing to as much. Chosen, no source.
const FIRST: (f64, f64) = (0.25, 2.5);
const SECOND: (f64, f64) = (0.0, 1.0);

/// Two bottles in place of one must miss by less than this share of what one misses by.
const TWO_PAY: f64 = 0.5;

/// What a flavour that is not shared costs, beside the residuals. Chosen, no source.
const TAGS: f64 = 0.15;

/// What a hundred percent by volume between the two liquids cost. Chosen, no source.
const STRENGTH: f64 = 0.2;

/// What a second bottle costs in the hand, likewise. Chosen, no source.
const SECOND_BOTTLE: f64 = 0.02;

/// What is further from the drink than this is another drink. Chosen, no source.
const TOO_FAR: f64 = 0.4;

/// How many are told.
const MOST: usize = 6;

/// What could stand in, the best first.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct StandIns {
    /// The drink.
    pub drink: String,
    /// What is missing.
    pub liquid: String,
    /// The drink as it is written.
    pub was: DrinkWith,
    /// What could stand in.
    pub stand_ins: Vec<StandIn>,
}

/// One way to do without.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct StandIn {
    /// What goes in instead, one liquid or two.
    pub instead: Vec<Instead>,
    /// What the drink then holds.
    pub drink: DrinkWith,
    /// Flavours shared with what is missing, as the author tagged them.
    pub shared_tags: Vec<String>,
    /// Allergen groups that come in by it.
    pub allergens_added: Vec<&'static str>,
    /// Less is nearer.
    pub distance: f64,
}

/// A liquid in place of the missing one.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Instead {
    /// Its name.
    pub liquid: String,
    /// Millilitres at 20 degC.
    pub ml: f64,
}

/// A drink undiluted, with its balance; as written, no tolerance reckoned.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct DrinkWith {
    /// Millilitres at 20 degC.
    pub volume_ml: f64,
    /// Percent by volume.
    pub abv_percent: f64,
    /// Grams per litre.
    pub sugar_g_per_l: f64,
    /// Grams per litre, as citric.
    pub acid_g_per_l: f64,
    /// Grams of pure ethanol.
    pub ethanol_g: f64,
    /// Grams of sugar to a gram of acid; nothing where the drink is not sour (3 g/l of acid).
    pub sugar_to_acid: Option<f64>,
}

/// A drink without one of its liquids.
struct Wanting<'s> {
    sheet: &'s HouseSheet,
    missing: &'s HouseLiquid,
    rest: Vec<(&'s HouseLiquid, f64)>,
    rest_profile: Profile,
    removed: Profile,
    allergens: u16,
}

/// What could stand in for `missing` in `drink`; nothing where the drink does not hold it.
///
/// # Errors
/// [`LiquidError`] when a liquid has no density.
pub fn stand_ins(
    sheet: &HouseSheet,
    drink: &HouseDrink,
    missing: LiquidId,
) -> Result<Option<StandIns>, LiquidError> {
    let Some(wanting) = Wanting::of(sheet, drink, missing)? else {
        return Ok(None);
    };
    let removed = [(wanting.missing, wanting.removed.volume_ml)];
    let was = wanting.with(&removed)?;
    let mut ways = wanting.ways()?;
    ways.retain(|way| way.distance < TOO_FAR);
    ways.sort_by(|one, other| one.distance.total_cmp(&other.distance));
    let mut told: Vec<Vec<String>> = Vec::new();
    ways.retain(|way| {
        // Two liquids are found once from either side.
        let mut names: Vec<String> = way.instead.iter().map(|it| it.liquid.clone()).collect();
        names.sort();
        let new = !told.contains(&names);
        told.push(names);
        new
    });
    ways.truncate(MOST);
    Ok(Some(StandIns {
        drink: drink.name.clone(),
        liquid: wanting.missing.name.clone(),
        was,
        stand_ins: ways,
    }))
}

impl<'s> Wanting<'s> {
    fn of(
        sheet: &'s HouseSheet,
        drink: &'s HouseDrink,
        missing: LiquidId,
    ) -> Result<Option<Self>, LiquidError> {
        let Some(liquid) = sheet.liquid(missing) else {
            return Ok(None);
        };
        let mut wanting = Self {
            sheet,
            missing: liquid,
            rest: Vec::new(),
            rest_profile: Profile::default(),
            removed: Profile::default(),
            allergens: 0,
        };
        for brought in lines(sheet, drink)?.iter().filter_map(|line| line.brought) {
            let brings = profile(brought);
            if brought.id == missing {
                wanting.removed = wanting.removed.and(brings);
            } else {
                wanting.rest_profile = wanting.rest_profile.and(brings);
                wanting.rest.push((brought.liquid, brings.volume_ml));
                wanting.allergens |= brought.liquid.allergens;
            }
        }
        Ok((wanting.removed.volume_ml > 0.0).then_some(wanting))
    }

    /// Every liquid that could, alone; and with a second where that pays.
    fn ways(&self) -> Result<Vec<StandIn>, LiquidError> {
        let joining: Vec<(&HouseLiquid, Profile)> = self
            .sheet
            .liquids()
            .iter()
            .filter(|liquid| self.may_join(liquid))
            .map(|liquid| (liquid, per_ml(liquid)))
            .collect();
        let mut ways = Vec::new();
        for first in joining.iter().filter(|(liquid, _)| self.could(liquid)) {
            let Some(alone) = self.found(first.1, Profile::default(), (0.0, 0.0)) else {
                continue;
            };
            ways.push(self.way(&[(first.0, alone.ml[0])], &alone)?);
            let best = joining
                .iter()
                .filter(|second| second.0.key != first.0.key)
                .filter_map(|second| Some((second, self.found(first.1, second.1, SECOND)?)))
                .filter(|(_, both)| both.ml.iter().all(|ml| *ml >= LEAST_ML))
                .min_by(|(_, one), (_, other)| one.cost.total_cmp(&other.cost));
            if let Some((second, both)) = best
                && distance(&both) < TWO_PAY * distance(&alone)
            {
                let liquids = [(first.0, both.ml[0]), (second.0, both.ml[1])];
                ways.push(self.way(&liquids, &both)?);
            }
        }
        Ok(ways)
    }

    /// Alone or as the first of two, a liquid stands in for its own kind: a syrup for a syrup.
    /// Salt water stands in for nothing but salt water.
    fn could(&self, liquid: &HouseLiquid) -> bool {
        liquid.key != self.missing.key
            && liquid.family == self.missing.family
            && self.may_join(liquid)
    }

    /// As the second of two: nothing that changes what the drink is, by salt, milk or sourness.
    fn may_join(&self, liquid: &HouseLiquid) -> bool {
        let poured = matches!(
            liquid.family,
            Family::Spirit | Family::Syrup | Family::Juice
        );
        let of = |one: &HouseLiquid, basis| one.basis == basis;
        let alike = |basis| of(liquid, basis) == of(self.missing, basis);
        let whole = self.rest_profile.and(self.removed);
        let sours = whole.sugar_to_acid().is_none() && per_ml(liquid).sugar_to_acid().is_some();
        liquid.key != self.missing.key
            && (poured || liquid.family == self.missing.family)
            && alike(Basis::Saline)
            && alike(Basis::Dairy)
            && !sours
    }

    fn found(&self, first: Profile, second: Profile, second_times: (f64, f64)) -> Option<Found> {
        let ml = self.removed.volume_ml;
        let bounds = |(least, most): (f64, f64)| (least * ml, most * ml);
        let with = [first, second];
        let bounds = [bounds(FIRST), bounds(second_times)];
        amounts(self.rest_profile, self.removed, with, bounds)
    }

    fn way(&self, instead: &[(&HouseLiquid, f64)], found: &Found) -> Result<StandIn, LiquidError> {
        let tags = |liquid: &HouseLiquid| liquid.tags.clone();
        let shared: Vec<String> = self
            .missing
            .tags
            .iter()
            .filter(|tag| instead.iter().any(|(liquid, _)| tags(liquid).contains(tag)))
            .cloned()
            .collect();
        let wanted = self.missing.tags.len();
        let unshared = match wanted {
            0 => 0.0,
            _ => 1.0 - shared.len() as f64 / wanted as f64,
        };
        let strength = |liquid: &HouseLiquid| liquid.as_composition().strength;
        let stronger = instead.first().map_or(0.0, |(liquid, _)| {
            (strength(liquid) - strength(self.missing)).abs()
        });
        let second = SECOND_BOTTLE * (instead.len() as f64 - 1.0);
        let added = instead
            .iter()
            .fold(0, |groups, (liquid, _)| groups | liquid.allergens);
        let kept = self.allergens | self.missing.allergens;
        Ok(StandIn {
            instead: instead
                .iter()
                .map(|(liquid, ml)| Instead {
                    liquid: liquid.name.clone(),
                    ml: *ml,
                })
                .collect(),
            drink: self.with(instead)?,
            shared_tags: shared,
            allergens_added: allergen_words(added & !kept),
            distance: distance(found) + TAGS * unshared + STRENGTH * stronger + second,
        })
    }

    /// The drink with these in place of the missing liquid.
    fn with(&self, instead: &[(&HouseLiquid, f64)]) -> Result<DrinkWith, LiquidError> {
        let mut mixture = Mixture::default();
        let mut sums = self.rest_profile;
        for (liquid, ml) in self.rest.iter().chain(instead) {
            let composition = liquid.as_liquid().composition();
            mixture.add(&composition, target(*ml, &composition)?.mass_g, 0.0)?;
        }
        for (liquid, ml) in instead {
            sums = sums.and(per_ml(liquid).times(*ml));
        }
        let contents = mixture.contents()?;
        Ok(DrinkWith {
            volume_ml: contents.volume_ml,
            abv_percent: contents.abv_percent,
            sugar_g_per_l: contents.sugar_g_per_l,
            acid_g_per_l: 1000.0 * sums.acid_g / contents.volume_ml.max(1e-9),
            ethanol_g: contents.ethanol_g,
            sugar_to_acid: sums.sugar_to_acid(),
        })
    }
}

/// Less of a second liquid is not worth the bottle, millilitres.
const LEAST_ML: f64 = 1.0;

/// How far a drink is from what it was: the root of the cost, which is in shares of what the
/// drink held, by weight.
fn distance(found: &Found) -> f64 {
    found.cost.sqrt()
}

/// A millilitre of `liquid`.
fn per_ml(liquid: &HouseLiquid) -> Profile {
    let composition = liquid.as_liquid().composition();
    Profile {
        volume_ml: 1.0,
        ethanol_g: composition.strength * ETHANOL_G_PER_L / 1000.0,
        sugar_g: composition.sugar_g_per_l / 1000.0,
        acid_g: liquid.acid_g_per_l / 1000.0,
    }
}
