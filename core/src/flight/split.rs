//! One batch for all glasses, split by weight.

use crate::output::Figure;

/// What a batch holds beyond its portions, at least, millilitres: a film stays in the vessel it is
/// poured from, and every portion may be a little over. Trade judgement, no source.
pub const SPARE_ML: f64 = 5.0;

/// The same as a share of the portions: a third of a tolerance of 3 % for each glass, and more.
pub const SPARE_SHARE: f64 = 0.03;

/// How many times the shared part of one glass goes into a batch for so many of them; the spare is
/// in it. None for a portion that is no volume.
#[must_use]
pub fn times(glasses: u8, portion_ml: f64) -> Option<f64> {
    if !portion_ml.is_finite() || portion_ml <= 0.0 || glasses == 0 {
        return None;
    }
    let portions = f64::from(glasses);
    let spare = (SPARE_ML / portion_ml).max(SPARE_SHARE * portions);
    Some(portions + spare)
}

/// The volumes a flight may serve are those of 5 ml, as a card writes them.
const STEP_ML: f32 = 5.0;

/// What every glass of a flight is served with, millilitres: as much as each of them is likely to
/// reach, one standard deviation below what is expected of it, in whole steps of 5 ml. None
/// without a variant, or where one of them comes to less than a step.
#[must_use]
pub fn served_ml(expected: impl IntoIterator<Item = Figure>) -> Option<f32> {
    let least = expected
        .into_iter()
        .map(|figure| figure.value - figure.sigma)
        .fold(f32::INFINITY, f32::min);
    let steps = libm::floorf(least / STEP_ML);
    (steps >= 1.0 && steps.is_finite()).then_some(steps * STEP_ML)
}
