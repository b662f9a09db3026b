//! `run`: a round played on the simulated station, with a simulated hand.

use std::io::{self, BufWriter, Write};
use std::path::PathBuf;
use std::thread::sleep;
use std::time;

use clap::Args;
use console::Term;
use indicatif::{ProgressBar, ProgressDrawTarget, ProgressStyle};
use pennyweight_core::spec::{DrinkId, Sheet};
use pennyweight_core::{Event, Instant, Outputs, View};

use super::capture;
use super::events::write_json;
use super::failure::Failure;
use super::flight;
use super::live;
use super::names::Names;
use super::options::{self, ModeName};
use super::order::order;
use super::reaching::Reaching;
use super::result::{RoundResult, RoundTally};
use super::scale::{self, ScaleArgs};
use super::sentences::sentence;
use super::tables;
use super::taught::taught;
use crate::holds::{Fills, Jug};
use crate::plant::Table;
use crate::session::{Moment, Session, SessionSetup};
use crate::sheet::{HouseSheet, load};

/// How many drinks are built where no order is given.
const DEMO_DRINKS: usize = 3;
/// The live view shall last about so long where no speed is given, seconds.
const SHOW_SECONDS: f64 = 45.0;
/// The live view is never slower than this where no speed is given: it is watched, not poured.
const SHOW_SPEED: f64 = 4.0;
/// Time between two pictures of the live view.
const FRAME: time::Duration = time::Duration::from_millis(50);

/// Options of `run`.
#[derive(Args, Clone, Debug)]
pub struct RunArgs {
    /// A sheet of drinks in place of the demo
    #[arg(long, value_name = "FILE", conflicts_with_all = ["calibrate", "report"])]
    pub sheet: Option<PathBuf>,

    /// Drinks to build, by name, between commas [default: the first three of the sheet]
    #[arg(long, value_name = "NAMES", conflicts_with_all = ["calibrate", "report"])]
    pub order: Option<String>,

    /// A flight to build: the name of one of the sheet's, or a drink and its variants, such as
    /// "Slow Ledger: 2.5/5/7.5 ml ginger" or "Slow Ledger: rye | rum"
    #[arg(long, value_name = "FLIGHT", conflicts_with_all = ["order", "calibrate", "report", "speed"])]
    pub flight: Option<String>,

    /// Tell the glasses of the flight by three-digit codes, revealed at the end
    #[arg(long, requires = "flight")]
    pub blind: bool,

    /// Build every glass of the flight whole, without a shared batch
    #[arg(long, requires = "flight")]
    pub each: bool,

    /// Chance of the simulated bench and hand: the same number plays the same round
    #[arg(long, value_name = "N", default_value_t = 1)]
    pub seed: u64,

    /// How many times faster than the bench to show it [default: as ends within a minute]
    #[arg(long, value_name = "X", conflicts_with_all = ["calibrate", "report"], value_parser = options::speed)]
    pub speed: Option<f64>,

    /// Print the result as one JSON document and nothing else
    #[arg(long)]
    pub json: bool,

    /// The way of working [default: service; develop for a flight]; develop
    /// without an order makes up a drink and captures it
    #[arg(long, value_enum, conflicts_with_all = ["calibrate", "report"])]
    pub mode: Option<ModeName>,

    /// Make each drink so many glasses at once, in grams, with --mode prep
    #[arg(long, value_name = "GLASSES", conflicts_with_all = ["calibrate", "report"], value_parser = clap::value_parser!(u32).range(1..=1000))]
    pub batch: Option<u32>,

    /// What the batch is weighed in weighs itself, grams
    #[arg(long, value_name = "GRAMS", requires = "batch", default_value = "600", value_parser = options::jug_g)]
    pub jug: f64,

    /// What it holds to the brim, millilitres
    #[arg(long, value_name = "ML", requires = "batch", value_parser = options::holds_ml)]
    pub holds: Option<f64>,

    /// The scale itself to calibrate or prove on the simulated pan, in place of a round.
    #[command(flatten)]
    pub scale: ScaleArgs,
}

