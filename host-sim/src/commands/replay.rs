//! `replay`: a recorded trace through the core.

use std::collections::VecDeque;
use std::fs::{self, File};
use std::io::{self, BufRead, BufReader, BufWriter, IsTerminal, Write};
use std::path::{Path, PathBuf};

use clap::Args;
use indicatif::{ProgressBar, ProgressStyle};
use pennyweight_core::units::Grams;
use pennyweight_core::{Command, Event, Input, Instant, Outputs, Setup, Station};

use super::events::write_event;
use super::failure::Failure;
use super::names::Names;
use super::options::{self, ModeName};
use super::plot::{Plot, Weighed};
use super::sentences::sentence;
use super::svg::Paper;
use super::trace::{Conversion, TraceReader};

/// How many intervals tell the rate of a trace that does not state it.
const RATE_INTERVALS: usize = 50;
/// The rate taken for a trace too short to tell, conversions per second.
const RATE_UNKNOWN: f32 = 80.0;
/// From this size on a trace takes long enough to show how far it is, bytes: half an hour at 320
/// conversions a second.
const LONG_TRACE: u64 = 10_000_000;

/// Options of `replay`.
#[derive(Args, Clone, Debug, Default)]
pub struct ReplayArgs {
    /// The trace (CSV: "# key=value" lines, then t_us,code); "-" reads standard input
    pub trace: PathBuf,

    /// Print one JSON object per event
    #[arg(long)]
    pub json: bool,

    /// Judge the first pour against this target, grams; what follows is only weighed
    #[arg(long, value_name = "G", value_parser = options::target_g)]
    pub target_g: Option<f32>,

    /// Codes per gram, in place of the trace's own
    #[arg(long, value_name = "N", allow_hyphen_values = true, value_parser = options::counts_per_gram)]
    pub counts_per_gram: Option<f32>,

    /// The code of the empty pan, in place of the trace's own
    #[arg(long, value_name = "CODE", allow_hyphen_values = true, value_parser = options::zero_code)]
    pub zero_code: Option<i32>,

    /// Nominal conversions per second; otherwise the trace's own, or estimated from its times
    #[arg(long, value_name = "HZ", value_parser = options::sps)]
    pub sps: Option<f32>,

    /// Delay of the converter's filter, periods, if the trace does not say it [default: 1.5, a sinc3 filter]
    #[arg(long, value_name = "N", value_parser = options::filter_delay)]
    pub filter_delay: Option<f32>,

    /// The way of working
    #[arg(long, value_enum, default_value_t)]
    pub mode: ModeName,

    /// Draw mass, estimate, flow and events as an SVG picture into this file
    #[arg(long, value_name = "FILE.svg")]
    pub plot: Option<PathBuf>,
}

/// Replays a trace onto standard output.
///
/// # Errors
/// A trace that cannot be read; an output that cannot be written.
pub fn run(args: &ReplayArgs) -> Result<(), Failure> {
    if args.trace == Path::new("-") {
        let out = BufWriter::new(io::stdout().lock());
        return replay("standard input", io::stdin().lock(), args, out);
    }
    let name = args.trace.display().to_string();
    let file = File::open(&args.trace).map_err(|error| {
        Failure::bad_input(
            "the trace cannot be opened",
            &name,
            error.to_string(),
            "check the path; a trace is a CSV file",
        )
    })?;
    if let Some(plot) = &args.plot
        && is_same_file(plot, &args.trace)
    {
        return Err(Failure::bad_input(
            "the picture would be written over the trace",
            format!("--plot {}", plot.display()),
            "both are the same file",
            "give the picture a name of its own",
        ));
    }
    let progress = progress(&file);
    let out = BufWriter::new(Beside {
        bar: progress.clone(),
        out: io::stdout().lock(),
    });
    let reader = BufReader::new(progress.wrap_read(file));
    let played = replay(&name, reader, args, out);
    progress.finish_and_clear();
    played
}

fn is_same_file(one: &Path, other: &Path) -> bool {
    match (fs::canonicalize(one), fs::canonicalize(other)) {
        (Ok(one), Ok(other)) => one == other,
        (Err(_), _) | (_, Err(_)) => false,
    }
}

/// Standard output on the same terminal as a bar: the bar makes room while something is written.
struct Beside<W> {
    bar: ProgressBar,
    out: W,
}

