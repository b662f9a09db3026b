//! A step of the sheet, opened: with its target, its judge and what has been done of it.

use crate::input::Mode;
use crate::liquid::Composition;
use crate::output::{PourRecord, Verdict};
use crate::pour::{Band, Crew, Judge, Owner, Pour};
use crate::spec::{
    Amount, DrinkId, Family, Liquid, LiquidId, Quantity, Sheet, SheetError, Step, Unit,
};
use crate::units::{Grams, Millilitres};
use crate::view::Work;
use crate::weigh::settle::Body;

use super::count::Count;

/// An open step.
#[derive(Clone, Copy, Debug)]
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
#[derive(Clone, Copy, Debug)]
pub(super) struct PourStep<'s> {
    pub(super) step: u8,
    pub(super) id: LiquidId,
    pub(super) name: &'s str,
    pub(super) composition: Composition,
    pub(super) grams_per_ml: f32,
    pub(super) amount: Amount,
    /// What is asked for, at 20 degC or as poured.
    volume: Millilitres,
    pub(super) pour: Pour,
    /// Counted rather than poured: how many, of what size.
    pub(super) count: Option<Counted>,
}

/// A step that is counted.
#[derive(Clone, Copy, Debug)]
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
            // Done when the vessel is back.
            Unit::Rinse => 0,
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
            target_volume: self.volume,
            target,
            poured: self.pour.poured(),
            verdict: self
                .pour
                .verdict()
                .map_or(Verdict::Short, |judged| judged.verdict),
        }
    }
}

/// How much of the spec is built: grown after an over-pour, and for so many glasses in one vessel.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Portion {
    pub(super) growth: f32,
    pub(super) glasses: u8,
}

impl Portion {
    pub(super) const ONE: Self = Self {
        growth: 1.0,
        glasses: 1,
    };

    /// By what a liquid of the spec is multiplied.
    pub(super) fn factor(self) -> f32 {
        self.growth * f32::from(self.glasses)
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
    portion: Portion,
    crew: &Crew,
) -> Result<Result<Open<'s>, &'s str>, SheetError> {
    let step = sheet.step(drink, number)?;
    let house = sheet.house()?;
    let opener = Opener {
        sheet,
        as_poured: sheet.drink(drink)?.as_poured,
        number,
        portion,
        crew,
    };
    Ok(Ok(match step {
        Step::Pour { liquid, amount } => {
            let band = match (crew.mode, amount.quantity) {
                (Mode::Develop, Quantity::Mass(_)) => Band::Portion,
                (mode, _) => Band::Mode(mode),
            };
            Open::Pour(opener.pour(liquid, amount, band)?)
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
        Step::Rinse { liquid } => {
            let each = Amount {
                quantity: Quantity::Mass(0),
                unit: Unit::Rinse,
            };
            Open::Pour(opener.count(liquid, 1, each)?)
        }
        Step::Ice { low_g, high_g } => Open::Ice {
            so_far: Grams::ZERO,
            low_g: low_g.saturating_mul(portion.glasses.into()),
            high_g: high_g.saturating_mul(portion.glasses.into()),
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
    as_poured: bool,
    number: u8,
    portion: Portion,
    crew: &'a Crew,
}

impl<'s> Opener<'_, 's> {
    fn pour(&self, id: LiquidId, amount: Amount, band: Band) -> Result<PourStep<'s>, SheetError> {
        let liquid = self.sheet.liquid(id)?;
        let mut measure =
            Measure::of(amount, &liquid, self.as_poured)?.times(self.portion.factor());
        let mut amount = amount;
        if self.crew.mode == Mode::Prep {
            // Asked for, shown and judged in grams; the cast saturates.
            measure.grams_per_ml = 1.0;
            amount = Amount {
                quantity: Quantity::Mass((1e3 * measure.mass.0) as u32),
                unit: Unit::Gram,
            };
        }
        let judge = Judge::new(measure.mass, measure.grams_per_ml, band);
        Ok(self.step(id, &liquid, measure, amount, judge, None))
    }

    fn count(&self, id: LiquidId, of: u8, each: Amount) -> Result<PourStep<'s>, SheetError> {
        let liquid = self.sheet.liquid(id)?;
        let of = of.saturating_mul(self.portion.glasses);
        let one = Measure::of(each, &liquid, self.as_poured)?;
        let counted = Counted {
            of,
            each: Grams(one.mass.0.max(0.01)),
            seen: Count::default(),
        };
        let amount = Amount {
            quantity: Quantity::Count(of),
            unit: each.unit,
        };
        let all = one.times(of.into());
        let band = match each.unit {
            Unit::Rinse => Band::Any,
            _ => Band::Wide,
        };
        let judge = Judge::new(all.mass, all.grams_per_ml, band);
        Ok(self.step(id, &liquid, all, amount, judge, Some(counted)))
    }

    fn step(
        &self,
        id: LiquidId,
        liquid: &Liquid<'s>,
        measure: Measure,
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
            grams_per_ml: measure.grams_per_ml,
            amount,
            volume: measure.volume,
            pour: Pour::new(judge, owner, body(liquid.family), count.is_none()),
            count,
        }
    }
}

/// An amount of one liquid: its volume as the drink means it and what the scale shows of it.
#[derive(Clone, Copy)]
struct Measure {
    volume: Millilitres,
    mass: Grams,
    grams_per_ml: f32,
}

impl Measure {
    fn times(self, factor: f32) -> Self {
        Self {
            volume: self.volume * factor,
            mass: self.mass * factor,
            ..self
        }
    }

    /// A liquid without a density makes its record unusable.
    fn of(amount: Amount, liquid: &Liquid<'_>, as_poured: bool) -> Result<Self, SheetError> {
        let Ok(density) = liquid.shown_g_per_ml(as_poured) else {
            return Err(SheetError::Record);
        };
        let grams_per_ml = density as f32;
        let (volume, mass) = match amount.quantity {
            Quantity::Volume(ul) => {
                let ml = f64::from(ul) / 1e3;
                (ml as f32, (ml * density) as f32)
            }
            Quantity::Mass(mg) => {
                let grams = mg as f32 / 1e3;
                (grams / grams_per_ml, grams)
            }
            Quantity::Count(_) => return Err(SheetError::Record),
        };
        Ok(Self {
            volume: Millilitres(volume),
            mass: Grams(mass),
            grams_per_ml,
        })
    }
}
