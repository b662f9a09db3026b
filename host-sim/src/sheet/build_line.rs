//! One line of a build.
//!
//! | line | step |
//! |---|---|
//! | `45 ml rye`, `1 1/2 oz rye`, `12 g syrup` | pour; a liquid that pours as soda is topped up |
//! | `2 parts rye` | pour; a share of the drink's `total` |
//! | `2 dashes bitters`, `1 barspoon syrup` | counted |
//! | `1 egg white` | tipped in, for a liquid that pours as a whole |
//! | `ice 120-180 g`, `120-180 g ice` | ice |
//! | `stir 25 s`, `shake 12 s`, `dry shake 10 s` | work away from the scale |
//! | `strain` | into the glass |
//! | `rinse fino` | the vessel, or before `strain` its glass; what stays behind is recorded |
//! | `3 drops saline` | a note: too little for the scale to see |
//! | `note: express a zest` | what the scale cannot see |

use pennyweight_core::spec::limits::{COUNT_MAX, ICE_MAX_G, NOTE_MAX};
use pennyweight_core::spec::{Amount, AmountError, Family, LiquidId, Quantity, Step, Unit};

use super::fields::{Reader, Written, did_you_mean, quoted};
use super::house_sheet::{Action, HouseLiquid, find_liquid};
use super::liquids::panel_text;
use super::near::{nearest, plain};
use super::parts::is_part;
use super::words::counted;

const UNIT_WORDS: [&str; 10] = [
    "ml",
    "cl",
    "oz",
    "g",
    "dash",
    "dashes",
    "barspoon",
    "barspoons",
    "drops",
    "pieces",
];
const VERBS: [&str; 7] = [
    "stir",
    "shake",
    "dry shake",
    "strain",
    "rinse",
    "ice",
    "note:",
];

/// What this line asks for, of the liquids on the shelf; nothing when it holds a mistake. `part` is
/// what a line in parts comes to.
pub(super) fn read(
    reader: &mut Reader<'_>,
    line: &Written,
    shelf: &[HouseLiquid],
    part: Option<Amount>,
) -> Option<Action> {
    let text = line.text.as_str();
    let first = text.split_whitespace().next().unwrap_or("");
    let after = |word: &str| text.trim_start().get(word.len()..).unwrap_or("").trim();
    match first.to_ascii_lowercase().as_str() {
        "" => {
            reader.mistake(
                line.at,
                "the line is empty",
                "write a step, such as \"45 ml rye\"",
            );
            None
        }
        "note:" | "note" => note(reader, line, after(first)),
        "strain" if after(first).is_empty() => Some(Action::Figures(Step::Strain)),
        "strain" => {
            let offset = text.find(after(first)).unwrap_or(0);
            let what = format!("{} follows \"strain\"", quoted(after(first)));
            let right = "write strain alone; the drink's glass says into what";
            reader.mistake(line.place(offset), what, right);
            None
        }
        "stir" => seconds(reader, line, after(first)).map(|seconds| Step::Stir { seconds }.into()),
        "shake" => {
            seconds(reader, line, after(first)).map(|seconds| Step::Shake { seconds }.into())
        }
        "dry" if after(first).to_ascii_lowercase().starts_with("shake") => {
            let time = after(first).get(5..).unwrap_or("").trim();
            seconds(reader, line, time).map(|seconds| Step::Shake { seconds }.into())
        }
        "rinse" => {
            let words = after(first);
            let words = words.strip_prefix("with ").unwrap_or(words).trim_start();
            let offset = text.rfind(words).unwrap_or(0);
            let (id, _) = liquid(reader, line, offset, words, shelf)?;
            Some(Step::Rinse { liquid: id }.into())
        }
        "ice" => ice(reader, line, after(first)),
        _ if starts_with_number(text) => {
            let ice_first = text.trim_end().to_ascii_lowercase();
            match ice_first
                .strip_suffix("ice")
                .filter(|range| range.ends_with(' '))
            {
                Some(range) => ice(reader, line, text.get(..range.len()).unwrap_or("").trim()),
                None => ingredient(reader, line, shelf, part),
            }
        }
        _ => {
            unknown(reader, line, first, shelf);
            None
        }
    }
}

impl From<Step<'static>> for Action {
    fn from(step: Step<'static>) -> Self {
        Self::Figures(step)
    }
}

fn note(reader: &mut Reader<'_>, line: &Written, text: &str) -> Option<Action> {
    let offset = line.text.find(text).unwrap_or(0);
    let note = line.part(offset, text);
    let free = reader.count();
    let shown = panel_text(reader, &note, "note", NOTE_MAX);
    (reader.count() == free).then_some(Action::Note(shown))
}

