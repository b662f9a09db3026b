//! Why no line is given, each reason with its bound.

use super::fit::{GravityRatio, Point, Seen};
use super::standing::{Level, STANDING_S};
use super::weights::Weight;

/// Weights at most.
pub const POINTS: usize = 5;
/// The heaviest weight is at least so much of the capacity: below it, the errors of a small load
/// would be told for a large one (design).
pub const LEAST_SPAN_SHARE: f64 = 0.1;
/// ... and at least so many codes: one code is then 0.01 % of it (design).
pub const LEAST_SPAN_CODES: f64 = 10_000.0;
/// Standard error of a point, and half of its drift while it stood, over the span (design).
pub const STEADY_SHARE: f64 = 2e-4;
/// Zero and a repeat may come back off by so much of the span: creep and warming up of a sound
/// cell within minutes. OIML R 60-1 allows a C3 cell 0.735 of 3000 divisions, 2.45e-4, in 30
/// minutes.
pub const RETURN_SHARE: f64 = 3e-4;
/// Creep between setting down and the middle of the standing time: an even spread of so much of
/// the load (design: simulated cells that creep by 6e-4 in all creep by 5e-5 in the first four
/// seconds). What creeps later is no error of the span.
pub const CREEP_SHARE: f64 = 5e-5;
/// Sigmas of noise that a difference may reach before it counts as one.
pub const NOISE_SIGMAS: f64 = 4.0;
/// Gravity differs by half a percent from equator to pole (normal gravity 9.780 to 9.832 m/s2,
/// GRS 80); a ratio further off than one percent is a slip.
pub const GRAVITY_RATIO: (f64, f64) = (0.99, 1.01);

/// Why no line is given, each with its bound.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Refusal {
    /// No weight.
    NoWeights,
    /// More weights than [`POINTS`].
    TooMany,
    /// Something is not a number, or no mass or tolerance.
    NotANumber,
    /// Two weights of one nominal mass.
    Duplicate {
        /// It, grams.
        grams: f64,
    },
    /// Gravity's ratio is out of [`GRAVITY_RATIO`].
    Gravity {
        /// The ratio.
        ratio: f64,
    },
    /// The heaviest weight is below [`LEAST_SPAN_SHARE`] of the capacity.
    SpanTooLight {
        /// The heaviest, grams.
        grams: f64,
        /// What it must be, grams.
        least_g: f64,
    },
    /// It is beyond the capacity.
    BeyondCapacity {
        /// The heaviest, grams.
        grams: f64,
        /// The capacity, grams.
        most_g: f64,
    },
    /// It moves the code by too little.
    SpanTooShort {
        /// By how much, codes.
        codes: f64,
        /// What it must be, codes.
        least: f64,
    },
    /// A heavier weight does not give more (or, for a cell wired the other way, less).
    NotMonotone {
        /// The heavier weight, grams.
        grams: f64,
    },
    /// The pan did not stand still.
    Unsteady {
        /// Under which weight, grams; 0 for the empty pan.
        grams: f64,
        /// How far it wandered, share of the span; nothing where it never stood still at all.
        share: Option<f64>,
        /// The bound.
        most: f64,
    },
    /// Zero has moved.
    ZeroMoved {
        /// By how much, grams.
        by_g: f64,
        /// The bound, grams.
        most_g: f64,
    },
    /// The same weight did not give the same again.
    RepeatDisagrees {
        /// By how much, grams.
        by_g: f64,
        /// The bound, grams.
        most_g: f64,
    },
    /// A point lies off the line by more than its tolerance and noise allow.
    OffTheLine {
        /// Which weight, grams.
        grams: f64,
        /// By how much, grams.
        by_g: f64,
        /// The bound, grams.
        most_g: f64,
    },
    /// The converter stands at the end of its range.
    Saturated,
}