impl<W: Write> Write for Beside<W> {
    fn write(&mut self, bytes: &[u8]) -> io::Result<usize> {
        let Self { bar, out } = self;
        bar.suspend(|| out.write(bytes))
    }

    fn flush(&mut self) -> io::Result<()> {
        self.out.flush()
    }
}

/// A bar on standard error for a long trace, where somebody looks at it.
fn progress(file: &File) -> ProgressBar {
    let bytes = file.metadata().map_or(0, |about| about.len());
    if bytes < LONG_TRACE || !io::stderr().is_terminal() {
        return ProgressBar::hidden();
    }
    let bar = ProgressBar::new(bytes);
    let style = ProgressStyle::with_template("{wide_bar} {bytes} of {total_bytes}, {eta} left");
    bar.set_style(style.unwrap_or_else(|_| ProgressStyle::default_bar()));
    bar
}

/// Replays a trace: the core gets every conversion, and a tick at each deadline between two.
///
/// # Errors
/// A trace that cannot be read; an output that cannot be written. What came before is printed.
pub fn replay(
    name: &str,
    reader: impl BufRead,
    args: &ReplayArgs,
    mut out: impl Write,
) -> Result<(), Failure> {
    let mut printer = Printer {
        out: &mut out,
        json: args.json,
        names: Names::default(),
        judged: false,
        plot: args.plot.as_ref().map(|_| Plot::new(name)),
    };
    let played = play(name, reader, args, &mut printer);
    out.flush().map_err(Failure::writing)?;
    played
}

fn play(
    name: &str,
    reader: impl BufRead,
    args: &ReplayArgs,
    printer: &mut Printer<'_, impl Write>,
) -> Result<(), Failure> {
    let mut trace = TraceReader::new(name, reader)?;
    let ahead = read_ahead(&mut trace)?;
    let Some(first) = ahead.front().copied() else {
        return Err(Failure::bad_input(
            "there is nothing to replay",
            name,
            "the trace has no conversions after its header",
            "record again, and check that the converter delivers",
        ));
    };
    let head = trace.head();
    let setup = Setup {
        counts_per_gram: args
            .counts_per_gram
            .or(head.counts_per_gram)
            .ok_or_else(|| missing(name, "counts_per_gram", "--counts-per-gram"))?,
        zero_code: args
            .zero_code
            .or(head.zero_code)
            .ok_or_else(|| missing(name, "zero_code", "--zero-code"))?,
        sps: args.sps.or(head.sps).unwrap_or_else(|| rate_of(&ahead)),
        mode: args.mode.into(),
    };
    // Before the work, so that nobody waits for a picture that cannot be written.
    let paper = args.plot.as_deref().map(Paper::create).transpose()?;
    let mut replayed = Replayed {
        station: Station::new(setup),
    };
    if let Some(periods) = args.filter_delay.or(head.filter_delay) {
        // The bounds of option and key are the station's.
        let _possible = replayed.station.set_filter_delay(periods);
    }
    if let Some(target) = args.target_g {
        let command = Command::Target(Grams(target));
        replayed.step(first.at, Input::Command(command), printer)?;
    }
    let mut last = first.at;
    let mut ahead = ahead.into_iter();
    while let Some(conversion) = match ahead.next() {
        Some(conversion) => Some(conversion),
        None => trace.next_row()?,
    } {
        replayed.ticks(last, conversion.at, printer)?;
        replayed.step(conversion.at, Input::Code(conversion.code), printer)?;
        last = conversion.at;
    }
    let counted = counted(&replayed.station);
    printer.count(&counted)?;
    if let (Some(paper), Some(plot)) = (paper, &printer.plot) {
        paper.draw(&plot.picture(&counted))?;
    }
    Ok(())
}

/// What the converter did wrong, by kind; empty where nothing was.
fn counted(station: &Station<'_>) -> String {
    let kinds: Vec<String> = station
        .seen()
        .by_kind()
        .into_iter()
        .filter(|(_, count)| *count > 0)
        .map(|(kind, count)| format!("{count} {kind}"))
        .collect();
    if kinds.is_empty() {
        return String::new();
    }
    format!("conversions out of order: {}", kinds.join(", "))
}

/// The station that a trace is played to.
struct Replayed {
    station: Station<'static>,
}