fn seconds(reader: &mut Reader<'_>, line: &Written, time: &str) -> Option<u8> {
    let number = time
        .trim_end_matches(|c: char| c.is_ascii_alphabetic())
        .trim_end();
    let unit = time.get(number.len()..).unwrap_or("").trim();
    let right = "write seconds, 1 to 240: stir 25 s";
    let offset = if time.is_empty() {
        0
    } else {
        line.text.rfind(time).unwrap_or(0)
    };
    if !matches!(
        unit.to_ascii_lowercase().as_str(),
        "s" | "sec" | "second" | "seconds"
    ) {
        let what = if time.is_empty() {
            "the time is missing".to_owned()
        } else {
            format!("{} is no time in seconds", quoted(time))
        };
        reader.mistake(line.place(offset), what, right);
        return None;
    }
    let seconds = number
        .parse()
        .ok()
        .filter(|seconds| (1..=240).contains(seconds));
    if seconds.is_none() {
        let what = format!("{} is no time in seconds", quoted(time));
        reader.mistake(line.place(offset), what, right);
    }
    seconds
}

fn ice(reader: &mut Reader<'_>, line: &Written, range: &str) -> Option<Action> {
    let offset = line.text.find(range).unwrap_or(0);
    let place = line.place(offset);
    let lower = range.to_ascii_lowercase();
    let Some(grams) = lower.strip_suffix('g').map(str::trim) else {
        let what = match range {
            "" => "the range is missing".to_owned(),
            _ => format!("{} is no range in grams", quoted(range)),
        };
        reader.mistake(place, what, "write ice 120-180 g");
        return None;
    };
    let Some((low, high)) = grams.split_once(['-', '\u{2013}']) else {
        let what = "ice is taken by the handful, so it needs a range";
        let right = match grams.parse::<u16>() {
            Ok(g) => format!(
                "write ice {}-{} g",
                u32::from(g) * 4 / 5,
                u32::from(g) * 6 / 5
            ),
            Err(_) => "write ice 120-180 g".to_owned(),
        };
        reader.mistake(place, what, right);
        return None;
    };
    match (low.trim().parse::<u16>(), high.trim().parse::<u16>()) {
        (Ok(low_g), Ok(high_g)) if 1 <= low_g && low_g <= high_g && high_g <= ICE_MAX_G => {
            Some(Step::Ice { low_g, high_g }.into())
        }
        (Ok(low), Ok(high)) if low > high => {
            let what = format!("the range {} runs backwards", quoted(range));
            reader.mistake(place, what, format!("write ice {high}-{low} g"));
            None
        }
        _ => {
            let what = format!("{} is no range of ice", quoted(range));
            let right = format!("whole grams from 1 to {ICE_MAX_G}, such as ice 120-180 g");
            reader.mistake(place, what, right);
            None
        }
    }
}

fn ingredient(
    reader: &mut Reader<'_>,
    line: &Written,
    shelf: &[HouseLiquid],
    part: Option<Amount>,
) -> Option<Action> {
    let text = line.text.as_str();
    let unit_at = text.find(char::is_alphabetic).unwrap_or(text.len());
    let (number, words) = text.split_at(unit_at);
    let unit_word = unit_word(words);
    if is_part(unit_word) {
        let words = after_of(words.get(unit_word.len()..).unwrap_or(""));
        let (id, liquid) = liquid(reader, line, text.len() - words.len(), words, shelf)?;
        // Without an amount, what is wrong has been told.
        return Some(pour(id, liquid, part?));
    }
    let Some(unit) = Unit::parse(unit_word) else {
        return without_unit(reader, line, shelf, number, words);
    };
    let amount_end = unit_at + unit_word.len();
    let amount_text = text.get(..amount_end).unwrap_or(text);
    let liquid_word = after_of(text.get(amount_end..).unwrap_or(""));
    let liquid = liquid(
        reader,
        line,
        text.len() - liquid_word.len(),
        liquid_word,
        shelf,
    );
    let amount = match Amount::parse(amount_text) {
        Ok(amount) => amount,
        Err(error) => {
            let offset = text.len() - text.trim_start().len();
            let what = format!("{}: {}", quoted(amount_text.trim()), error.what());
            reader.mistake(line.place(offset), what, error.right());
            return None;
        }
    };
    let (id, liquid) = liquid?;
    match (unit, amount.quantity) {
        (Unit::Dash, Quantity::Count(count)) => Some(Step::Dash { liquid: id, count }.into()),
        (Unit::Barspoon, Quantity::Count(count)) => {
            Some(Step::Barspoon { liquid: id, count }.into())
        }
        (Unit::Drop, Quantity::Count(count)) => Some(Action::Drops {
            liquid: id,
            count,
            text: format!("{} {}", counted(count, unit), liquid.name),
        }),
        (Unit::Piece, Quantity::Count(count)) => whole(reader, line, id, liquid, count),
        _ => Some(pour(id, liquid, amount)),
    }
}

fn pour(id: LiquidId, liquid: &HouseLiquid, amount: Amount) -> Action {
    match liquid.family {
        Family::Soda => Step::Soda { liquid: id, amount },
        _ => Step::Pour { liquid: id, amount },
    }
    .into()
}

/// What follows a unit, without an "of" in front.
pub(super) fn after_of(rest: &str) -> &str {
    let rest = rest.trim_start();
    match rest.get(..3) {
        Some(of) if of.eq_ignore_ascii_case("of ") => rest.get(3..).unwrap_or("").trim_start(),
        _ => rest,
    }
}

