//! Amounts as a card at the bar writes them: millilitres in fives, ounces in quarters.
//!
//! Conversions are exact (NIST Handbook 44, Appendix C), but nobody writes 44.36 ml on a card.
//! The roundest number within [`CARD_TOLERANCE`] of the amount is taken; where there is none, the
//! nearest that bars write, and the reader is to be told. So 45 ml stand beside 1 1/2 oz (exact
//! 44.36), 10 ml beside 1/3 oz (9.86) and 60 ml beside 2 oz (59.15), which count as the same card
//! (common practice, no source).

use core::fmt;

use super::Unit;

/// By how much a card may move an amount before it is told, as a share of the amount.
pub const CARD_TOLERANCE: f64 = 0.02;

/// A US fluid ounce is the first over the second, microlitres (NIST Handbook 44, Appendix C:
/// 231 cubic inches to the gallon, 128 fluid ounces to the gallon).
const OZ_UL: (u64, u64) = (473_176_473, 16_000);

/// Into how many parts bars divide an ounce, from the roundest.
const OZ_PARTS: [u32; 3] = [4, 3, 8];

/// The steps in which bars write millilitres, from the roundest, microlitres.
const ML_STEPS: [u32; 4] = [5_000, 2_500, 1_000, 500];

/// An amount as a card writes it: a whole number and a fraction of a unit.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct CardAmount {
    whole: u32,
    /// `above / below` of a unit in lowest terms, or tenths; none where `above` is 0.
    above: u32,
    below: u32,
    unit: Unit,
    /// What it then stands for, microlitres.
    ul: u32,
}

impl CardAmount {
    /// `ul` microlitres in millilitres.
    #[must_use]
    pub fn in_ml(ul: u32) -> Self {
        let steps = ML_STEPS.map(|step| {
            let count = nearest(ul.into(), step.into()).max(1);
            let written = narrow(count.saturating_mul(step.into()));
            Self {
                whole: quotient(written, 1_000),
                above: quotient(remainder(written, 1_000), 100),
                below: 10,
                unit: Unit::Ml,
                ul: written,
            }
        });
        Self::roundest(ul, &steps)
    }

    /// `ul` microlitres in US fluid ounces.
    #[must_use]
    pub fn in_oz(ul: u32) -> Self {
        let steps = OZ_PARTS.map(|parts| {
            let in_parts = u64::from(ul)
                .saturating_mul(OZ_UL.1)
                .saturating_mul(parts.into());
            let count = nearest(in_parts, OZ_UL.0).max(1);
            let over = remainder(narrow(count), parts);
            let common = greatest_common(over, parts);
            Self {
                whole: quotient(narrow(count), parts),
                above: quotient(over, common),
                below: quotient(parts, common),
                unit: Unit::Oz,
                ul: narrow(nearest(
                    count.saturating_mul(OZ_UL.0),
                    OZ_UL.1.saturating_mul(parts.into()),
                )),
            }
        });
        Self::roundest(ul, &steps)
    }

    /// The volume the written amount stands for, microlitres at 20 degC.
    #[must_use]
    pub const fn microlitres(&self) -> u32 {
        self.ul
    }

    /// What writing it so adds to `ul` microlitres, as a share of them; negative when it takes
    /// away.
    #[must_use]
    pub fn moves(&self, ul: u32) -> f64 {
        if ul == 0 {
            return 0.0;
        }
        f64::from(self.ul) / f64::from(ul) - 1.0
    }

    /// Of steps from the roundest on, the first that moves the amount by no more than a card may;
    /// the nearest where none does.
    fn roundest(ul: u32, steps: &[Self]) -> Self {
        let moves = |step: &Self| libm::fabs(step.moves(ul));
        let near = steps.iter().find(|step| moves(step) <= CARD_TOLERANCE);
        let nearest = || {
            steps
                .iter()
                .min_by(|one, other| moves(one).total_cmp(&moves(other)))
        };
        near.or_else(nearest).copied().unwrap_or(Self {
            whole: 0,
            above: 0,
            below: 1,
            unit: Unit::Ml,
            ul: 0,
        })
    }
}

impl fmt::Display for CardAmount {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match (self.unit, self.whole, self.above) {
            (Unit::Oz, 0, above) => write!(f, "{above}/{} oz", self.below),
            (Unit::Oz, whole, 0) => write!(f, "{whole} oz"),
            (Unit::Oz, whole, above) => write!(f, "{whole} {above}/{} oz", self.below),
            (_, whole, 0) => write!(f, "{whole} ml"),
            (_, whole, tenths) => write!(f, "{whole}.{tenths} ml"),
        }
    }
}

/// `above / below` to the nearest whole number, halves rounded up; 0 over nothing.
fn nearest(above: u64, below: u64) -> u64 {
    above
        .saturating_mul(2)
        .saturating_add(below)
        .checked_div(below.saturating_mul(2))
        .unwrap_or(0)
}

fn narrow(value: u64) -> u32 {
    u32::try_from(value).unwrap_or(u32::MAX)
}

fn quotient(above: u32, below: u32) -> u32 {
    above.checked_div(below).unwrap_or(0)
}

fn remainder(above: u32, below: u32) -> u32 {
    above.checked_rem(below).unwrap_or(0)
}

/// Euclid's; `b` where `a` is 0.
fn greatest_common(a: u32, b: u32) -> u32 {
    match a.checked_rem(b) {
        Some(rest) if rest > 0 => greatest_common(b, rest),
        _ => b,
    }
}
