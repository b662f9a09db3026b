//! `run --mode develop` without an order: a drink is made up as it goes, captured, written down as
//! a spec and built again from it.

use std::io::{self, BufWriter, Write};

use pennyweight_core::spec::{DrinkId, Quantity, Sheet, Step};
use pennyweight_core::{Instant, Mode};
use serde::Serialize;

use super::Failure;
use super::events::{taken_word, write_json};
use super::names::Names;
use super::result::RoundResult;
use super::run::{RunArgs, plain_lines, play};
use super::sentences::entry_sentence;
use super::tables;
use crate::capture::{Captured, Notebook, Spec, spec};
use crate::plant::Table;
use crate::session::{Free, Naming, Session, SessionSetup, improvise};
use crate::sheet::{HouseSheet, load};

/// What the captured drink is called.
const NAME: &str = "Captured";

/// Somebody tastes so much, grams.
const SIP_G: f64 = 8.0;

/// The document of `run --mode develop --json`.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct CaptureResult {
    /// What was captured.
    pub captured: Vec<EntryResult>,
    /// The `[[drink]]`, ready to paste.
    pub spec: String,
    /// Its build in millilitres.
    pub ml: Vec<String>,
    /// Its build in ounces.
    pub oz: Vec<String>,
    /// What could not be put into it.
    pub remarks: Vec<String>,
    /// The same again, guided.
    #[serde(flatten)]
    pub again: RoundResult,
}

/// One entry.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct EntryResult {
    /// Its number.
    pub entry: u8,
    /// `poured`, `tipped_in`, `lost`, `away` or `strained`.
    pub taken: &'static str,
    /// Of what.
    pub liquid: Option<String>,
    /// How much.
    pub grams: f32,
    /// One standard deviation of that.
    pub sigma_g: f32,
    /// It is not in the spec.
    pub struck: bool,
}

/// Plays a capture onto standard output.
///
/// # Errors
/// A sheet that cannot be used; a build that does not end; an output that cannot be written.
pub fn run(args: &RunArgs) -> Result<(), Failure> {
    let house = load(args.sheet.as_deref())?;
    let sheet = house.sheet()?;
    let names = Names::of(&sheet);
    let mut out = BufWriter::new(io::stdout().lock());
    let mut setup = SessionSetup::new(Vec::new(), args.seed);
    setup.mode = Mode::Develop;
    let mut notes = Notebook::default();
    let mut written = Ok(());
    let moves = freely(&sheet, DrinkId(0));
    improvise(
        &Table::nominal(),
        sheet,
        &setup,
        &moves,
        |moment, entries| {
            entries.iter().for_each(|entry| notes.take(*entry));
            if !args.json && written.is_ok() {
                written = plain_lines(&mut out, moment, &names)
                    .and_then(|()| entry_lines(&mut out, moment.at, entries, &names));
            }
        },
    )?;
    written?;
    let spec = spec(&house, &notes, NAME).map_err(|error| {
        Failure::bad_input(
            "the capture cannot be written down",
            "a liquid of the sheet",
            error.to_string(),
            "state its density",
        )
    })?;
    if !args.json {
        write!(out, "\n{}\nThe same again\n\n", spec.toml).map_err(Failure::writing)?;
    }
    let again = again(&house, &spec, args.seed, |moment, names| {
        if args.json {
            return Ok(());
        }
        plain_lines(&mut out, moment, names)
    })?;
    if args.json {
        let captured = notes
            .entries()
            .iter()
            .map(|one| entry(one, &names))
            .collect();
        let result = CaptureResult {
            captured,
            spec: spec.toml,
            ml: spec.ml,
            oz: spec.oz,
            remarks: spec.remarks,
            again,
        };
        write_json(&mut out, &result).map_err(Failure::writing)?;
    } else {
        write!(out, "\n{}", tables::report(&again)).map_err(Failure::writing)?;
    }
    out.flush().map_err(Failure::writing)
}