/// Plays a round onto standard output.
///
/// # Errors
/// A sheet or order that cannot be used; a round that does not end; an output that cannot be
/// written.
pub fn run(args: &RunArgs) -> Result<(), Failure> {
    if args.scale.is_asked() {
        return scale::bench::run(&args.scale, args.seed, args.json);
    }
    if let Some(wanted) = &args.flight {
        return flight::run(args, wanted);
    }
    if args.mode == Some(ModeName::Develop) && args.order.is_none() {
        return capture::run(args);
    }
    let house = load(args.sheet.as_deref())?;
    let sheet = house.sheet()?;
    let names = Names::of(&sheet);
    let ordered = ordered(args.order.as_deref(), &names)?;
    match args.batch {
        Some(serves) => {
            let fills = fills(&house, &ordered, serves, args)?;
            if !args.json {
                print(&mut io::stdout().lock(), &(fills.said.join("\n") + "\n\n"))?;
            }
            let sheet = fills.sheet()?;
            show_round(&sheet, &Names::of(&sheet), &fills.order, args)
        }
        None => show_round(&sheet, &names, &ordered, args),
    }
}

/// The batches, as so many fills of the jug.
fn fills(
    house: &HouseSheet,
    ordered: &[DrinkId],
    serves: u32,
    args: &RunArgs,
) -> Result<Fills, Failure> {
    if args.mode != Some(ModeName::Prep) {
        return Err(Failure::bad_input(
            "no batch can be made",
            "--batch",
            "batches are made in prep alone",
            "give --mode prep with it",
        ));
    }
    let drinks: Vec<_> = ordered
        .iter()
        .filter_map(|id| house.drinks().get(usize::from(id.0)))
        .collect();
    let jug = Jug {
        mass_g: args.jug,
        holds_ml: args.holds,
    };
    Fills::of(house, &drinks, serves, jug).map_err(|(drink, error)| {
        Failure::bad_input(
            "the batch cannot be filled",
            format!("--batch {serves}, {drink}"),
            error.to_string(),
            "make fewer glasses at once, or weigh them in a lighter or a larger jug",
        )
    })
}

/// Plays a round, and prints it as was asked for.
fn show_round(
    sheet: &Sheet<'_>,
    names: &Names,
    ordered: &[DrinkId],
    args: &RunArgs,
) -> Result<(), Failure> {
    let terminal = Term::stdout();
    let live = !args.json && terminal.is_term();
    // Played once unseen, to know how long it takes: the bench runs far faster than real time.
    let speed = match args.speed {
        None if live => show_speed(moments(sheet, ordered, args)?),
        given => given.unwrap_or(SHOW_SPEED),
    };
    let reaching = Reaching::of(sheet, ordered);
    let mut round = moments(sheet, ordered, args)?;
    if live {
        let mut screen = Live::new(terminal, names, ordered.len(), speed);
        let mut result = play(&mut round, names, ordered.len(), |moment| {
            screen.show(moment)
        })?;
        screen.close();
        (result.taught, result.reaching) = (taught(round.habits(), names), reaching);
        return print(&mut io::stdout().lock(), &tables::report(&result));
    }
    let mut out = BufWriter::new(io::stdout().lock());
    if args.json {
        let mut result = play(&mut round, names, ordered.len(), |_| Ok(()))?;
        (result.taught, result.reaching) = (taught(round.habits(), names), reaching);
        write_json(&mut out, &result).map_err(Failure::writing)?;
    } else {
        let mut result = play(&mut round, names, ordered.len(), |moment| {
            plain_lines(&mut out, moment, names)
        })?;
        (result.taught, result.reaching) = (taught(round.habits(), names), reaching);
        print(&mut out, &format!("\n{}", tables::report(&result)))?;
    }
    out.flush().map_err(Failure::writing)
}

/// Plays a round to its end, showing every moment, and sums it up.
///
/// # Errors
/// What `show` fails with; a round that ends before `ordered` drinks are done.
pub fn play<'s>(
    round: impl Iterator<Item = Moment<'s>>,
    names: &Names,
    ordered: usize,
    mut show: impl FnMut(&Moment<'s>) -> Result<(), Failure>,
) -> Result<RoundResult, Failure> {
    let mut tally = RoundTally::new(names);
    for moment in round {
        tally.take(moment.at, &moment.outputs);
        show(&moment)?;
    }
    tally.finish(ordered)
}

/// What happened in one moment, as lines; only what a person at the bar would tell.
///
/// # Errors
/// An output that cannot be written.
pub fn plain_lines(
    out: &mut impl Write,
    moment: &Moment<'_>,
    names: &Names,
) -> Result<(), Failure> {
    told(&moment.outputs)
        .try_for_each(|event| writeln!(out, "{}", sentence(moment.at, &event, names)))
        .map_err(Failure::writing)
}