impl Replayed {
    /// Ticks at every deadline that falls between two conversions.
    fn ticks(
        &mut self,
        from: Instant,
        until: Instant,
        printer: &mut Printer<'_, impl Write>,
    ) -> Result<(), Failure> {
        let mut now = from;
        while let Some(deadline) = self.station.deadline() {
            // A deadline that is not later than the last call has had its tick.
            if deadline >= until || deadline <= now {
                break;
            }
            now = deadline;
            self.step(now, Input::Tick, printer)?;
        }
        Ok(())
    }

    fn step(
        &mut self,
        now: Instant,
        input: Input,
        printer: &mut Printer<'_, impl Write>,
    ) -> Result<(), Failure> {
        let outputs = self.station.handle(now, input);
        if let (Input::Code(code), Some(plot)) = (input, &mut printer.plot) {
            let (reading, flow) = self.station.weight();
            plot.weigh(Weighed {
                t_s: now.micros() as f64 / 1e6,
                code_g: self.station.weight_of(code).0.into(),
                reading_g: reading.0.into(),
                flow_g_s: flow.0.into(),
            });
        }
        printer.print(now, &outputs)
    }
}

struct Printer<'o, W> {
    out: &'o mut W,
    json: bool,
    names: Names,
    /// The first pour has its verdict: what follows is only weighed, whatever the station, which
    /// guides every glass alike, makes of it.
    judged: bool,
    plot: Option<Plot>,
}

impl<W: Write> Printer<'_, W> {
    fn print(&mut self, at: Instant, outputs: &Outputs) -> Result<(), Failure> {
        let judged = self.judged;
        self.judged |= outputs.verdict.is_some();
        outputs
            .events()
            .filter(|event| !(judged && is_guiding(event)))
            .try_for_each(|event| self.line(at, &event))
            .map_err(Failure::writing)
    }

    /// What the converter did wrong, for whoever reads; events alone are JSON.
    fn count(&mut self, counted: &str) -> Result<(), Failure> {
        if self.json || counted.is_empty() {
            return Ok(());
        }
        writeln!(self.out, "{counted}").map_err(Failure::writing)
    }

    fn line(&mut self, at: Instant, event: &Event) -> io::Result<()> {
        if let Some(plot) = &mut self.plot {
            plot.mark(at, event, &self.names);
        }
        if self.json {
            write_event(self.out, at, event, &self.names)
        } else {
            writeln!(self.out, "{}", sentence(at, event, &self.names))
        }
    }
}

/// It needs a target, and is not mere weighing.
fn is_guiding(event: &Event) -> bool {
    matches!(
        event,
        Event::Ease | Event::Stop | Event::Verdict(_) | Event::Fix(_) | Event::Poured(_)
    )
}

fn read_ahead<R: BufRead>(trace: &mut TraceReader<R>) -> Result<VecDeque<Conversion>, Failure> {
    let mut ahead = VecDeque::with_capacity(RATE_INTERVALS + 1);
    while ahead.len() <= RATE_INTERVALS {
        let Some(conversion) = trace.next_row()? else {
            break;
        };
        ahead.push_back(conversion);
    }
    Ok(ahead)
}

/// The rate by the median of the first intervals: a late or lost conversion does not move it.
fn rate_of(ahead: &VecDeque<Conversion>) -> f32 {
    let mut intervals: Vec<u64> = ahead
        .iter()
        .zip(ahead.iter().skip(1))
        .map(|(earlier, later)| later.at.micros() - earlier.at.micros())
        .collect();
    intervals.sort_unstable();
    match intervals.get(intervals.len() / 2) {
        Some(&median) if median > 0 => options::sps_clamped(1e6 / median as f32),
        _ => RATE_UNKNOWN,
    }
}

fn missing(name: &str, key: &str, option: &str) -> Failure {
    Failure::bad_input(
        "the trace cannot be replayed",
        format!("{name}: no line \"# {key}=...\" before the header"),
        "the trace does not say how to turn codes into grams",
        format!("add the line to the trace, or give {option}"),
    )
}

#[cfg(test)]
mod tests {
    use super::*;
    use pennyweight_core::units::AdcCode;

    #[test]
    fn the_rate_survives_a_late_conversion() {
        // 80 conversions a second, and the eleventh came two intervals late.
        let ahead: VecDeque<Conversion> = (0..=50u64)
            .map(|i| Conversion {
                at: Instant::from_micros(i * 12_500 + if i > 10 { 25_000 } else { 0 }),
                code: AdcCode(0),
            })
            .collect();
        assert_eq!(rate_of(&ahead), 80.0);
        assert_eq!(rate_of(&VecDeque::new()), RATE_UNKNOWN);
    }
}