/// `1 egg white`, or a mistake.
fn without_unit(
    reader: &mut Reader<'_>,
    line: &Written,
    shelf: &[HouseLiquid],
    number: &str,
    words: &str,
) -> Option<Action> {
    let (words_at, number) = (number.len(), number.trim());
    if words.is_empty() {
        let right = "write amount, unit and liquid, such as 45 ml rye";
        reader.mistake(line.at, format!("{} of what", quoted(&line.text)), right);
        return None;
    }
    let (first, rest) = words.split_once(char::is_whitespace).unwrap_or((words, ""));
    let rest = rest.trim();
    let names = || shelf.iter().flat_map(|l| [l.key.as_str(), l.name.as_str()]);
    let whole_line = find_liquid(shelf, words);
    if whole_line.is_none()
        && (nearest(words, names()).is_none() || nearest(rest, names()).is_some())
    {
        let what = format!("{} is no unit", quoted(first));
        let right = did_you_mean(first, UNIT_WORDS).unwrap_or(AmountError::Unit.right().to_owned());
        reader.mistake(line.place(words_at), what, right);
        return None;
    }
    let (id, liquid) = liquid(reader, line, words_at, words, shelf)?;
    if liquid.family != Family::Whole {
        let what = format!("{} what of {}", quoted(number), liquid.key);
        let right = format!("write the unit: {number} ml {}", liquid.key);
        reader.mistake(line.place(0), what, right);
        return None;
    }
    let count = number
        .parse()
        .ok()
        .filter(|count| (1..=COUNT_MAX).contains(count));
    if count.is_none() {
        let what = format!("{} is no whole number", quoted(number));
        let right = format!("write 1 to {COUNT_MAX} of what is tipped in as a whole");
        reader.mistake(line.place(0), what, right);
    }
    whole(reader, line, id, liquid, count?)
}

fn whole(
    reader: &mut Reader<'_>,
    line: &Written,
    id: LiquidId,
    liquid: &HouseLiquid,
    count: u8,
) -> Option<Action> {
    if liquid.family != Family::Whole {
        let what = format!("{} does not come in pieces", quoted(&liquid.key));
        let right = "write a volume, or pours = \"whole\" where the liquid is stated";
        reader.mistake(line.place(0), what, right);
        return None;
    }
    let each_mg = liquid.each_mg;
    let step = Step::Whole {
        liquid: id,
        count,
        each_mg,
    };
    Some(step.into())
}

fn liquid<'l>(
    reader: &mut Reader<'_>,
    line: &Written,
    offset: usize,
    word: &str,
    shelf: &'l [HouseLiquid],
) -> Option<(LiquidId, &'l HouseLiquid)> {
    let word = word.trim_end();
    if word.is_empty() {
        let right = "write amount, unit and liquid, such as 45 ml rye";
        reader.mistake(line.place(offset), "the liquid is missing", right);
        return None;
    }
    let found = find_liquid(shelf, word).and_then(|id| Some((id, shelf.get(usize::from(id.0))?)));
    if found.is_none() {
        let keys = shelf.iter().map(|liquid| liquid.key.as_str());
        let names = shelf.iter().map(|liquid| liquid.name.as_str());
        let right = did_you_mean(word, keys.chain(names)).unwrap_or_else(|| {
            let key = plain(word).replace(|c: char| !c.is_alphanumeric(), "-");
            // A key without quotes is ASCII in TOML 1.0.
            let quotes = if key.is_ascii() { "" } else { "\"" };
            format!("state it: [liquid.{quotes}{key}{quotes}]")
        });
        let what = format!("there is no liquid {}", quoted(word));
        reader.mistake(line.place(offset), what, right);
    }
    found
}

fn unknown(reader: &mut Reader<'_>, line: &Written, first: &str, shelf: &[HouseLiquid]) {
    let text = line.text.trim();
    let offset = line.text.len() - line.text.trim_start().len();
    let (what, right) = if let Some(id) = find_liquid(shelf, text) {
        let key = shelf
            .get(usize::from(id.0))
            .map_or(text, |liquid| &liquid.key);
        let right = format!("write how much: 45 ml {key}");
        (format!("the amount of {} is missing", quoted(text)), right)
    } else {
        let right = did_you_mean(first, VERBS).unwrap_or_else(|| {
            "begin with an amount, stir, shake, dry shake, strain, ice or note:".to_owned()
        });
        (format!("no step begins with {}", quoted(first)), right)
    };
    reader.mistake(line.place(offset), what, right);
}

/// The unit at the front of `words`, which may take two of them.
pub(super) fn unit_word(words: &str) -> &str {
    let two_words = ["fl oz", "fl. oz."];
    let long = two_words.iter().find_map(|unit| {
        words
            .get(..unit.len())
            .filter(|front| front.eq_ignore_ascii_case(unit))
    });
    long.unwrap_or_else(|| words.split_whitespace().next().unwrap_or(""))
}

fn starts_with_number(text: &str) -> bool {
    let first = text.trim_start().chars().next();
    first.is_some_and(|c| c.is_numeric() || matches!(c, '.' | '-' | '\u{2212}'))
}
