//! Calibrating the scale and proving it: guided sequences over codes.
//!
//! A line is answered as by any station: its events, then one `idle`. Commands have no meaning
//! here and get a `fault`.

use std::io::{self, BufRead, Write};

use clap::Args;
use pennyweight_core::limits::RATED_G;
use pennyweight_core::units::AdcCode;
use pennyweight_core::weigh::calibration::weights::Class;
use pennyweight_core::{Event, Input, Instant};

use super::bounded::BoundedLines;
use super::events::{write_event, write_fault, write_json};
use super::failure::Failure;
use super::names::Names;
use super::request::{Asked, Refusal};
use super::station::{Idle, LINE_MAX, StationArgs, reading, understand};
use front::Front;

pub mod bench;
pub mod calibrate;
pub mod front;
pub mod played;
pub mod report;
pub mod report_text;

/// Options that calibrate or prove the scale.
#[derive(Args, Clone, Debug, Default)]
pub struct ScaleArgs {
    /// Calibrate with one to five weights, such as "500 g F2, 1 kg F2", in place of a pour
    #[arg(long, value_name = "WEIGHTS", conflicts_with = "report")]
    pub calibrate: Option<String>,

    /// What the cell carries [default: 3 kg]
    #[arg(long, value_name = "MASS", requires = "calibrate", value_parser = mass)]
    pub capacity: Option<f64>,

    /// Gravity where it is used over gravity where it is calibrated [default: 1]
    #[arg(long, value_name = "RATIO", requires = "calibrate")]
    pub gravity_ratio: Option<f64>,

    /// One standard deviation of that ratio [default: 0]
    #[arg(long, value_name = "SIGMA", requires = "gravity_ratio")]
    pub gravity_sigma: Option<f64>,

    /// Prove the scale, and compare it with OIML R 76 class III
    #[arg(long)]
    pub report: bool,

    /// The most it shall weigh, such as "3 kg"
    #[arg(long, value_name = "MASS", requires = "report", value_parser = mass)]
    pub max: Option<f64>,

    /// Its verification scale interval e, such as "1 g"
    #[arg(long, value_name = "MASS", requires = "report", value_parser = mass)]
    pub e: Option<f64>,

    /// Class of the weights used for the report [default: F2]
    #[arg(long, value_name = "CLASS", requires = "report", value_parser = class)]
    pub weights: Option<Class>,
}

impl ScaleArgs {
    /// One of the sequences is asked for.
    #[must_use]
    pub fn is_asked(&self) -> bool {
        self.calibrate.is_some() || self.report
    }

    pub(super) fn capacity_g(&self) -> f64 {
        self.capacity.unwrap_or(f64::from(RATED_G))
    }
}

/// What answers codes.
pub(super) trait Sequence {
    /// Takes a code and tells what there is to tell.
    fn take(&mut self, now: Instant, code: AdcCode, to: &mut dyn Write) -> io::Result<()>;
}

/// Answers every line of `from` on `to`, flushed line by line.
///
/// # Errors
/// Weights or a scale that cannot be used; a stream that fails.
pub fn answer(
    station: &StationArgs,
    from: impl BufRead,
    mut to: impl Write,
) -> Result<(), Failure> {
    let StationArgs {
        scale: args,
        zero_code,
        counts_per_gram,
        sps,
        ..
    } = station;
    let (mut sequence, mut front): (Box<dyn Sequence>, Front) = match &args.calibrate {
        Some(words) => (
            Box::new(calibrate::Calibrating::new(words, "--calibrate", args)?),
            Front::uncalibrated(*sps, args.capacity_g()),
        ),
        None => (
            Box::new(report::Proving::new(args, *zero_code, *counts_per_gram)?),
            Front::new(*sps, *counts_per_gram),
        ),
    };
    let names = Names::default();
    let mut now = Instant::ZERO;
    let mut lines = BoundedLines::new(from, LINE_MAX);
    while let Some(line) = lines.next_line().map_err(|error| reading(&error))? {
        let Some((at, understood)) = understand(line, &names, now) else {
            continue;
        };
        if understood.is_ok() {
            now = at;
        }
        let answered = match understood {
            Ok(Asked::Input(Input::Code(code))) => {
                take(&mut front, sequence.as_mut(), now, code, &names, &mut to)
            }
            Ok(Asked::Input(Input::Tick)) => Ok(()),
            Ok(_) => {
                let refusal = Refusal::new("command", "no command is taken during this sequence");
                write_fault(&mut to, now, refusal.kind, &refusal.message)
            }
            Err(refusal) => write_fault(&mut to, at, refusal.kind, &refusal.message),
        };
        answered
            .and_then(|()| write_json(&mut to, &Idle::new(None, None)))
            .and_then(|()| to.flush())
            .map_err(Failure::writing)?;
    }
    Ok(())
}

/// One conversion through the gate to the sequence.
fn take(
    front: &mut Front,
    sequence: &mut dyn Sequence,
    now: Instant,
    code: AdcCode,
    names: &Names,
    to: &mut impl Write,
) -> io::Result<()> {
    let passed = front.take(now, code);
    if let Some(fault) = passed.fault {
        write_event(to, now, &Event::Fault(fault), names)?;
    }
    if passed.cleared {
        write_event(to, now, &Event::Cleared, names)?;
    }
    passed
        .samples
        .into_iter()
        .flatten()
        .try_for_each(|(at, code)| sequence.take(at, code, to))
}

/// Reads a mass such as "500 g" or "1 kg", grams.
///
/// # Errors
/// Says what would be right.
pub fn mass(text: &str) -> Result<f64, String> {
    let text = text.trim();
    let wrong = || format!("{text:?} is no mass such as \"500 g\" or \"1 kg\"");
    let (figure, unit_g) = match (text.strip_suffix("kg"), text.strip_suffix('g')) {
        (Some(figure), _) => (figure, 1000.0),
        (None, Some(figure)) => (figure, 1.0),
        (None, None) => return Err(wrong()),
    };
    let figure: f64 = figure.trim_end().parse().map_err(|_| wrong())?;
    let grams = figure * unit_g;
    if grams.is_finite() && grams > 0.0 {
        Ok(grams)
    } else {
        Err(wrong())
    }
}

/// A mass as it is asked for.
#[must_use]
pub fn mass_words(grams: f64) -> String {
    format!("{grams} g")
}

/// Reads a class of weights.
///
/// # Errors
/// Names those there are.
pub fn class(text: &str) -> Result<Class, String> {
    let known = Class::ALL.into_iter();
    let mut found = known.filter(|class| class.name().eq_ignore_ascii_case(text.trim()));
    found.next().ok_or_else(|| {
        let all: Vec<&str> = Class::ALL.iter().map(|class| class.name()).collect();
        format!(
            "{text:?} is no class of weights; one of: {}",
            all.join(", ")
        )
    })
}
