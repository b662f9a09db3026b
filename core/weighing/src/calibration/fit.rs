//! The line through zero and one to five weights, how sure it is; [`super::refusal`] says why it is refused.
//!
//! Weighted least squares of `code = zero + span * mass`: a point counts by the inverse of the
//! variance that its noise and its weight's tolerance give it. The span's standard uncertainty is
//! the root of the sum of squares (JCGM 100:2008, 5.1.2) of the parts of [`SpanSigma`].

use heapless::Vec;

use super::refusal::{
    CREEP_SHARE, NOISE_SIGMAS, POINTS, RETURN_SHARE, Refusal, check_numbers, check_return,
    check_shape, check_weights,
};
use super::standing::{Level, STANDING_S};
use super::weights::Weight;

/// A weight and where the pan stood under it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Point {
    /// The weight.
    pub weight: Weight,
    /// Where the pan stood.
    pub level: Level,
}

/// Gravity where it is used over gravity where it was calibrated.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct GravityRatio {
    /// The ratio.
    pub ratio: f64,
    /// Its standard uncertainty.
    pub sigma: f64,
}

impl GravityRatio {
    /// Used where it was calibrated.
    pub const SAME: Self = Self {
        ratio: 1.0,
        sigma: 0.0,
    };
}

/// All that was seen.
#[derive(Clone, Debug, PartialEq)]
pub struct Seen<'p> {
    /// The empty pan, before.
    pub zero: Level,
    /// The empty pan, afterwards.
    pub zero_again: Option<Level>,
    /// The weights.
    pub points: &'p [Point],
    /// The heaviest of them once more.
    pub repeat: Option<Level>,
    /// What the cell carries, grams.
    pub capacity_g: f64,
    /// Where it will be used.
    pub gravity: GravityRatio,
}

/// Parts of the span's standard uncertainty, each relative to the span.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct SpanSigma {
    /// The weights' tolerances, as even spreads; weights of one set may all err alike, so they
    /// add up unsquared.
    pub weights: f64,
    /// Noise of the points and of zero.
    pub noise: f64,
    /// Drift while a point stood, the move of zero, and creep to come.
    pub drift: f64,
    /// The largest residual, as an even spread; nothing can be told from a single weight.
    pub nonlinearity: f64,
    /// The ratio of gravity.
    pub gravity: f64,
}

impl SpanSigma {
    /// All together.
    #[must_use]
    pub fn total(&self) -> f64 {
        let parts = [
            self.weights,
            self.noise,
            self.drift,
            self.nonlinearity,
            self.gravity,
        ];
        libm::sqrt(parts.iter().map(|part| part * part).sum())
    }
}

/// The line.
#[derive(Clone, Debug, PartialEq)]
pub struct Fit {
    /// The code of the empty pan.
    pub zero_code: f64,
    /// Codes per gram of conventional mass where it is used.
    pub counts_per_gram: f64,
    /// How sure the span is, relative.
    pub sigma: SpanSigma,
    /// Weight and residual of each point, grams: what the line shows less what it is.
    pub residuals_g: Vec<(Weight, f64), POINTS>,
}

