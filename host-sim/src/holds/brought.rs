//! The liquids a build brings in, line by line.

use pennyweight_core::liquid::{LiquidError, Target};
use pennyweight_core::spec::{Amount, LiquidId, Quantity, Step, Unit};

use crate::sheet::{BuildLine, HouseDrink, HouseLiquid, HouseSheet};

/// One liquid a line brings in.
#[derive(Clone, Copy, Debug)]
pub(super) struct Brought<'s> {
    pub(super) id: LiquidId,
    pub(super) liquid: &'s HouseLiquid,
    pub(super) amount: Amount,
    pub(super) target: Target,
}

/// Where a liquid comes in, in relation to the ice.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(super) enum Stage {
    /// Before the drink is strained, or at all where it is not.
    Built,
    /// Into the served glass after the strain.
    OnTop,
}

/// A line with what it brings in, if it brings in a liquid.
#[derive(Clone, Copy, Debug)]
pub(super) struct Line<'s> {
    pub(super) line: &'s BuildLine,
    pub(super) stage: Stage,
    pub(super) brought: Option<Brought<'s>>,
}

/// The lines of `drink`.
///
/// # Errors
/// [`LiquidError`] when a liquid has no density.
pub(super) fn lines<'s>(
    sheet: &'s HouseSheet,
    drink: &'s HouseDrink,
) -> Result<Vec<Line<'s>>, LiquidError> {
    let mut stage = Stage::Built;
    drink
        .build
        .iter()
        .map(|line| {
            if line.step() == Step::Strain {
                stage = Stage::OnTop;
            }
            let brought = brought_in(line)
                .and_then(|(id, amount)| Some((id, amount, sheet.liquid(id)?)))
                .map(|(id, amount, liquid)| {
                    let (packed, house) = (liquid.as_liquid(), sheet.house());
                    let target = if drink.as_poured {
                        amount.target_poured(&packed, &house)?
                    } else {
                        amount.target(&packed, &house)?
                    };
                    Ok(Brought {
                        id,
                        liquid,
                        amount,
                        target,
                    })
                })
                .transpose()?;
            Ok(Line {
                line,
                stage,
                brought,
            })
        })
        .collect()
}

/// The liquid a line brings in, and how much of it.
fn brought_in(line: &BuildLine) -> Option<(LiquidId, Amount)> {
    let counted = |liquid, count, unit| {
        let quantity = Quantity::Count(count);
        Some((liquid, Amount { quantity, unit }))
    };
    if let Some((liquid, count)) = line.drops() {
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
        // What a rinse leaves is weighed when it is made.
        | Step::Rinse { .. }
        | Step::Note { .. } => None,
    }
}
