//! What a driver asks of `station`: one line of JSON, read with care.

use pennyweight_core::spec::{DrinkId, LiquidId};
use pennyweight_core::units::{AdcCode, Grams, Millilitres};
use pennyweight_core::{Command, Input, Instant, Mode};
use serde_json::{Map, Value};

use super::failure::excerpt;
use super::learning::{self, SAMPLE_WORDS};
use super::names::Names;
use super::options::{self, ModeName};
use super::order;
use crate::capture::{ENTRIES, Said, Which};
use crate::sheet::near::{nearest, plain};

/// One line, understood as far as its time.
#[derive(Clone, Debug, PartialEq)]
pub struct Request {
    /// The time it is for.
    pub at: Instant,
    /// What is asked for, or why nothing can be.
    pub asked: Result<Asked, Refusal>,
}

/// What a line asks for.
#[derive(Clone, Debug, PartialEq)]
pub enum Asked {
    /// The station gets this.
    Input(Input),
    /// What the hands have taught is to be told.
    Taught,
    /// What is poured from now on is to be captured.
    Capture,
    /// Something is said of what was captured.
    Said(Said),
}

/// Why a line cannot be answered otherwise than with a fault.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Refusal {
    /// `line` (not understood), `range` (beyond 24 bits), `time` (backwards) or `command`.
    pub kind: &'static str,
    /// What was wrong, and what would be right.
    pub message: String,
}

impl Refusal {
    /// A refusal of that kind.
    pub fn new(kind: &'static str, message: impl Into<String>) -> Self {
        Self {
            kind,
            message: message.into(),
        }
    }
}

/// Reads one line.
///
/// # Errors
/// No JSON object, or no time in it.
pub fn request(line: &[u8], names: &Names) -> Result<Request, Refusal> {
    // A map and not a struct: a struct would also accept a list of its fields.
    let fields: Map<String, Value> = serde_json::from_slice(line).map_err(|error| {
        Refusal::new(
            "line",
            format!("not a JSON object ({error}): {}", excerpt(line)),
        )
    })?;
    let at = fields
        .get("t_us")
        .and_then(Value::as_u64)
        .map(Instant::from_micros)
        .ok_or_else(|| {
            Refusal::new(
                "line",
                "t_us must be a whole number of microseconds, 0 or more",
            )
        })?;
    let asked = read(&fields, names);
    Ok(Request { at, asked })
}

fn read(fields: &Map<String, Value>, names: &Names) -> Result<Asked, Refusal> {
    match (
        fields.get("code"),
        fields.get("tick"),
        fields.get("command"),
    ) {
        (Some(code), None, None) => read_code(code).map(|code| Asked::Input(Input::Code(code))),
        (None, Some(Value::Bool(true)), None) => Ok(Asked::Input(Input::Tick)),
        (None, Some(_), None) => Err(Refusal::new("line", "tick must be true")),
        (None, None, Some(Value::String(words))) => command(words, names),
        (None, None, Some(_)) => Err(Refusal::new("line", "command must be a text")),
        _ => {
            let message = "exactly one of code, tick and command must stand beside t_us";
            Err(Refusal::new("line", message))
        }
    }
}

fn read_code(value: &Value) -> Result<AdcCode, Refusal> {
    let Value::Number(number) = value else {
        return Err(Refusal::new("line", "code must be a whole number"));
    };
    if number.is_f64() && !number.to_string().contains(['e', 'E']) {
        return Err(Refusal::new("line", "code must be a whole number"));
    }
    number
        .as_i64()
        .and_then(options::code_within)
        .map(AdcCode)
        .ok_or_else(|| {
            let beyond = options::beyond_24_bits();
            Refusal::new("range", format!("code {number} is {beyond}"))
        })
}

