//! `run --flight`: a flight built on the simulated station.

mod compared;
mod text;

use std::io::{self, BufWriter, Write};

use pennyweight_core::Mode;
use pennyweight_core::flight::{codes, split};
use pennyweight_core::output::Figure;

use compared::Gathered;
pub use compared::{Comparison, Fairness, FlightResult, Variant};

use super::Failure;
use super::events::write_json;
use super::names::Names;
use super::run::{RunArgs, plain_lines, play};
use crate::holds::drink_holds;
use crate::plant::Table;
use crate::session::{Moment, Session, SessionSetup};
use crate::sheet::{BATCH, FlightSheet, HouseFlight, HouseSheet, SheetMistake, load};

/// What mistakes of a flight on the command line are told under.
const PLACE: &str = "--flight";

/// A flight worked out: what is built, in which order, and how its glasses are told.
#[derive(Clone, Debug, PartialEq)]
pub struct Planned {
    /// What was asked for.
    pub flight: HouseFlight,
    /// The line of the build that changes, as it was written.
    pub changes: String,
    /// The sheet it is built from.
    pub made: FlightSheet,
    /// What the glasses are called, in the order of the variants.
    pub glasses: Vec<String>,
    /// Their codes, where it is blind.
    pub codes: Option<Vec<u16>>,
    /// The order in which they are built, as numbers of variants.
    pub order: Vec<usize>,
    /// What every glass is strained to, millilitres, where the drink is strained.
    pub serve_ml: Option<f32>,
}

/// Works a flight out; the codes follow from the seed.
///
/// # Errors
/// A flight that does not fit a sheet, or a liquid without a density.
pub fn plan(house: &HouseSheet, flight: HouseFlight, seed: u64) -> Result<Planned, Failure> {
    let count = flight.variants.len();
    let codes: Option<Vec<u16>> = flight
        .blind
        .then(|| codes::codes(seed, count).into_iter().collect());
    let glasses: Vec<String> = match &codes {
        Some(codes) => codes.iter().map(|code| format!("Glass {code}")).collect(),
        None => (1..=count)
            .map(|number| format!("Glass {number}"))
            .collect(),
    };
    let order = if flight.blind {
        codes::order(seed, count)
            .into_iter()
            .map(usize::from)
            .collect()
    } else {
        (0..count).collect()
    };
    let unfit = |why: String| {
        Failure::bad_input(
            "the flight cannot be built",
            format!("{PLACE}: {} of {}", flight.name, flight.drink),
            why,
            "try fewer variants, or `pennyweight check` the drink",
        )
    };
    let made = house
        .for_flight(&flight, &glasses)
        .map_err(|error| unfit(error.to_string()))?;
    let expected: Option<Vec<Figure>> = made
        .variants
        .iter()
        .map(|id| {
            let drink = made.house.drinks().get(usize::from(id.0))?;
            let served = drink_holds(&made.house, drink, Mode::Develop)
                .ok()?
                .served?;
            Some(Figure {
                value: served.volume_ml as f32,
                sigma: served.volume_sigma_ml as f32,
            })
        })
        .collect();
    let serve_ml = expected.and_then(split::served_ml);
    let changed = house
        .drinks()
        .iter()
        .find(|drink| drink.name == flight.drink)
        .and_then(|drink| drink.build.get(flight.line));
    Ok(Planned {
        changes: changed.map_or_else(String::new, |line| line.written.clone()),
        flight,
        made,
        glasses,
        codes,
        order,
        serve_ml,
    })
}

impl Planned {
    /// How it is played with this seed.
    #[must_use]
    pub fn session(&self, seed: u64) -> SessionSetup {
        let variants = self
            .order
            .iter()
            .filter_map(|one| self.made.variants.get(*one));
        let batch = self.made.batch.map(|batch| batch.drink);
        let orders = batch.into_iter().chain(variants.copied()).collect();
        let mut setup = SessionSetup::new(orders, seed);
        setup.mode = Mode::Develop;
        setup.batch = self.made.batch.map(|_| BATCH.to_owned());
        setup.serve_ml = self.serve_ml;
        setup
    }
}

/// Plays a flight onto standard output.
///
/// # Errors
/// A sheet or flight that cannot be used; a flight that does not end; an output that cannot be
/// written.
pub fn run(args: &RunArgs, wanted: &str) -> Result<(), Failure> {
    let house = load(args.sheet.as_deref())?;
    let mut flight = house
        .flight(wanted, PLACE)
        .map_err(|mistakes| wrong(&mistakes))?;
    flight.blind |= args.blind;
    flight.shared &= !args.each;
    let planned = plan(&house, flight, args.seed)?;
    let sheet = planned.made.house.sheet()?;
    let names = Names::of(&sheet);
    let mut setup = planned.session(args.seed);
    if let Some(mode) = args.mode {
        setup.mode = mode.into();
    }
    let session = Session::new(&Table::nominal(), sheet, &setup)?;
    let mut out = BufWriter::new(io::stdout().lock());
    let result = played(&planned, session, |moment| {
        if args.json {
            return Ok(());
        }
        plain_lines(&mut out, moment, &names)
    })?;
    if args.json {
        write_json(&mut out, &result).map_err(Failure::writing)?;
    } else {
        write!(out, "\n{}", text::report(&result)).map_err(Failure::writing)?;
    }
    out.flush().map_err(Failure::writing)
}

/// Plays a flight to its end, showing every moment, and compares its glasses.
///
/// # Errors
/// What `show` fails with; a flight that ends before its last glass.
pub fn played<'s>(
    planned: &Planned,
    session: impl Iterator<Item = Moment<'s>>,
    mut show: impl FnMut(&Moment<'s>) -> Result<(), Failure>,
) -> Result<FlightResult, Failure> {
    let names = Names::of(&planned.made.house.sheet()?);
    let ordered = planned.order.len() + usize::from(planned.made.batch.is_some());
    let mut gathered = Gathered::new(planned);
    let round = play(session, &names, ordered, |moment| {
        gathered.take(&moment.outputs);
        show(moment)
    })?;
    Ok(gathered.finish(round))
}

fn wrong(mistakes: &[SheetMistake]) -> Failure {
    let places = mistakes.iter().map(ToString::to_string).collect();
    let failure = Failure::bad_input(
        "the flight cannot be taken",
        "",
        "what is written there is no flight of this sheet",
        "write a drink and the line that changes: --flight \"Slow Ledger: 2.5/5/7.5 ml ginger\", \
         or the name of a [[flight]] of the sheet",
    );
    Failure { places, ..failure }
}
