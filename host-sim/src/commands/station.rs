//! `station`: the core on standard input and output, in lockstep.
//!
//! Every line that is not blank gets an answer: its events, one line each, then exactly one
//! `idle` line. A line that cannot be understood gets a `fault` and its `idle`; nothing but the
//! end of the input ends the station.

use std::io::{self, BufRead, BufReader, BufWriter, Write};
use std::path::PathBuf;

use clap::Args;
use pennyweight_core::limits::FILTER_DELAY_PERIODS;
use pennyweight_core::spec::Sheet;
use pennyweight_core::units::Grams;
use pennyweight_core::{Command, Input, Instant, Mode, Setup, Station};
use serde::Serialize;

use super::bounded::{BoundedLines, TextLine};
use super::events::{COMMAND, write_captured, write_event, write_fault, write_json};
use super::failure::Failure;
use super::learning::LearnArgs;
use super::names::Names;
use super::options::{self, ModeName};
use super::order::order;
use super::request::{Asked, Refusal, request};
use super::scale::{self, ScaleArgs};
use super::taught::write_taught;
use crate::capture::{Capture, Captured};
use crate::sheet::{HouseSheet, load};

/// No request needs more bytes; the rest of a longer line is passed over.
pub const LINE_MAX: usize = 64 * 1024;

/// Options of `station`.
#[derive(Args, Clone, Debug)]
pub struct StationArgs {
    /// Codes per gram
    // A scale that is not calibrated yet has none: the default is never used then.
    #[arg(long, value_name = "N", allow_hyphen_values = true, default_value_t = 1.0, hide_default_value = true, required_unless_present = "calibrate", value_parser = options::counts_per_gram)]
    pub counts_per_gram: f32,

    /// The code of the empty pan
    #[arg(long, value_name = "CODE", allow_hyphen_values = true, default_value_t = 0, hide_default_value = true, required_unless_present = "calibrate", value_parser = options::zero_code)]
    pub zero_code: i32,

    /// Nominal conversions per second
    #[arg(long, value_name = "HZ", default_value_t = 80.0, value_parser = options::sps)]
    pub sps: f32,

    /// Delay of the converter's filter, periods; 1.5 for a sinc3 filter
    #[arg(long, value_name = "N", default_value_t = FILTER_DELAY_PERIODS, value_parser = options::filter_delay)]
    pub filter_delay: f32,

    /// Guide one pour of this many grams, and the same again for every glass placed after it
    #[arg(long, value_name = "G", conflicts_with_all = ["sheet", "order", "calibrate", "report"], value_parser = options::target_g)]
    pub target_g: Option<f32>,

    /// A sheet of drinks in place of the demo
    #[arg(long, value_name = "FILE", conflicts_with_all = ["calibrate", "report"])]
    pub sheet: Option<PathBuf>,

    /// Drinks to build, by name, between commas
    #[arg(long, value_name = "NAMES", conflicts_with_all = ["calibrate", "report"])]
    pub order: Option<String>,

    /// A bottle to learn, in place of a pour or a round.
    #[command(flatten)]
    pub learning: LearnArgs,

    /// The scale itself to calibrate or prove, in place of a pour or a round.
    #[command(flatten)]
    pub scale: ScaleArgs,

    /// The way of working
    #[arg(long, value_enum, default_value_t)]
    pub mode: ModeName,
}

/// Answers standard input on standard output until it ends.
///
/// # Errors
/// A sheet or order that cannot be used; a stream that fails.
pub fn run(args: &StationArgs) -> Result<(), Failure> {
    let from = BufReader::new(io::stdin().lock());
    let to = BufWriter::new(io::stdout().lock());
    station(args, from, to)
}

/// Answers every line of `from` on `to`, flushed line by line.
///
/// # Errors
/// A sheet or order that cannot be used; a stream that fails.
pub fn station(args: &StationArgs, from: impl BufRead, mut to: impl Write) -> Result<(), Failure> {
    if args.scale.is_asked() {
        return scale::answer(args, from, to);
    }
    let with_sheet = args.sheet.is_some() || args.order.is_some();
    let house = with_sheet
        .then(|| load(args.sheet.as_deref()))
        .transpose()?;
    let sheet = house.as_ref().map(HouseSheet::sheet).transpose()?;
    let mut lockstep = Lockstep::new(args, sheet)?;
    let mut lines = BoundedLines::new(from, LINE_MAX);
    while let Some(line) = lines.next_line().map_err(|error| reading(&error))? {
        lockstep
            .answer(line, &mut to)
            .and_then(|()| to.flush())
            .map_err(Failure::writing)?;
    }
    Ok(())
}

/// The station and where it stands between two lines.
struct Lockstep<'s> {
    station: Station<'s>,
    names: Names,
    now: Instant,
    /// What is poured without a spec, where that is asked for.
    capture: Option<Capture>,
    /// What the options ask for; carried out when the first line tells the time.
    opening: Vec<Command>,
}

