//! A mass shown in the unit of the sheet.

use super::{ML_PER_OZ, Unit};
use crate::units::Grams;

/// A number with its unit, without a float: `value / 10^decimals`.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub struct Reading {
    /// The digits.
    pub value: i32,
    /// How many of them stand behind the point (0 to 2).
    pub decimals: u8,
    /// The unit.
    pub unit: Unit,
}

impl Reading {
    /// What `mass` of a liquid is in `unit`, for a liquid of which one millilitre shows as `shown_g_per_ml` grams on the scale.
    ///
    /// Ounces to hundredths; millilitres whole, to tenths below 10; centilitres to tenths, to
    /// hundredths below 1; grams to tenths. Dashes, barspoons, drops and pieces are counted,
    /// not read off, so a mass of them is in grams; so is a liquid without a positive
    /// density. A mass that is no number reads as 0.
    #[must_use]
    pub fn of_mass(mass: Grams, shown_g_per_ml: f32, unit: Unit) -> Self {
        let ml = mass.0 / shown_g_per_ml;
        let dense = shown_g_per_ml.is_finite() && shown_g_per_ml > 0.0;
        match unit {
            Unit::Ml if dense => Self::stepped(ml, 0, unit),
            Unit::Cl if dense => Self::stepped(ml, 1, unit),
            Unit::Oz if dense => Self::rounded(ml / ML_PER_OZ as f32, 2, unit),
            Unit::Ml
            | Unit::Cl
            | Unit::Oz
            | Unit::Gram
            | Unit::Dash
            | Unit::Barspoon
            | Unit::Drop
            | Unit::Piece
            | Unit::Rinse => Self::rounded(mass.0, 1, Unit::Gram),
        }
    }

    /// Millilitres with one digit more below 10 ml; `decimals` are those of the coarse step,
    /// which is 1 ml in either unit.
    fn stepped(ml: f32, decimals: u8, unit: Unit) -> Self {
        let fine = nearest(ml * 10.0);
        if fine.unsigned_abs() < 100 {
            Self {
                value: fine,
                decimals: decimals.saturating_add(1),
                unit,
            }
        } else {
            Self {
                value: nearest(ml),
                decimals,
                unit,
            }
        }
    }

    fn rounded(value: f32, decimals: u8, unit: Unit) -> Self {
        let scale = if decimals == 2 { 100.0 } else { 10.0 };
        Self {
            value: nearest(value * scale),
            decimals,
            unit,
        }
    }
}

/// The nearest integer, halves away from zero; what is no number is 0, what is too large stays
/// at the end of the range.
fn nearest(value: f32) -> i32 {
    // `as` saturates and takes NaN to 0.
    libm::roundf(value) as i32
}