fn told(outputs: &Outputs) -> impl Iterator<Item = Event> + '_ {
    outputs.events().filter(|event| {
        matches!(
            event,
            Event::Fault(_)
                | Event::Cleared
                | Event::Fix(_)
                | Event::Lost(_)
                | Event::Due(_)
                | Event::Poured(_)
                | Event::Done(_)
                | Event::WeighedBack(_)
                | Event::Step(_)
        )
    })
}

/// The speed at which a round lasts as long as the live view shall.
fn show_speed<'s>(round: impl Iterator<Item = Moment<'s>>) -> f64 {
    let mut times = round.map(|moment| moment.at.micros());
    let first = times.next().unwrap_or(0);
    let last = times.last().unwrap_or(first);
    let seconds = last.saturating_sub(first) as f64 / 1e6;
    (seconds / SHOW_SECONDS).max(SHOW_SPEED)
}

fn ordered(text: Option<&str>, names: &Names) -> Result<Vec<DrinkId>, Failure> {
    match text {
        Some(text) => order(text, "--order", names),
        None => Ok((0..=u8::MAX)
            .map(DrinkId)
            .take(names.drinks.len().min(DEMO_DRINKS))
            .collect()),
    }
}

fn print(out: &mut impl Write, text: &str) -> Result<(), Failure> {
    out.write_all(text.as_bytes()).map_err(Failure::writing)
}

/// The live view on a terminal, in place, in step with the clock on the wall.
struct Live<'n> {
    bar: ProgressBar,
    names: &'n Names,
    ordered: usize,
    speed: f64,
    started: time::Instant,
    first: Option<Instant>,
    drawn: Option<time::Instant>,
    drink: Option<DrinkId>,
    finished: usize,
}

impl<'n> Live<'n> {
    fn new(terminal: Term, names: &'n Names, ordered: usize, speed: f64) -> Self {
        // The view keeps its own pace; the bar shall draw whatever it is given.
        let bar = ProgressBar::with_draw_target(None, ProgressDrawTarget::term(terminal, 255));
        if let Ok(style) = ProgressStyle::with_template("{msg}") {
            bar.set_style(style);
        }
        Self {
            bar,
            names,
            ordered,
            speed,
            started: time::Instant::now(),
            first: None,
            drawn: None,
            drink: None,
            finished: 0,
        }
    }

    fn show(&mut self, moment: &Moment<'_>) -> Result<(), Failure> {
        let first = *self.first.get_or_insert(moment.at);
        let passed = moment.at.micros().saturating_sub(first.micros()) as f64 / 1e6;
        let due = self.started + time::Duration::from_secs_f64(passed / self.speed);
        let outputs = &moment.outputs;
        if let Some(begun) = outputs.step {
            self.drink = Some(begun.drink);
        }
        let cue = outputs.ease || outputs.stop || outputs.verdict.is_some();
        let fresh = self.drawn.is_none_or(|drawn| due >= drawn + FRAME);
        if fresh || cue {
            sleep(due.saturating_duration_since(time::Instant::now()));
            self.drawn = Some(due);
            self.bar.set_message(self.picture(passed, &moment.view));
        }
        for event in told(outputs) {
            if !matches!(event, Event::Step(_)) {
                self.bar.println(sentence(moment.at, &event, self.names));
            }
        }
        self.finished += usize::from(outputs.done.is_some());
        Ok(())
    }

    fn picture(&self, passed: f64, view: &View<'_>) -> String {
        let name = self.drink.and_then(|id| self.names.drink(id));
        let number = (self.finished + 1).min(self.ordered);
        let heading = format!(
            "{}  (drink {number} of {})",
            name.unwrap_or("The round"),
            self.ordered
        );
        let clock = format!("{passed:.1} s, {:.0} x real time", self.speed);
        live::painted(&live::lines(&heading, &clock, view))
    }

    fn close(&self) {
        self.bar.finish_and_clear();
    }
}

/// The moments of a round on the simulated bench; the same seed gives the same moments.
fn moments<'s>(
    sheet: &Sheet<'s>,
    ordered: &[DrinkId],
    args: &RunArgs,
) -> Result<Session<'s>, Failure> {
    let mut setup = SessionSetup::new(ordered.to_vec(), args.seed);
    setup.mode = args.mode.unwrap_or_default().into();
    Ok(Session::new(&Table::nominal(), *sheet, &setup)?)
}
