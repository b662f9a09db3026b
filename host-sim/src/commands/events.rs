//! Events as other programs read them: one JSON object a line.
//!
//! Masses are grams, as 32-bit floats in the shortest digits that read back the same.

use std::io::{self, Write};

use pennyweight_core::output::{DrinkRecord, Fix, Judgement, PourRecord, Settled};
use pennyweight_core::output::{Fault, StepBegun, Verdict};
use pennyweight_core::units::Millilitres;
use pennyweight_core::{Event, Instant};
use serde::Serialize;

use super::learning::LearnedLine;
use super::names::Names;
use super::result::{GlassHolds, PourFigures};
use crate::capture::{Captured, Taken};

/// One line of events.
#[derive(Debug, Serialize)]
struct Line<'a> {
    t_us: u64,
    #[serde(flatten)]
    told: Told<'a>,
}

#[derive(Debug, Serialize)]
#[serde(tag = "event", rename_all = "snake_case")]
enum Told<'a> {
    Fault {
        kind: &'a str,
        #[serde(skip_serializing_if = "Option::is_none")]
        message: Option<&'a str>,
    },
    /// To other programs a command that is not carried out is a fault of its own kind.
    #[serde(rename = "fault")]
    Refused {
        kind: &'static str,
        message: String,
        reason: String,
    },
    Cleared,
    Lifted,
    Placed {
        grams: f32,
    },
    Pressed,
    Bumped,
    Stirred,
    Added {
        grams: f32,
    },
    PourStarted,
    Ease,
    Stop,
    Landed(Mass),
    Amended(Mass),
    Steady(Mass),
    Verdict {
        verdict: &'static str,
        grams: f32,
        sigma_g: f32,
        error_g: f32,
    },
    Fix {
        fix: &'static str,
        #[serde(skip_serializing_if = "Option::is_none")]
        grams: Option<f32>,
        /// By what the spec grows.
        #[serde(skip_serializing_if = "Option::is_none")]
        factor: Option<f32>,
    },
    Due {
        drink: Option<&'a str>,
    },
    Poured {
        step: u8,
        liquid: Option<&'a str>,
        #[serde(flatten)]
        figures: PourFigures,
    },
    Done {
        drink: Option<&'a str>,
        #[serde(flatten)]
        holds: GlassHolds,
    },
    WeighedBack {
        drink: Option<&'a str>,
        #[serde(flatten)]
        holds: GlassHolds,
    },
    Learned(LearnedLine),
    Lost(Mass),
    Captured {
        /// A later line of the same number replaces it.
        entry: u8,
        taken: &'static str,
        liquid: Option<&'a str>,
        #[serde(flatten)]
        amount: Mass,
        #[serde(skip_serializing_if = "Option::is_none")]
        seconds: Option<u16>,
        struck: bool,
    },
    Step {
        drink: Option<&'a str>,
        /// Counted from 0, as in the sheet.
        step: u8,
        kind: Option<&'static str>,
        liquid: Option<&'a str>,
        amount: Option<&'a str>,
        target_g: Option<f32>,
    },
}

#[derive(Debug, Serialize)]
struct Mass {
    grams: f32,
    sigma_g: f32,
}

impl From<Settled> for Mass {
    fn from(settled: Settled) -> Self {
        Self {
            grams: settled.mass.0,
            sigma_g: settled.sigma.0,
        }
    }
}

/// The kind of fault of a command that is not carried out.
pub const COMMAND: &str = "command";

/// Writes one event and ends the line.
///
/// # Errors
/// As the writer.
pub fn write_event(
    out: &mut impl Write,
    at: Instant,
    event: &Event,
    names: &Names,
) -> io::Result<()> {
    write_line(out, at, told(event, names))
}

/// Writes an entry of a capture as one line.
///
/// # Errors
/// As the writer.
pub fn write_captured(
    out: &mut impl Write,
    at: Instant,
    entry: &Captured,
    names: &Names,
) -> io::Result<()> {
    let told = Told::Captured {
        entry: entry.entry,
        taken: taken_word(entry.taken),
        liquid: entry.liquid.and_then(|id| names.liquid(id)),
        amount: entry.amount.into(),
        seconds: match entry.taken {
            Taken::Away(seconds) => Some(seconds),
            _ => None,
        },
        struck: entry.struck,
    };
    write_line(out, at, told)
}

/// Writes a fault that did not come from the weighing, with a message.
///
/// # Errors
/// As the writer.
pub fn write_fault(out: &mut impl Write, at: Instant, kind: &str, message: &str) -> io::Result<()> {
    let message = Some(message);
    write_line(out, at, Told::Fault { kind, message })
}

/// Writes any value as one line of JSON.
///
/// # Errors
/// As the writer.
pub fn write_json(out: &mut impl Write, value: &impl Serialize) -> io::Result<()> {
    serde_json::to_writer(&mut *out, value)?;
    out.write_all(b"\n")
}

/// A fault's name at the edges.
#[must_use]
pub fn fault_kind(fault: Fault) -> &'static str {
    match fault {
        Fault::Saturated => "saturated",
        Fault::Overload => "overload",
        Fault::Stuck => "stuck",
        Fault::Silent => "silent",
        Fault::Time => "time",
        Fault::Range => "range",
        Fault::Glitch => "glitch",
        Fault::Sheet => "sheet",
        Fault::Zero => "zero",
        Fault::Memory => "memory",
    }
}