/// Lays the line.
///
/// # Errors
/// The first reason why there is none that could be trusted.
pub fn fit(seen: &Seen<'_>) -> Result<Fit, Refusal> {
    let mut points: Vec<Point, POINTS> =
        Vec::from_slice(seen.points).map_err(|_| Refusal::TooMany)?;
    points.sort_unstable_by(|a, b| a.weight.grams.total_cmp(&b.weight.grams));
    let mut weights: Vec<Weight, POINTS> = Vec::new();
    weights.extend(points.iter().map(|point| point.weight));
    check_weights(&weights, seen.capacity_g)?;
    check_numbers(seen)?;
    let Some(&heaviest) = points.last() else {
        return Err(Refusal::NoWeights);
    };
    let span = heaviest.level.code - seen.zero.code;
    check_shape(seen, &points, span)?;
    let most_g = heaviest.weight.grams;
    let slope = span / most_g;
    let zero_noise = seen.zero.sigma;
    let moved = check_return(seen, &heaviest, slope)?;

    let zero = seen.zero_again.map_or(seen.zero, |again| Level {
        code: f64::midpoint(seen.zero.code, again.code),
        sigma: libm::hypot(zero_noise, again.sigma) / 2.0,
        drift: seen.zero.drift.abs().max(again.drift.abs()),
    });
    let line = Line::through(zero, &points, slope);
    let mut residuals_g: Vec<(Weight, f64), POINTS> = Vec::new();
    let mut worst = 0.0_f64;
    for point in &points {
        let grams = point.weight.grams;
        let by_g = (point.level.code - line.zero) / line.span - grams;
        let noise_g = libm::hypot(point.level.sigma, zero_noise) / line.span.abs();
        let bound_g = point.weight.tolerance_g + NOISE_SIGMAS * noise_g + RETURN_SHARE * most_g;
        if by_g.abs() > bound_g {
            return Err(Refusal::OffTheLine {
                grams,
                by_g,
                most_g: bound_g,
            });
        }
        worst = worst.max(by_g.abs());
        let _ = residuals_g.push((point.weight, by_g));
    }
    let even = 1.0 / libm::sqrt(3.0);
    let standing = f64::from(STANDING_S);
    let drift = points
        .iter()
        .map(|point| point.level.drift.abs())
        .fold(zero.drift.abs(), f64::max)
        * (standing / 2.0)
        / span.abs();
    // Zero is the mean of before and after: at most half of its move is left.
    let moved = moved / 2.0;
    let alone = points.len() == 1;
    let sigma = SpanSigma {
        weights: line.tolerance,
        noise: line.noise,
        drift: even * libm::sqrt(drift * drift + moved * moved + CREEP_SHARE * CREEP_SHARE),
        nonlinearity: if alone { 0.0 } else { even * worst / most_g },
        gravity: seen.gravity.sigma / seen.gravity.ratio,
    };
    Ok(Fit {
        zero_code: line.zero,
        counts_per_gram: line.span * seen.gravity.ratio,
        sigma,
        residuals_g,
    })
}

/// Weighted least squares.
struct Line {
    zero: f64,
    span: f64,
    /// Relative, from noise.
    noise: f64,
    /// Relative, from the weights.
    tolerance: f64,
}

impl Line {
    fn through(zero: Level, points: &[Point], slope: f64) -> Self {
        let all = || {
            let points = points.iter().map(|point| {
                let weight = point.weight;
                (weight.grams, weight.sigma_g(), point.level)
            });
            core::iter::once((0.0, 0.0, zero)).chain(points)
        };
        // Zero noise and tolerance would give a point all the say; a millionth of a code is none.
        let share = |sigma_g: f64, level: Level| {
            let variance = level.sigma * level.sigma + slope * slope * sigma_g * sigma_g;
            1.0 / variance.max(1e-12)
        };
        let whole: f64 = all().map(|(_, sigma, level)| share(sigma, level)).sum();
        let mean = |of: fn(f64, Level) -> f64| {
            all()
                .map(|(grams, sigma, level)| share(sigma, level) * of(grams, level))
                .sum::<f64>()
                / whole
        };
        let grams_mean = mean(|grams, _| grams);
        let code_mean = mean(|_, level| level.code);
        let spread: f64 = all()
            .map(|(grams, sigma, level)| {
                share(sigma, level) * (grams - grams_mean) * (grams - grams_mean)
            })
            .sum();
        // How much a code at each point moves the span.
        let (mut span, mut noise, mut tolerance) = (0.0, 0.0, 0.0);
        for (grams, sigma, level) in all() {
            let lever = share(sigma, level) * (grams - grams_mean) / spread;
            span += lever * (level.code - code_mean);
            noise += lever * lever * level.sigma * level.sigma;
            tolerance += lever.abs() * sigma;
        }
        Self {
            zero: code_mean - span * grams_mean,
            span,
            noise: libm::sqrt(noise) / span.abs(),
            tolerance,
        }
    }
}