/// Checks the weights alone, before anything is put on.
///
/// # Errors
/// The reason why they cannot be used.
pub fn check_weights(weights: &[Weight], capacity_g: f64) -> Result<(), Refusal> {
    if weights.len() > POINTS {
        return Err(Refusal::TooMany);
    }
    let sound = |weight: &Weight| {
        let tolerance = weight.tolerance_g;
        weight.grams.is_finite() && weight.grams > 0.0 && tolerance.is_finite() && tolerance >= 0.0
    };
    if !weights.iter().all(sound) || !capacity_g.is_finite() || capacity_g <= 0.0 {
        return Err(Refusal::NotANumber);
    }
    for weight in weights {
        let same = weights.iter().filter(|other| other.grams == weight.grams);
        if same.count() > 1 {
            let grams = weight.grams;
            return Err(Refusal::Duplicate { grams });
        }
    }
    let grams = weights
        .iter()
        .map(|weight| weight.grams)
        .fold(0.0, f64::max);
    let least_g = LEAST_SPAN_SHARE * capacity_g;
    if weights.is_empty() {
        Err(Refusal::NoWeights)
    } else if grams < least_g {
        Err(Refusal::SpanTooLight { grams, least_g })
    } else if grams > capacity_g {
        let most_g = capacity_g;
        Err(Refusal::BeyondCapacity { grams, most_g })
    } else {
        Ok(())
    }
}

pub(super) fn check_numbers(seen: &Seen<'_>) -> Result<(), Refusal> {
    let levels = [Some(seen.zero), seen.zero_again, seen.repeat];
    let levels = levels.iter().flatten();
    let sound = |level: &Level| {
        level.code.is_finite()
            && level.sigma.is_finite()
            && level.sigma >= 0.0
            && level.drift.is_finite()
    };
    let points = seen.points.iter().map(|point| &point.level);
    let GravityRatio { ratio, sigma } = seen.gravity;
    if !levels.chain(points).all(sound) || !sigma.is_finite() || sigma < 0.0 || ratio.is_nan() {
        return Err(Refusal::NotANumber);
    }
    if ratio < GRAVITY_RATIO.0 || ratio > GRAVITY_RATIO.1 {
        return Err(Refusal::Gravity { ratio });
    }
    Ok(())
}

/// Long enough, one way, and steady.
pub(super) fn check_shape(seen: &Seen<'_>, sorted: &[Point], span: f64) -> Result<(), Refusal> {
    let mut before = seen.zero.code;
    for point in sorted {
        if (point.level.code - before) * span <= 0.0 {
            let grams = point.weight.grams;
            return Err(Refusal::NotMonotone { grams });
        }
        before = point.level.code;
    }
    if span.abs() < LEAST_SPAN_CODES {
        return Err(Refusal::SpanTooShort {
            codes: span.abs(),
            least: LEAST_SPAN_CODES,
        });
    }
    let heaviest_g = sorted.last().map_or(0.0, |point| point.weight.grams);
    let points = sorted.iter().map(|point| (point.weight.grams, point.level));
    let zeros = [Some(seen.zero), seen.zero_again];
    let zeros = zeros.into_iter().flatten().map(|zero| (0.0, zero));
    let repeat = seen.repeat.map(|level| (heaviest_g, level));
    for (grams, level) in zeros.chain(points).chain(repeat) {
        let half = level.drift.abs() * f64::from(STANDING_S) / 2.0;
        let share = level.sigma.max(half) / span.abs();
        if share > STEADY_SHARE {
            return Err(Refusal::Unsteady {
                grams,
                share: Some(share),
                most: STEADY_SHARE,
            });
        }
    }
    Ok(())
}

/// What came back as it was; the larger move, share of the span.
pub(super) fn check_return(seen: &Seen<'_>, heaviest: &Point, slope: f64) -> Result<f64, Refusal> {
    let moved = |first: Level, again: Option<Level>| {
        again.map_or((0.0, 0.0), |again| {
            let noise_g = libm::hypot(first.sigma, again.sigma) / slope.abs();
            let most_g = NOISE_SIGMAS * noise_g + RETURN_SHARE * heaviest.weight.grams;
            ((again.code - first.code) / slope, most_g)
        })
    };
    let (zero_g, most_g) = moved(seen.zero, seen.zero_again);
    if zero_g.abs() > most_g {
        let by_g = zero_g;
        return Err(Refusal::ZeroMoved { by_g, most_g });
    }
    let (by_g, most_g) = moved(heaviest.level, seen.repeat);
    if by_g.abs() > most_g {
        return Err(Refusal::RepeatDisagrees { by_g, most_g });
    }
    Ok(zero_g.abs().max(by_g.abs()) / heaviest.weight.grams)
}
