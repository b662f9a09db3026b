//! A step of the sheet, opened: with its target, its judge and what has been done of it.

use crate::liquid::Composition;
use crate::output::{PourRecord, Verdict};
use crate::pour::{Band, Crew, Judge, Owner, Pour};
use crate::spec::{
    Amount, DrinkId, Family, House, Liquid, LiquidId, Quantity, Sheet, SheetError, Step, Unit,
};
use crate::units::{Grams, Millilitres};
use crate::view::Work;
use crate::weigh::settle::Body;

use super::count::Count;

/// An open step.
#[derive(Clone, Copy, Debug, PartialEq)]
#[expect(
    clippy::large_enum_variant,
    reason = "one at a time, in place, without an allocator"
)]
pub(super) enum Open<'s> {
    /// Something measured into the vessel.
    Pour(PourStep<'s>),
    /// Ice into the vessel.
    Ice {
        /// In so far.
        so_far: Grams,
        low_g: u16,
        high_g: u16,
    },
    /// Stirring or shaking away from the pan.
    Work { work: Work, seconds: u8 },
    /// Straining into the served glass.
    Strain,
}

/// A poured, dashed, spooned or tipped-in step.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct PourStep<'s> {
    pub(super) step: u8,
    pub(super) id: LiquidId,
    pub(super) name: &'s str,
    pub(super) composition: Composition,
    pub(super) grams_per_ml: f32,
    pub(super) amount: Amount,
    pub(super) pour: Pour,
    /// Counted rather than poured: how many, of what size.
    pub(super) count: Option<Counted>,
}

/// A step that is counted.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Counted {
    pub(super) of: u8,
    pub(super) each: Grams,
    pub(super) seen: Count,
}

impl PourStep<'_> {
    /// How many are in.
    pub(super) fn counted(&self, mass: Grams) -> Option<(u8, u8)> {
        let count = self.count?;
        let done = match self.amount.unit {
            Unit::Dash | Unit::Drop => count.seen.number(mass, count.each),
            Unit::Barspoon | Unit::Piece | Unit::Ml | Unit::Cl | Unit::Oz | Unit::Gram => {
                // Half of one is none yet; the cast saturates.
                (mass.0 / count.each.0 + 0.5) as u8
            }
        };
        Some((done.min(count.of), count.of))
    }

    /// What goes into the record.
    pub(super) fn record(&self) -> PourRecord {
        let target = self.pour.judge().target;
        PourRecord {
            step: self.step,
            liquid: self.id,
            amount: self.amount,
            target_volume: Millilitres(target.0 / self.grams_per_ml),
            target,
            poured: self.pour.poured(),
            verdict: self
                .pour
                .verdict()
                .map_or(Verdict::Short, |judged| judged.verdict),
        }
    }
}

/// How a family of liquids drips.
const fn body(family: Family) -> Body {
    match family {
        Family::Syrup => Body::Thick,
        Family::Spirit | Family::Juice | Family::Bitters | Family::Soda | Family::Whole => {
            Body::Thin
        }
    }
}

/// Reads step `number` of `drink`; `Err` with the text where it is a note.
pub(super) fn open<'s>(
    sheet: &Sheet<'s>,
    drink: DrinkId,
    number: u8,
    crew: &Crew,
) -> Result<Result<Open<'s>, &'s str>, SheetError> {
    let step = sheet.step(drink, number)?;
    let house = sheet.house()?;
    let opener = Opener {
        sheet,
        house,
        number,
        crew,
    };
    Ok(Ok(match step {
        Step::Pour { liquid, amount } => {
            Open::Pour(opener.pour(liquid, amount, Band::Mode(crew.mode))?)
        }
        Step::Soda { liquid, amount } => Open::Pour(opener.pour(liquid, amount, Band::Soda)?),
        Step::Dash { liquid, count } => {
            let each = Amount {
                quantity: Quantity::Volume(house.dash_ul),
                unit: Unit::Dash,
            };
            Open::Pour(opener.count(liquid, count, each)?)
        }
        Step::Barspoon { liquid, count } => {
            let each = Amount {
                quantity: Quantity::Volume(house.barspoon_ul),
                unit: Unit::Barspoon,
            };
            Open::Pour(opener.count(liquid, count, each)?)
        }
        Step::Whole {
            liquid,
            count,
            each_mg,
        } => {
            let each = Amount {
                quantity: Quantity::Mass(each_mg),
                unit: Unit::Piece,
            };
            Open::Pour(opener.count(liquid, count, each)?)
        }
        Step::Ice { low_g, high_g } => Open::Ice {
            so_far: Grams::ZERO,
            low_g,
            high_g,
        },
        Step::Stir { seconds } => Open::Work {
            work: Work::Stir,
            seconds,
        },
        Step::Shake { seconds } => Open::Work {
            work: Work::Shake,
            seconds,
        },
        Step::Strain => Open::Strain,
        Step::Note { text } => return Ok(Err(text)),
    }))
}

struct Opener<'a, 's> {
    sheet: &'a Sheet<'s>,
    house: House,
    number: u8,
    crew: &'a Crew,
}

impl<'s> Opener<'_, 's> {
    fn pour(&self, id: LiquidId, amount: Amount, band: Band) -> Result<PourStep<'s>, SheetError> {
        let liquid = self.sheet.liquid(id)?;
        let grams_per_ml = shown_g_per_ml(&liquid)?;
        let target = Grams(shown_g(&amount, &liquid, &self.house)?);
        let judge = Judge::new(target, grams_per_ml, band);
        Ok(self.step(id, &liquid, grams_per_ml, amount, judge, None))
    }

    fn count(&self, id: LiquidId, of: u8, each: Amount) -> Result<PourStep<'s>, SheetError> {
        let liquid = self.sheet.liquid(id)?;
        let grams_per_ml = shown_g_per_ml(&liquid)?;
        let each_g = Grams(shown_g(&each, &liquid, &self.house)?.max(0.01));
        let counted = Counted {
            of,
            each: each_g,
            seen: Count::default(),
        };
        let amount = Amount {
            quantity: Quantity::Count(of),
            unit: each.unit,
        };
        let target = each_g * f32::from(of);
        let judge = Judge::new(target, grams_per_ml, Band::Wide);
        Ok(self.step(id, &liquid, grams_per_ml, amount, judge, Some(counted)))
    }

    fn step(
        &self,
        id: LiquidId,
        liquid: &Liquid<'s>,
        grams_per_ml: f32,
        amount: Amount,
        judge: Judge,
        count: Option<Counted>,
    ) -> PourStep<'s> {
        let owner = Owner {
            hand: self.crew.hand,
            liquid: Some(id),
        };
        PourStep {
            step: self.number,
            id,
            name: liquid.name,
            composition: liquid.composition(),
            grams_per_ml,
            amount,
            pour: Pour::new(judge, owner, body(liquid.family), count.is_none()),
            count,
        }
    }
}

/// A liquid without a density makes its record unusable.
fn shown_g_per_ml(liquid: &Liquid<'_>) -> Result<f32, SheetError> {
    liquid
        .shown_g_per_ml()
        .map(|grams| grams as f32)
        .map_err(|_| SheetError::Record)
}

fn shown_g(amount: &Amount, liquid: &Liquid<'_>, house: &House) -> Result<f32, SheetError> {
    amount
        .shown_g(liquid, house)
        .map(|grams| grams as f32)
        .map_err(|_| SheetError::Record)
}
