//! What one line of a build comes to on the scale.

use pennyweight_core::Mode;
use pennyweight_core::limits::{SETTLE_G, UNSEEN_G, VERDICT_SIGMA_SHARE};
use pennyweight_core::pour::{Band, Judge};
use pennyweight_core::spec::{Family, Quantity, Unit};
use pennyweight_core::units::Grams;
use serde::Serialize;

use super::brought::{Brought, Line};
use crate::sheet::Spreads;

/// What one step brings in.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct StepHolds {
    /// The line as it was written.
    pub written: String,
    /// Millilitres at 20 degC, if it brings in a liquid.
    pub ml: Option<f64>,
    /// What the scale shows of it, grams; of drops, what it would show if it could see them.
    pub g: Option<f64>,
    /// Within this it is good, grams.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub tolerance_g: Option<f64>,
    /// One standard deviation of the density, percent.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub density_sigma_percent: Option<f64>,
    /// Where the density comes from.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub density_from: Option<&'static str>,
    /// Why the scale cannot judge it.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub unresolved: Option<Unresolved>,
}

/// Why the scale cannot judge a pour within its tolerance.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Unresolved {
    /// Too little to be seen at all: taken as done.
    Unseen,
    /// The tolerance is as large as the amount: nothing poured would be good too.
    TooWide,
    /// The tolerance is finer than the scale reads.
    TooFine,
}

impl Unresolved {
    /// In a few words.
    #[must_use]
    pub fn sentence(self) -> &'static str {
        match self {
            Self::Unseen => "too little for the scale to see: taken as done",
            Self::TooWide => "its tolerance is as large as itself: use a batch or a barspoon",
            Self::TooFine => "finer than the scale reads",
        }
    }
}

/// What `line` comes to in a bar working in `mode`.
pub(super) fn step(line: &Line<'_>, mode: Mode) -> StepHolds {
    let judged = line.brought.as_ref().map(|brought| judge(brought, mode));
    StepHolds {
        written: line.line.written.clone(),
        ml: line.brought.map(|brought| brought.target.volume_ml),
        g: line.brought.map(|brought| brought.target.shown_g),
        tolerance_g: judged.map(|judge| f64::from(judge.tolerance.0)),
        density_sigma_percent: line
            .brought
            .and_then(|brought| brought.liquid.estimate(20.0).ok())
            .map(|estimate| estimate.sigma_percent),
        density_from: line.brought.map(|brought| brought.liquid.basis.sentence()),
        unresolved: line
            .brought
            .zip(judged)
            .and_then(|(brought, judge)| unresolved(&brought, &judge)),
    }
}

/// How the station judges it.
fn judge(brought: &Brought<'_>, mode: Mode) -> Judge {
    let band = match (brought.amount.unit, brought.liquid.family) {
        (Unit::Rinse, _) => Band::Any,
        (Unit::Dash | Unit::Barspoon | Unit::Drop | Unit::Piece, _) | (_, Family::Whole) => {
            Band::Wide
        }
        (_, Family::Soda) => Band::Soda,
        _ => Band::Mode(mode),
    };
    let target = &brought.target;
    let per_ml = if target.volume_ml > 0.0 {
        target.shown_g / target.volume_ml
    } else {
        1.0
    };
    Judge::new(Grams(target.shown_g as f32), per_ml as f32, band)
}

fn unresolved(brought: &Brought<'_>, judge: &Judge) -> Option<Unresolved> {
    let counted = matches!(brought.amount.unit, Unit::Dash | Unit::Barspoon);
    if !counted && judge.target.0 < UNSEEN_G {
        Some(Unresolved::Unseen)
    } else if !counted && judge.tolerance >= judge.target {
        Some(Unresolved::TooWide)
    } else if VERDICT_SIGMA_SHARE * judge.tolerance.0 < SETTLE_G {
        Some(Unresolved::TooFine)
    } else {
        None
    }
}

/// One standard deviation of what is poured, grams: the tolerance as the ends of an even spread
/// (JCGM 100, 4.3.7), or the spread of the house measure.
pub(super) fn poured_sigma_g(brought: &Brought<'_>, mode: Mode, spreads: &Spreads) -> f64 {
    let each_ul = match brought.amount.unit {
        Unit::Dash => Some(spreads.dash_ul),
        Unit::Barspoon => Some(spreads.barspoon_ul),
        Unit::Drop => Some(spreads.drop_ul),
        Unit::Ml | Unit::Cl | Unit::Oz | Unit::Gram | Unit::Piece | Unit::Rinse => None,
    };
    let target = &brought.target;
    match each_ul {
        Some(each_ul) => {
            let count = match brought.amount.quantity {
                Quantity::Count(count) => f64::from(count),
                _ => 1.0,
            };
            count.sqrt() * each_ul / 1000.0 * target.estimate.density / 1000.0
        }
        None => f64::from(judge(brought, mode).tolerance.0) / 3_f64.sqrt(),
    }
}