/// Millilitres to the microlitre, as exact as a sheet is: the station has the volume from the
/// target in grams, as a 32-bit float.
#[must_use]
pub fn whole_microlitres(volume: Millilitres) -> f32 {
    (volume.0 * 1e3).round() / 1e3
}

/// What an entry of a capture was, at the edges.
#[must_use]
pub fn taken_word(taken: Taken) -> &'static str {
    match taken {
        Taken::Poured => "poured",
        Taken::Tipped => "tipped_in",
        Taken::Lost => "lost",
        Taken::Away(_) => "away",
        Taken::Strained => "strained",
    }
}

/// A verdict's name at the edges.
#[must_use]
pub fn verdict_name(verdict: Verdict) -> &'static str {
    match verdict {
        Verdict::Good => "good",
        Verdict::Short => "short",
        Verdict::Over => "over",
    }
}

fn write_line(out: &mut impl Write, at: Instant, told: Told<'_>) -> io::Result<()> {
    let t_us = at.micros();
    write_json(out, &Line { t_us, told })
}

fn told<'a>(event: &Event, names: &'a Names) -> Told<'a> {
    match *event {
        Event::Fault(fault) => Told::Fault {
            kind: fault_kind(fault),
            message: None,
        },
        Event::Refused(why) => Told::Refused {
            kind: COMMAND,
            message: why.to_string(),
            reason: why.to_string(),
        },
        Event::Cleared => Told::Cleared,
        Event::Lifted => Told::Lifted,
        Event::Placed(mass) => Told::Placed { grams: mass.0 },
        Event::Pressed => Told::Pressed,
        Event::Bumped => Told::Bumped,
        Event::Stirred => Told::Stirred,
        Event::Added(mass) => Told::Added { grams: mass.0 },
        Event::PourStarted => Told::PourStarted,
        Event::Ease => Told::Ease,
        Event::Stop => Told::Stop,
        Event::Landed(settled) => Told::Landed(settled.into()),
        Event::Amended(settled) => Told::Amended(settled.into()),
        Event::Steady(settled) => Told::Steady(settled.into()),
        Event::Verdict(judgement) => judged(&judgement),
        Event::Fix(Fix::TipOut(mass)) => Told::Fix {
            fix: "tip_out",
            grams: Some(mass.0),
            factor: None,
        },
        Event::Fix(Fix::Grow(factor)) => Told::Fix {
            fix: "grow",
            grams: None,
            factor: Some(factor),
        },
        Event::Due(drink) => Told::Due {
            drink: names.drink(drink),
        },
        Event::Poured(record) => poured(&record, names),
        Event::Done(record) => done(&record, names),
        Event::WeighedBack(back) => Told::WeighedBack {
            drink: names.drink(back.drink.drink),
            holds: (&back).into(),
        },
        Event::Step(begun) => step(&begun, names),
        Event::Learned(learned) => Told::Learned(LearnedLine::of(&learned)),
        Event::Lost(settled) => Told::Lost(settled.into()),
    }
}

fn judged(judgement: &Judgement) -> Told<'static> {
    Told::Verdict {
        verdict: verdict_name(judgement.verdict),
        grams: judgement.poured.mass.0,
        sigma_g: judgement.poured.sigma.0,
        error_g: judgement.error.0,
    }
}

fn poured<'a>(record: &PourRecord, names: &'a Names) -> Told<'a> {
    Told::Poured {
        step: record.step,
        liquid: names.liquid(record.liquid),
        figures: record.into(),
    }
}

fn done<'a>(record: &DrinkRecord, names: &'a Names) -> Told<'a> {
    Told::Done {
        drink: names.drink(record.drink),
        holds: record.into(),
    }
}

fn step<'a>(begun: &StepBegun, names: &'a Names) -> Told<'a> {
    let known = names.step(begun.drink, begun.step);
    Told::Step {
        drink: names.drink(begun.drink),
        step: begun.step,
        kind: known.map(|step| step.kind),
        liquid: known.and_then(|step| step.liquid.as_deref()),
        amount: known.and_then(|step| step.detail.as_deref()),
        target_g: begun.target.map(|target| target.0),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use pennyweight_core::units::Grams;

    fn line(event: Event) -> String {
        let mut out = Vec::new();
        let at = Instant::from_micros(1_500_000);
        write_event(&mut out, at, &event, &Names::default()).unwrap();
        String::from_utf8(out).unwrap()
    }

    #[test]
    fn masses_keep_their_own_digits() {
        // 28.41 has no exact binary form: widened to 64 bits it would read 28.40999984741211.
        assert_eq!(
            line(Event::Placed(Grams(28.41))),
            "{\"t_us\":1500000,\"event\":\"placed\",\"grams\":28.41}\n"
        );
        assert_eq!(
            line(Event::Landed(Settled {
                mass: Grams(28.41),
                sigma: Grams(0.05),
            })),
            "{\"t_us\":1500000,\"event\":\"landed\",\"grams\":28.41,\"sigma_g\":0.05}\n"
        );
    }

    #[test]
    fn bare_events_have_a_time_and_a_name() {
        assert_eq!(
            line(Event::PourStarted),
            "{\"t_us\":1500000,\"event\":\"pour_started\"}\n"
        );
        assert_eq!(
            line(Event::Fault(Fault::Overload)),
            "{\"t_us\":1500000,\"event\":\"fault\",\"kind\":\"overload\"}\n"
        );
    }
}
