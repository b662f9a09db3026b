//! Pours beside OIML R 61-1, automatic gravimetric filling instruments.
//!
//! Its measure is the deviation of each fill from the mean of the fills; how far that mean is
//! from what was set is another error with a limit of its own. Limits are those of class X(1)
//! times x. It is a yardstick here and no approval: a person pours.
//!
//! Limits: Table 1 as the United Kingdom's SI 2000/388 and SI 2006/1258, Schedule 5 each,
//! reproduce it; that these follow the editions of 1996 and 2004 is from memory. Classes: 1, 2
//! and 5 times a power of ten, 2 at most (directive 2014/32/EU, annex MI-006). Sixty fills of
//! up to 1 kg for a test: from memory.

use serde::Serialize;

/// Fills that are taken together.
pub const FILLS: usize = 60;
/// The mean may be off the preset by so much of the in-service limit.
const PRESET_SHARE: f64 = 0.25;

/// Up to which mass of the fill, grams, and what it may then deviate.
const LIMITS: [(f64, Limit); 6] = [
    (
        50.0,
        Limit::Percent {
            initial: 6.3,
            in_service: 9.0,
        },
    ),
    (
        100.0,
        Limit::Grams {
            initial: 3.15,
            in_service: 4.5,
        },
    ),
    (
        200.0,
        Limit::Percent {
            initial: 3.15,
            in_service: 4.5,
        },
    ),
    (
        300.0,
        Limit::Grams {
            initial: 6.3,
            in_service: 9.0,
        },
    ),
    (
        500.0,
        Limit::Percent {
            initial: 2.1,
            in_service: 3.0,
        },
    ),
    (
        1000.0,
        Limit::Grams {
            initial: 10.5,
            in_service: 15.0,
        },
    ),
];

#[derive(Clone, Copy, Debug)]
enum Limit {
    Percent { initial: f64, in_service: f64 },
    Grams { initial: f64, in_service: f64 },
}

/// What a fill of `fill_g` grams may deviate from the mean in class X(1), grams: on initial
/// verification and in service. Nothing beyond 1 kg, which nobody pours.
#[must_use]
pub fn limits_g(fill_g: f64) -> Option<(f64, f64)> {
    let row = LIMITS.iter().find(|(to_g, _)| fill_g <= *to_g);
    row.map(|(_, limit)| match *limit {
        Limit::Percent {
            initial,
            in_service,
        } => (initial / 100.0 * fill_g, in_service / 100.0 * fill_g),
        Limit::Grams {
            initial,
            in_service,
        } => (initial, in_service),
    })
}

/// Fills by that measure.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Filling {
    /// Fills that were looked at, in lots of [`FILLS`].
    pub fills: usize,
    /// Furthest from the mean of its lot, grams.
    pub deviation_g: f64,
    /// Class X(1) allows this on initial verification, grams.
    pub limit_x1_g: f64,
    /// The least class whose limit it keeps; none up to 2.
    pub class_x: Option<f64>,
    /// The mean furthest from the preset, less it, grams.
    pub set_point_error_g: f64,
    /// It is within what that class allows.
    pub set_point_meets: bool,
}

/// Judges fills in their order; a last lot that is not full is left out.
#[must_use]
pub fn filling(fills_g: &[f64], preset_g: f64) -> Option<Filling> {
    let (initial_g, in_service_g) = limits_g(preset_g)?;
    let (mut fills, mut deviation_g, mut set_point_error_g) = (0, 0.0_f64, 0.0_f64);
    for lot in fills_g.chunks_exact(FILLS) {
        let mean = lot.iter().sum::<f64>() / FILLS as f64;
        let furthest = lot.iter().map(|fill| (fill - mean).abs());
        deviation_g = deviation_g.max(furthest.fold(0.0, f64::max));
        if (mean - preset_g).abs() > set_point_error_g.abs() {
            set_point_error_g = mean - preset_g;
        }
        fills += FILLS;
    }
    if fills == 0 {
        return None;
    }
    let class_x = class(deviation_g / initial_g);
    Some(Filling {
        fills,
        deviation_g,
        limit_x1_g: initial_g,
        class_x,
        set_point_error_g,
        set_point_meets: class_x
            .is_some_and(|x| set_point_error_g.abs() <= PRESET_SHARE * x * in_service_g),
    })
}

/// The least of 0.01, 0.02, 0.05 .. 1, 2 that is no less than `x`.
fn class(x: f64) -> Option<f64> {
    let classes = [0.01, 0.02, 0.05, 0.1, 0.2, 0.5, 1.0, 2.0];
    classes.into_iter().find(|class| x <= class * (1.0 + 1e-9))
}
