//! What a driver asks of `station`: one line of JSON, read with care.

use pennyweight_core::spec::DrinkId;
use pennyweight_core::units::{AdcCode, Grams};
use pennyweight_core::{Command, Input, Instant, Mode};
use serde_json::{Map, Value};

use super::failure::excerpt;
use super::learning::{self, SAMPLE_WORDS};
use super::names::Names;
use super::options::{self, ModeName};
use super::order;

/// One line, understood as far as its time.
#[derive(Clone, Debug, PartialEq)]
pub struct Request {
    /// The time it is for.
    pub at: Instant,
    /// What the station gets, or why it gets nothing.
    pub input: Result<Input, Refusal>,
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
    let input = read_input(&fields, names);
    Ok(Request { at, input })
}

fn read_input(fields: &Map<String, Value>, names: &Names) -> Result<Input, Refusal> {
    match (
        fields.get("code"),
        fields.get("tick"),
        fields.get("command"),
    ) {
        (Some(code), None, None) => read_code(code).map(Input::Code),
        (None, Some(Value::Bool(true)), None) => Ok(Input::Tick),
        (None, Some(_), None) => Err(Refusal::new("line", "tick must be true")),
        (None, None, Some(Value::String(words))) => command(words, names).map(Input::Command),
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

/// Reads a command: `skip`, `zero`, `forget`, `mode NAME`, `order NAME`, `hand N`, `target G`, `learn ...`.
fn command(words: &str, names: &Names) -> Result<Command, Refusal> {
    let words = words.trim();
    let (verb, rest) = words
        .split_once(char::is_whitespace)
        .map_or((words, ""), |(verb, rest)| (verb, rest.trim()));
    match (verb, rest) {
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
        ("learn", words) => learning::sample(words)
            .map(Command::Learn)
            .map_err(|wrong| refused(format!("learn: {wrong}"))),
        _ => Err(refused(format!(
            "unknown command {}; there are: skip, zero, forget, mode NAME, order NAME, hand N, \
             target G, {SAMPLE_WORDS}",
            excerpt(words.as_bytes())
        ))),
    }
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
