//! `station --calibrate`: what to put on, and the line that comes out.

use std::fmt;
use std::io::{self, Write};

use pennyweight_core::Instant;
use pennyweight_core::units::AdcCode;
use pennyweight_core::weigh::calibration::fit::{Fit, GravityRatio};
use pennyweight_core::weigh::calibration::guided::{Ask, Guided, RESTLESS_S, Told};
use pennyweight_core::weigh::calibration::refusal::{GRAVITY_RATIO, POINTS, Refusal};
use pennyweight_core::weigh::calibration::weights::Weight;
use serde::Serialize;

use super::super::events::write_json;
use super::super::failure::Failure;
use super::{ScaleArgs, Sequence, class, mass, mass_words};

/// A calibration under way.
pub struct Calibrating {
    guided: Guided,
    weights: Vec<Weight>,
    gravity: GravityRatio,
}

#[derive(Serialize)]
struct Line {
    t_us: u64,
    #[serde(flatten)]
    told: Event,
}

#[derive(Serialize)]
#[serde(tag = "event", rename_all = "snake_case")]
enum Event {
    Calibrate {
        ask: String,
    },
    Calibrated(Calibrated),
    Refused {
        reason: &'static str,
        message: String,
    },
}

/// A calibration as other programs read it.
#[derive(Clone, Debug, Serialize)]
pub struct Calibrated {
    /// Span, codes per gram.
    pub counts_per_gram: f64,
    /// The code of the empty pan.
    pub zero_code: i64,
    /// One standard deviation of the span, millionths of it.
    pub sigma_ppm: f64,
    /// What it is made of.
    pub parts_ppm: Parts,
    /// The weights, from the lightest.
    pub points: Vec<PointLine>,
    /// The options of `station` and `replay` that carry it.
    pub paste: String,
}

/// Parts of the span's standard deviation, millionths.
#[derive(Clone, Debug, Serialize)]
pub struct Parts {
    /// Tolerance of the weights.
    pub weights: f64,
    /// Noise.
    pub noise: f64,
    /// What moved meanwhile.
    pub drift: f64,
    /// What no line fits.
    pub nonlinearity: f64,
    /// Gravity where it is used.
    pub gravity: f64,
}

/// One weight.
#[derive(Clone, Debug, Serialize)]
pub struct PointLine {
    /// Nominal, grams.
    pub grams: f64,
    /// It may be off by so much, grams.
    pub tolerance_g: f64,
    /// It lies off the line by so much, grams.
    pub residual_g: f64,
}

impl Calibrating {
    /// Weights as written behind `option`, such as `500 g F2, 1 kg F2`.
    ///
    /// # Errors
    /// Weights that cannot be used.
    pub fn new(words: &str, option: &str, args: &ScaleArgs) -> Result<Self, Failure> {
        let failure = |cause: String| {
            Failure::bad_input(
                "the weights cannot be used",
                format!("{option} {words:?}"),
                cause,
                format!(
                    "write one to five weights with their class: {option} \"500 g F2, 1 kg F2\""
                ),
            )
        };
        let weights: Vec<Weight> = words
            .split(',')
            .map(weight)
            .collect::<Result<_, _>>()
            .map_err(failure)?;
        let gravity = GravityRatio {
            ratio: args.gravity_ratio.unwrap_or(1.0),
            sigma: args.gravity_sigma.unwrap_or(0.0),
        };
        // Told before anything is put on.
        if !(GRAVITY_RATIO.0..=GRAVITY_RATIO.1).contains(&gravity.ratio) {
            let ratio = gravity.ratio;
            return Err(failure(message(&Refusal::Gravity { ratio })));
        }
        if !(0.0..=GRAVITY_RATIO.1 - 1.0).contains(&gravity.sigma) {
            return Err(failure(
                "--gravity-sigma is not between 0 and 0.01".to_owned(),
            ));
        }
        let guided = Guided::new(&weights, args.capacity_g(), gravity)
            .map_err(|refusal| failure(message(&refusal)))?;
        Ok(Self {
            guided,
            weights,
            gravity,
        })
    }

    /// The weights asked for, as they were written.
    #[must_use]
    pub fn weights(&self) -> &[Weight] {
        &self.weights
    }

    /// What was said of gravity.
    #[must_use]
    pub const fn gravity(&self) -> GravityRatio {
        self.gravity
    }
}

/// `500 g F2`.
fn weight(words: &str) -> Result<Weight, String> {
    let words = words.trim();
    let Some((grams, class_name)) = words.rsplit_once(' ') else {
        return Err(format!("{words:?} has no class"));
    };
    let (grams, class) = (mass(grams)?, class(class_name)?);
    Weight::of_class(grams, class).ok_or_else(|| {
        format!("{words:?}: R 111 has weights of 1, 2 and 5 times a power of ten, 1 g to 5 kg")
    })
}

impl Sequence for Calibrating {
    fn take(&mut self, now: Instant, code: AdcCode, to: &mut dyn Write) -> io::Result<()> {
        let Some(told) = self.guided.take(now, code) else {
            return Ok(());
        };
        let told = match told {
            Told::Ask(ask) => Event::Calibrate {
                ask: match ask {
                    Ask::Empty => "empty".to_owned(),
                    Ask::Put(weight) => mass_words(weight.grams),
                },
            },
            Told::Done(Ok(fit)) => Event::Calibrated(Calibrated::of(&fit)),
            Told::Done(Err(refusal)) => Event::Refused {
                reason: reason(&refusal),
                message: message(&refusal),
            },
        };
        let t_us = now.micros();
        write_json(&mut &mut *to, &Line { t_us, told })
    }
}