/// The end of every answer.
#[derive(Serialize)]
pub(super) struct Idle {
    event: &'static str,
    deadline_us: Option<u64>,
    ramp: Option<f32>,
}

impl Idle {
    pub(super) fn new(deadline: Option<Instant>, ramp: Option<f32>) -> Self {
        Self {
            event: "idle",
            deadline_us: deadline.map(Instant::micros),
            ramp,
        }
    }
}

impl<'s> Lockstep<'s> {
    fn new(args: &StationArgs, sheet: Option<Sheet<'s>>) -> Result<Self, Failure> {
        let mut station = Station::new(Setup {
            zero_code: args.zero_code,
            counts_per_gram: args.counts_per_gram,
            sps: args.sps,
            mode: args.mode.into(),
        });
        // The option's bounds are the station's.
        let _possible = station.set_filter_delay(args.filter_delay);
        let names = sheet.as_ref().map(Names::of).unwrap_or_default();
        if let Some(sheet) = sheet {
            station.load(sheet);
        }
        let ordered = match &args.order {
            Some(text) => order(text, "--order", &names)?,
            None => Vec::new(),
        };
        let sample = args.learning.sample().map_err(|wrong| {
            Failure::bad_input(
                "the sample cannot be used",
                "--learn and its options",
                wrong,
                "write it as --learn \"50 ml\" --abv 24",
            )
        })?;
        let target = args.target_g.map(|target| Command::Target(Grams(target)));
        Ok(Self {
            station,
            names,
            now: Instant::ZERO,
            capture: None,
            opening: target
                .into_iter()
                .chain(ordered.into_iter().map(Command::Order))
                .chain(sample.map(Command::Learn))
                .collect(),
        })
    }

    fn answer(&mut self, line: TextLine<'_>, to: &mut impl Write) -> io::Result<()> {
        let Some((at, outcome)) = understand(line, &self.names, self.now) else {
            return Ok(());
        };
        match outcome {
            Ok(asked) => {
                self.now = at;
                for command in std::mem::take(&mut self.opening) {
                    self.handle(Input::Command(command), to)?;
                }
                self.ask(asked, to)?;
            }
            Err(refusal) => write_fault(to, at, refusal.kind, &refusal.message)?,
        }
        let idle = Idle::new(self.station.deadline(), self.station.view().ramp);
        write_json(to, &idle)
    }

    fn ask(&mut self, asked: Asked, to: &mut impl Write) -> io::Result<()> {
        match asked {
            Asked::Input(Input::Command(Command::Skip)) if self.capture.take().is_some() => Ok(()),
            Asked::Input(input) => self.handle(input, to),
            Asked::Taught => write_taught(to, self.now, &self.station, &self.names),
            Asked::Capture => {
                self.handle(Input::Command(Command::Mode(Mode::Develop)), to)?;
                self.capture = Some(Capture::begin(self.now, &self.station));
                Ok(())
            }
            Asked::Said(said) => match self.capture.as_mut().and_then(|one| one.hear(said)) {
                Some(entries) => self.write_entries(&entries, to),
                None => {
                    let message = "nothing was captured that this could be of";
                    write_fault(to, self.now, COMMAND, message)
                }
            },
        }
    }

    fn handle(&mut self, input: Input, to: &mut impl Write) -> io::Result<()> {
        let outputs = self.station.handle(self.now, input);
        for event in outputs.events() {
            write_event(to, self.now, &event, &self.names)?;
        }
        let (pan, _) = self.station.weight();
        match &mut self.capture {
            Some(capture) => {
                let entries = capture.take(self.now, &outputs, pan);
                self.write_entries(&entries, to)
            }
            None => Ok(()),
        }
    }

    fn write_entries(&self, entries: &[Captured], to: &mut impl Write) -> io::Result<()> {
        entries
            .iter()
            .try_for_each(|entry| write_captured(to, self.now, entry, &self.names))
    }
}

/// What a line asks for, and when; nothing for a blank one. A line that is refused moves no clock:
/// its time tells where it stands.
pub(super) fn understand(
    line: TextLine<'_>,
    names: &Names,
    now: Instant,
) -> Option<(Instant, Result<Asked, Refusal>)> {
    let understood = match line {
        TextLine::Whole(bytes) if bytes.trim_ascii().is_empty() => return None,
        TextLine::Whole(bytes) => request(bytes, names),
        TextLine::TooLong(_) => Err(Refusal::new(
            "line",
            format!("the line is longer than {LINE_MAX} bytes"),
        )),
    };
    Some(match understood {
        Ok(request) if request.at < now => {
            let (at, before) = (request.at.micros(), now.micros());
            let message = format!("time goes backwards: t_us {at} comes after {before}");
            (now, Err(Refusal::new("time", message)))
        }
        Ok(request) => (request.at, request.asked),
        Err(refusal) => (now, Err(refusal)),
    })
}

pub(super) fn reading(error: &io::Error) -> Failure {
    Failure::failed_run(
        "the input cannot be read",
        "standard input",
        error.to_string(),
        "check the program that drives the station",
    )
}