/// Reads a command: those that the refusal of an unknown one lists.
fn command(words: &str, names: &Names) -> Result<Asked, Refusal> {
    let words = words.trim();
    let (verb, rest) = words
        .split_once(char::is_whitespace)
        .map_or((words, ""), |(verb, rest)| (verb, rest.trim()));
    let command = match (verb, rest) {
        ("taught", "") => return Ok(Asked::Taught),
        ("skip", "") => Ok(Command::Skip),
        ("zero", "") => Ok(Command::Zero),
        ("forget", "") => Ok(Command::Forget),
        ("mode", name) => mode(name).map(Command::Mode),
        ("order", name) => drink(name, names).map(Command::Order),
        ("hand", number) => number.parse().map(Command::Hand).map_err(|_| {
            let shown = excerpt(number.as_bytes());
            refused(format!("hand takes a number from 0 to 255, not {shown}"))
        }),
        ("target", mass) => options::target_g(mass)
            .map(|mass| Command::Target(Grams(mass)))
            .map_err(|wrong| refused(format!("target: {}", excerpt(wrong.as_bytes())))),
        ("add", name) => drink(name, names).map(Command::Order),
        ("void", name) => drink(name, names).map(Command::Void),
        ("change", both) => change(both, names),
        ("fix", "") => Ok(Command::Fix),
        ("two", "") => Ok(Command::Two),
        ("again", "") => Ok(Command::Again),
        ("other", "") => Ok(Command::Other),
        ("serve", volume) => volume
            .parse()
            .ok()
            .filter(|ml| (0.0..=3000.0).contains(ml))
            .map(|ml| Command::Serve(Millilitres(ml)))
            .ok_or_else(|| {
                let shown = excerpt(volume.as_bytes());
                refused(format!(
                    "serve takes 0 to 3000 ml, 0 for all there is, not {shown}"
                ))
            }),
        ("capture", "") => return Ok(Asked::Capture),
        ("next", name) => {
            return liquid(name, names).map(|id| Asked::Said(Said::Name(Which::Next, id)));
        }
        ("name", words) => return named(words, names).map(Asked::Said),
        ("strike", number) => return entry(number).map(|entry| Asked::Said(Said::Strike(entry))),
        ("learn", words) => learning::sample(words)
            .map(Command::Learn)
            .map_err(|wrong| refused(format!("learn: {wrong}"))),
        _ => Err(refused(format!(
            "unknown command {}; there are: skip, zero, taught, forget, mode NAME, order NAME, add NAME, \
             void NAME, change NAME to NAME, fix, two, again, other, hand N, target G, \
             serve ML, capture, next LIQUID, name LIQUID, name ENTRY LIQUID, strike ENTRY, \
             {SAMPLE_WORDS}",
            excerpt(words.as_bytes())
        ))),
    };
    command.map(|command| Asked::Input(Input::Command(command)))
}

/// `name LIQUID` names the last entry, `name ENTRY LIQUID` that of a number.
fn named(words: &str, names: &Names) -> Result<Said, Refusal> {
    if let Some((number, name)) = words.split_once(char::is_whitespace)
        && number.bytes().all(|byte| byte.is_ascii_digit())
    {
        let which = Which::Entry(entry(number)?);
        return liquid(name, names).map(|id| Said::Name(which, id));
    }
    liquid(words, names).map(|id| Said::Name(Which::Last, id))
}

fn entry(number: &str) -> Result<u8, Refusal> {
    let last = ENTRIES - 1;
    number
        .parse()
        .ok()
        .filter(|number| usize::from(*number) <= last)
        .ok_or_else(|| {
            let shown = excerpt(number.as_bytes());
            refused(format!(
                "an entry is a number from 0 to {last}, not {shown}"
            ))
        })
}

fn liquid(name: &str, names: &Names) -> Result<LiquidId, Refusal> {
    if names.liquids.is_empty() {
        return Err(refused(
            "a liquid needs a sheet: start with --sheet".to_owned(),
        ));
    }
    let known = || names.liquids.iter().map(String::as_str);
    let wanted = plain(name);
    let found = known().position(|known| plain(known) == wanted);
    found
        .and_then(|place| u8::try_from(place).ok())
        .map(LiquidId)
        .ok_or_else(|| {
            let nearest = nearest(name, known())
                .map(|nearest| format!("; did you mean {nearest}?"))
                .unwrap_or_default();
            let shown = excerpt(name.trim().as_bytes());
            refused(format!("the sheet has no liquid {shown}{nearest}"))
        })
}

/// "Daisy to Sour": the first of the two names may itself hold the word.
fn change(both: &str, names: &Names) -> Result<Command, Refusal> {
    let wrong = || refused("change takes two drinks: change NAME to NAME".to_owned());
    let mut told = wrong();
    for (at, _) in both.match_indices(" to ") {
        let (from, to) = both.split_at(at);
        let to = to.strip_prefix(" to ").unwrap_or_default();
        match (drink(from.trim(), names), drink(to.trim(), names)) {
            (Ok(from), Ok(to)) => return Ok(Command::Change(from, to)),
            (Err(refusal), _) | (_, Err(refusal)) => told = refusal,
        }
    }
    Err(told)
}

fn mode(name: &str) -> Result<Mode, Refusal> {
    <ModeName as clap::ValueEnum>::from_str(name, true)
        .map(Mode::from)
        .map_err(|_| {
            let shown = excerpt(name.as_bytes());
            refused(format!(
                "mode takes service, develop, prep or plain, not {shown}"
            ))
        })
}

fn drink(name: &str, names: &Names) -> Result<DrinkId, Refusal> {
    if names.drinks.is_empty() {
        return Err(refused(
            "order needs a sheet: start with --sheet".to_owned(),
        ));
    }
    order::drink(name, names).map_err(|wrong| {
        let nearest = wrong
            .nearest
            .map(|nearest| format!("; did you mean {nearest}?"))
            .unwrap_or_default();
        let shown = excerpt(wrong.name.as_bytes());
        refused(format!("the sheet has no drink {shown}{nearest}"))
    })
}

fn refused(message: String) -> Refusal {
    Refusal::new("command", message)
}
