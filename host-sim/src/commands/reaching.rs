//! What the reaching and moving of a round take, by the core's own plan.

use pennyweight_core::round::plan::{Glass, Here, Plan, Tool};
use pennyweight_core::spec::{DrinkId, Sheet};
use serde::Serialize;

/// Bottles picked up and glasses moved, until the vessels are taken away to be worked.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Reaching {
    /// Each glass finished before the next is begun.
    pub one_by_one_s: f64,
    /// As the panel offers, the bottle in the hand serving the next glass too.
    pub side_by_side_s: f64,
}

impl Reaching {
    /// Of the drinks ordered; `None` for one alone. Beyond the glasses of a plan the first count.
    #[must_use]
    pub fn of(sheet: &Sheet<'_>, ordered: &[DrinkId]) -> Option<Self> {
        let mut plan = Plan::default();
        for drink in ordered {
            plan.add(Glass::of_drink(sheet, *drink, 0));
        }
        let here = Here {
            glass: None,
            tool: Tool::NONE,
        };
        let seconds = |tenths: u16| f64::from(tenths) / 10.0;
        (ordered.len() > 1).then(|| Self {
            one_by_one_s: seconds(plan.one_by_one(here)),
            side_by_side_s: seconds(plan.side_by_side(here)),
        })
    }
}