impl Calibrated {
    /// As it was fitted.
    #[must_use]
    pub fn of(fit: &Fit) -> Self {
        let ppm = |share: f64| (share * 1e7).round() / 10.0;
        let zero_code = fit.zero_code.round() as i64;
        let sigma = &fit.sigma;
        Self {
            counts_per_gram: fit.counts_per_gram,
            zero_code,
            sigma_ppm: ppm(sigma.total()),
            parts_ppm: Parts {
                weights: ppm(sigma.weights),
                noise: ppm(sigma.noise),
                drift: ppm(sigma.drift),
                nonlinearity: ppm(sigma.nonlinearity),
                gravity: ppm(sigma.gravity),
            },
            points: fit
                .residuals_g
                .iter()
                .map(|(weight, residual_g)| PointLine {
                    grams: weight.grams,
                    tolerance_g: weight.tolerance_g,
                    residual_g: *residual_g,
                })
                .collect(),
            paste: format!(
                "--counts-per-gram={:.4} --zero-code={zero_code}",
                fit.counts_per_gram
            ),
        }
    }
}

impl fmt::Display for Calibrated {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        writeln!(
            f,
            "{:.4} codes per gram, +-{:.1} ppm (one standard deviation); empty pan at code {}",
            self.counts_per_gram, self.sigma_ppm, self.zero_code
        )?;
        let Parts {
            weights,
            noise,
            drift,
            nonlinearity,
            gravity,
        } = &self.parts_ppm;
        writeln!(
            f,
            "  of which weights {weights}, noise {noise}, drift {drift}, line {nonlinearity}, \
             gravity {gravity} ppm"
        )?;
        for point in &self.points {
            writeln!(
                f,
                "  {:>5} g +-{:.4} g   off the line by {:+.4} g",
                point.grams, point.tolerance_g, point.residual_g
            )?;
        }
        write!(f, "{}", self.paste)
    }
}

/// A refusal's name at the edges.
#[must_use]
pub fn reason(refusal: &Refusal) -> &'static str {
    match refusal {
        Refusal::NoWeights => "no_weights",
        Refusal::TooMany => "too_many",
        Refusal::NotANumber => "not_a_number",
        Refusal::Duplicate { .. } => "duplicate",
        Refusal::Gravity { .. } => "gravity",
        Refusal::SpanTooLight { .. } | Refusal::SpanTooShort { .. } => "span_too_short",
        Refusal::BeyondCapacity { .. } => "beyond_capacity",
        Refusal::NotMonotone { .. } => "not_monotone",
        Refusal::Unsteady { .. } => "unsteady",
        Refusal::ZeroMoved { .. } => "zero_moved",
        Refusal::RepeatDisagrees { .. } => "repeat_disagrees",
        Refusal::OffTheLine { .. } => "off_the_line",
        Refusal::Saturated => "saturated",
    }
}

/// A refusal in words, with its bound.
#[must_use]
pub fn message(refusal: &Refusal) -> String {
    match *refusal {
        Refusal::NoWeights => "no weight is named".to_owned(),
        Refusal::TooMany => format!("more than {POINTS} weights"),
        Refusal::NotANumber => "a mass or a code is not a usable number".to_owned(),
        Refusal::Duplicate { grams } => format!("two weights of {grams} g"),
        Refusal::Gravity { ratio } => {
            let (least, most) = GRAVITY_RATIO;
            format!("a ratio of gravity of {ratio} is not between {least} and {most}")
        }
        Refusal::SpanTooLight { grams, least_g } => {
            format!("the heaviest weight is {grams} g; at least {least_g} g are needed")
        }
        Refusal::BeyondCapacity { grams, most_g } => {
            format!("{grams} g are beyond what the cell carries, {most_g} g")
        }
        Refusal::SpanTooShort { codes, least } => {
            format!(
                "the heaviest weight moves the code by {codes:.0}; at least {least:.0} are needed"
            )
        }
        Refusal::NotMonotone { grams } => {
            format!("{grams} g do not give more than the lighter load before")
        }
        Refusal::Unsteady { grams, share, most } => {
            let wandered = share.map_or_else(
                || format!("did not come to rest within {RESTLESS_S} s"),
                |share| format!("wandered by {:.0} ppm of the span", share * 1e6),
            );
            let bound = most * 1e6;
            format!("the pan under {grams} g {wandered}; {bound:.0} ppm are allowed")
        }
        Refusal::ZeroMoved { by_g, most_g } => {
            format!("zero moved by {by_g:.3} g during the sequence; {most_g:.3} g are allowed")
        }
        Refusal::RepeatDisagrees { by_g, most_g } => {
            format!("the heaviest weight came back off by {by_g:.3} g; {most_g:.3} g are allowed")
        }
        Refusal::OffTheLine {
            grams,
            by_g,
            most_g,
        } => {
            format!("{grams} g lie off the line by {by_g:.3} g; {most_g:.3} g are allowed")
        }
        Refusal::Saturated => "the converter stands at the end of its range".to_owned(),
    }
}