fn entry_lines(
    out: &mut impl Write,
    at: Instant,
    entries: &[Captured],
    names: &Names,
) -> Result<(), Failure> {
    entries
        .iter()
        .try_for_each(|entry| writeln!(out, "{}", entry_sentence(at, entry, names)))
        .map_err(Failure::writing)
}

/// Builds a spec as the last drink of the house's sheet, guided.
///
/// # Errors
/// A spec that the sheet does not take, which is a mistake of the program; a build that does not
/// end.
pub fn again(
    house: &HouseSheet,
    spec: &Spec,
    seed: u64,
    mut show: impl FnMut(&crate::session::Moment<'_>, &Names) -> Result<(), Failure>,
) -> Result<RoundResult, Failure> {
    let house = house
        .with_drinks(&spec.toml, "the captured spec")
        .map_err(|mistakes| {
            let told: Vec<String> = mistakes.iter().map(ToString::to_string).collect();
            Failure::failed_run(
                "the captured spec cannot be read back",
                told.join("; "),
                "an entry was not what a sheet takes",
                "name or strike it, and capture again",
            )
        })?;
    let sheet = house.sheet()?;
    let names = Names::of(&sheet);
    let last = DrinkId(sheet.drinks().saturating_sub(1));
    let mut setup = SessionSetup::new(vec![last], seed);
    setup.mode = Mode::Develop;
    let session = Session::new(&Table::nominal(), sheet, &setup)?;
    play(session, &names, 1, |moment| show(moment, &names))
}

fn entry(one: &Captured, names: &Names) -> EntryResult {
    EntryResult {
        entry: one.entry,
        taken: taken_word(one.taken),
        liquid: one
            .liquid
            .and_then(|id| names.liquid(id))
            .map(str::to_owned),
        grams: one.amount.mass.0,
        sigma_g: one.amount.sigma.0,
        struck: one.struck,
    }
}

/// A drink of the sheet as somebody makes it who has no spec: by feel, named before and after in
/// turns, with a sip before the ice.
fn freely(sheet: &Sheet<'_>, id: DrinkId) -> Vec<Free> {
    let Ok(drink) = sheet.drink(id) else {
        return Vec::new();
    };
    let mut moves = vec![Free::Place(drink.vessel)];
    let mut tasted = false;
    for number in 0..drink.steps {
        let naming = if number % 2 == 0 {
            Naming::Before
        } else {
            Naming::After
        };
        let ul = |ul: u32| f64::from(ul) / 1_000.0;
        match sheet.step(id, number) {
            Ok(Step::Pour { liquid, amount } | Step::Soda { liquid, amount }) => {
                let ml = match amount.quantity {
                    Quantity::Volume(volume) => ul(volume),
                    Quantity::Mass(mg) => ul(mg),
                    Quantity::Count(_) => continue,
                };
                moves.push(Free::Pour(liquid, ml, naming));
            }
            Ok(Step::Barspoon { liquid, count }) => {
                let each = sheet.house().map_or(5_000, |house| house.barspoon_ul);
                moves.push(Free::Pour(liquid, f64::from(count) * ul(each), naming));
            }
            Ok(Step::Ice { low_g, high_g }) => {
                if !tasted {
                    moves.push(Free::Sip(SIP_G));
                    tasted = true;
                }
                let grams = f64::midpoint(f64::from(low_g), f64::from(high_g));
                moves.push(Free::Ice(grams));
            }
            Ok(Step::Stir { seconds } | Step::Shake { seconds }) => {
                moves.push(Free::Stir(f64::from(seconds)));
            }
            Ok(Step::Strain) => moves.push(Free::Strain(drink.glass)),
            // A dash or the film of a rinse cannot be told from a drip: its writer adds it to the
            // spec.
            Ok(Step::Dash { .. } | Step::Rinse { .. } | Step::Whole { .. } | Step::Note { .. })
            | Err(_) => {}
        }
    }
    moves
}
