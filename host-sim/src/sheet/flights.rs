//! Flights: a drink, and the one line of it that changes.
//!
//! A variant is written as the line of the build that it changes: `20 ml ginger` for another
//! amount, `50 ml rum` for another liquid, `stir 40 s` or `shake 12 s` for another method or
//! another dilution. So there is nothing new to learn, and whatever a build may say may vary.
//!
//! | written | means |
//! |---|---|
//! | `"10 ml ginger"` | this line in place of the one with ginger |
//! | `"10/15/20 ml ginger"` | a ladder: three variants (an ounce keeps its fractions: `1/2 oz`) |
//! | `"rum"` | the changed line's amount, of another liquid |
//!
//! In a sheet they stand in `[[flight]]` tables; on the command line as `Drink: one | other`.

use pennyweight_core::flight::VARIANTS;
use pennyweight_core::spec::{LiquidId, Step};
use toml::de::{DeTable, DeValue};

use super::build_line;
use super::fields::{Reader, Section, Written, did_you_mean, quoted};
use super::house_sheet::{BuildLine, HouseDrink, HouseLiquid, find_liquid};
use super::mistake::SheetMistake;
use super::near::plain;
use super::{HouseFlight, HouseSheet};

const RIGHT: &str = "write variants = [\"10 ml ginger\", \"15 ml ginger\"]";
const KEYS: [&str; 6] = ["name", "drink", "changes", "variants", "shared", "blind"];
/// `shared` in words.
const SHARED: [&str; 2] = ["batch", "each"];

/// The flights in the order of the text.
pub(super) fn read(
    reader: &mut Reader<'_>,
    root: &DeTable<'_>,
    shelf: &[HouseLiquid],
    drinks: &[HouseDrink],
) -> Vec<HouseFlight> {
    let right = "write [[flight]] and its keys below it, once a flight";
    let Some(value) = root.get("flight") else {
        return Vec::new();
    };
    let DeValue::Array(entries) = value.get_ref() else {
        reader.mistake(value.span().start, "\"flight\" is no list of tables", right);
        return Vec::new();
    };
    let mut flights: Vec<HouseFlight> = Vec::new();
    for entry in entries {
        let at = entry.span().start;
        let DeValue::Table(table) = entry.get_ref() else {
            reader.mistake(at, "\"flight\" is no list of tables", right);
            continue;
        };
        let section = Section { table, at };
        let Some(flight) = flight(reader, &section, shelf, drinks) else {
            continue;
        };
        if flights
            .iter()
            .any(|one| plain(&one.name) == plain(&flight.name))
        {
            let what = format!("there are two flights {}", quoted(&flight.name));
            reader.mistake(at, what, "give each flight its own name");
        }
        flights.push(flight);
    }
    flights
}

fn flight(
    reader: &mut Reader<'_>,
    section: &Section<'_, '_>,
    shelf: &[HouseLiquid],
    drinks: &[HouseDrink],
) -> Option<HouseFlight> {
    reader.unknown_keys(section.table, &KEYS, "in a flight");
    for (key, right) in [
        ("name", "write name = \"its name\""),
        ("drink", "write drink = \"the drink it varies\""),
        ("variants", RIGHT),
    ] {
        if !section.table.contains_key(key) {
            reader.mistake(section.at, format!("the {key} is missing"), right);
        }
    }
    let name = reader.text(section, "name", "write name = \"its name\"");
    let drink = reader
        .text(section, "drink", "write drink = \"the drink it varies\"")
        .and_then(|written| drink(reader, &written, drinks));
    let variants = reader.texts(section, "variants", RIGHT)?;
    let at = section
        .table
        .get("variants")
        .map_or(section.at, |value| value.span().start);
    let right = "write the line of the build as it stands there: changes = \"50 ml rye\"";
    let changes = reader.text(section, "changes", right);
    let shared = shared(reader, section);
    let blind = blind(reader, section);
    let drink = drink?;
    let (line, variants) = varied(reader, drink, at, &variants, changes.as_ref(), shelf)?;
    Some(HouseFlight {
        name: name?.text,
        drink: drink.name.clone(),
        line,
        variants,
        shared,
        blind,
    })
}

fn shared(reader: &mut Reader<'_>, section: &Section<'_, '_>) -> bool {
    let right = "write shared = \"batch\" or shared = \"each\"";
    let Some(written) = reader.text(section, "shared", right) else {
        return true;
    };
    let word = plain(&written.text);
    if !SHARED.contains(&word.as_str()) {
        let what = format!("nothing is shared by {}", quoted(&written.text));
        let right = did_you_mean(&word, SHARED).unwrap_or_else(|| right.to_owned());
        reader.mistake(written.at, what, right);
    }
    word != "each"
}

fn blind(reader: &mut Reader<'_>, section: &Section<'_, '_>) -> bool {
    match section.table.get("blind").map(|it| (it, it.get_ref())) {
        None => false,
        Some((_, DeValue::Boolean(blind))) => *blind,
        Some((value, _)) => {
            let at = value.span().start;
            reader.mistake(
                at,
                "\"blind\" is neither true nor false",
                "write blind = true",
            );
            false
        }
    }
}

fn drink<'d>(
    reader: &mut Reader<'_>,
    written: &Written,
    drinks: &'d [HouseDrink],
) -> Option<&'d HouseDrink> {
    let word = plain(&written.text);
    let found = drinks.iter().find(|drink| plain(&drink.name) == word);
    if found.is_none() {
        let names = || drinks.iter().map(|drink| drink.name.as_str());
        let known = names().collect::<Vec<_>>().join(", ");
        let right = did_you_mean(&word, names()).unwrap_or_else(|| format!("name one of: {known}"));
        let what = format!("there is no drink {}", quoted(written.text.trim()));
        reader.mistake(written.at, what, right);
    }
    found
}

/// Which line of the build changes, and what it becomes.
fn varied(
    reader: &mut Reader<'_>,
    drink: &HouseDrink,
    at: usize,
    written: &[Written],
    changes: Option<&Written>,
    shelf: &[HouseLiquid],
) -> Option<(usize, Vec<BuildLine>)> {
    let before = reader.count();
    let rungs: Vec<Written> = written.iter().flat_map(ladder).collect();
    let (least, most) = VARIANTS;
    if !(least..=most).contains(&rungs.len()) {
        let what = format!("there are {} variants", rungs.len());
        reader.mistake(at, what, format!("a flight has {least} to {most} of them"));
        return None;
    }
    let mut subjects = Vec::new();
    let mut lines: Vec<Option<BuildLine>> = Vec::new();
    for rung in &rungs {
        if let Some(id) = find_liquid(shelf, &rung.text) {
            subjects.push(Subject::Liquid(id));
            lines.push(None);
        } else {
            let action = build_line::read(reader, rung, shelf, None)?;
            let line = BuildLine {
                written: rung.text.trim().to_owned(),
                action,
            };
            subjects.extend(Subject::of(&line));
            lines.push(Some(line));
        }
    }
    let line = match changes {
        Some(changes) => named_line(reader, drink, changes)?,
        None => meant_line(reader, drink, at, &subjects)?,
    };
    let changed = drink.build.get(line)?;
    let mut variants: Vec<BuildLine> = Vec::new();
    for (rung, read) in rungs.iter().zip(lines) {
        let variant = match read {
            Some(line) => line,
            None => instead(reader, rung, changed, shelf)?,
        };
        if variants.iter().any(|one| one.action == variant.action) {
            let what = format!("the variant {} stands twice", quoted(&variant.written));
            reader.mistake(rung.at, what, "a variant differs from every other");
        }
        variants.push(variant);
    }
    (reader.count() == before).then_some((line, variants))
}

/// What a line is about.
#[derive(Clone, Copy, PartialEq)]
enum Subject {
    Liquid(LiquidId),
    Work,
    Ice,
}

impl Subject {
    fn of(line: &BuildLine) -> Option<Self> {
        if let Some((liquid, _)) = line.drops() {
            return Some(Self::Liquid(liquid));
        }
        match line.step() {
            Step::Pour { liquid, .. }
            | Step::Dash { liquid, .. }
            | Step::Barspoon { liquid, .. }
            | Step::Whole { liquid, .. }
            | Step::Soda { liquid, .. }
            | Step::Rinse { liquid } => Some(Self::Liquid(liquid)),
            Step::Stir { .. } | Step::Shake { .. } => Some(Self::Work),
            Step::Ice { .. } => Some(Self::Ice),
            Step::Strain | Step::Note { .. } => None,
        }
    }
}

fn named_line(reader: &mut Reader<'_>, drink: &HouseDrink, changes: &Written) -> Option<usize> {
    let word = plain(&changes.text);
    let found = drink
        .build
        .iter()
        .position(|line| plain(&line.written) == word);
    if found.is_none() {
        let written = || drink.build.iter().map(|line| line.written.as_str());
        let what = format!(
            "the build of {} has no line {}",
            quoted(&drink.name),
            quoted(changes.text.trim())
        );
        let all = || format!("one of: {}", written().collect::<Vec<_>>().join(", "));
        let right = did_you_mean(&word, written()).unwrap_or_else(all);
        reader.mistake(changes.at, what, right);
    }
    found
}

/// The one line that is about what the variants are about. Of several stirs and shakes the last is
/// meant: that is the one on ice.
fn meant_line(
    reader: &mut Reader<'_>,
    drink: &HouseDrink,
    at: usize,
    subjects: &[Subject],
) -> Option<usize> {
    let about = |line: &BuildLine| Subject::of(line).filter(|it| subjects.contains(it));
    let found: Vec<(usize, Subject)> = (0..)
        .zip(&drink.build)
        .filter_map(|(number, line)| Some((number, about(line)?)))
        .collect();
    let only_work = found.iter().all(|(_, subject)| *subject == Subject::Work);
    match found.as_slice() {
        [(number, _)] => Some(*number),
        [.., (number, _)] if only_work => Some(*number),
        [] => {
            let what = format!(
                "none of the variants changes a line of {}",
                quoted(&drink.name)
            );
            let right = "write a line of its build with another amount, or say which line changes";
            reader.mistake(at, what, right);
            None
        }
        [(one, _), (other, _), ..] => {
            let line = |number: usize| drink.build.get(number).map_or("", |line| &line.written);
            let what = format!(
                "the variants may change {} or {}",
                quoted(line(*one)),
                quoted(line(*other))
            );
            let right = format!("say which: changes = {}", quoted(line(*one)));
            reader.mistake(at, what, right);
            None
        }
    }
}

/// The changed line with another liquid in it.
fn instead(
    reader: &mut Reader<'_>,
    rung: &Written,
    changed: &BuildLine,
    shelf: &[HouseLiquid],
) -> Option<BuildLine> {
    let text = &changed.written;
    let liquid_at = text
        .char_indices()
        .filter(|(_, letter)| !letter.is_whitespace())
        .map(|(place, _)| place)
        .find(|&place| find_liquid(shelf, text.get(place..).unwrap_or("")).is_some());
    let Some(amount) = liquid_at.and_then(|place| text.get(..place)) else {
        let what = format!("the line {} has no liquid to change", quoted(text));
        reader.mistake(rung.at, what, "write the whole line of the variant");
        return None;
    };
    let written = Written::new(format!("{amount}{}", rung.text.trim()), rung.at);
    let action = build_line::read(reader, &written, shelf, None)?;
    Some(BuildLine {
        written: written.text,
        action,
    })
}

/// A ladder such as `10/15/20 ml ginger` as its rungs; anything else as it is.
fn ladder(written: &Written) -> Vec<Written> {
    let text = &written.text;
    let mut words = text.split_whitespace().peekable();
    while let Some(word) = words.next() {
        let rungs: Vec<&str> = word.split('/').collect();
        let numbers = rungs.iter().all(|rung| rung.parse::<f64>().is_ok());
        let ounces = words
            .peek()
            .is_some_and(|unit| ["oz", "oz.", "fl"].contains(&unit.to_lowercase().as_str()));
        if rungs.len() < 2 || !numbers || ounces {
            continue;
        }
        let place = text.find(word).unwrap_or(0);
        let (before, after) = (
            text.get(..place).unwrap_or(""),
            text.get(place + word.len()..).unwrap_or(""),
        );
        return rungs
            .iter()
            .map(|rung| Written::new(format!("{before}{rung}{after}"), written.place(place)))
            .collect();
    }
    vec![written.clone()]
}

impl HouseSheet {
    /// A flight of this sheet by its name, or one written as `Drink: one | other`; `file` is what
    /// mistakes are told under.
    ///
    /// # Errors
    /// Every mistake that was found.
    pub fn flight(&self, text: &str, file: &str) -> Result<HouseFlight, Vec<SheetMistake>> {
        let mut reader = Reader::new(text, file);
        let flight = self.written_flight(&mut reader, text);
        flight.ok_or_else(|| reader.into_mistakes())
    }

    /// A flight of this sheet from its parts: the drink, the line of its build that changes, and
    /// the variants, a line each. Mistakes are told under `file`, at the line of the variant.
    ///
    /// # Errors
    /// Every mistake that was found.
    pub fn composed_flight(
        &self,
        name: &str,
        changes: &str,
        variants: &str,
        file: &str,
    ) -> Result<HouseFlight, Vec<SheetMistake>> {
        let mut reader = Reader::new(variants, file);
        let flight = self.flight_of_parts(&mut reader, name, changes, variants);
        flight.ok_or_else(|| reader.into_mistakes())
    }

    fn flight_of_parts(
        &self,
        reader: &mut Reader<'_>,
        name: &str,
        changes: &str,
        variants: &str,
    ) -> Option<HouseFlight> {
        let drink = drink(reader, &Written::new(name.to_owned(), 0), self.drinks())?;
        let whole = Written::literal(variants.to_owned(), 0);
        let mut at = 0;
        let mut written = Vec::new();
        for line in variants.split('\n') {
            let inset = line.len() - line.trim_start().len();
            if !line.trim().is_empty() {
                written.push(whole.part(at + inset, line.trim()));
            }
            at += line.len() + 1;
        }
        let changes = Written::new(changes.to_owned(), 0);
        let (line, variants) = varied(reader, drink, 0, &written, Some(&changes), self.liquids())?;
        Some(HouseFlight::unnamed(drink, line, variants))
    }

    fn written_flight(&self, reader: &mut Reader<'_>, text: &str) -> Option<HouseFlight> {
        let Some((name, variants)) = text.split_once(':') else {
            return self.named_flight(reader, text);
        };
        let whole = Written::literal(text.to_owned(), 0);
        let drink = drink(reader, &whole.part(0, name), self.drinks())?;
        let mut at = name.len() + 1;
        let mut written = Vec::new();
        for variant in variants.split('|') {
            let inset = variant.len() - variant.trim_start().len();
            if variant.trim().is_empty() {
                let right = "write a line between the bars: Drink: 10 ml ginger | 15 ml ginger";
                reader.mistake(at, "a variant is empty", right);
                return None;
            }
            written.push(whole.part(at + inset, variant.trim()));
            at += variant.len() + 1;
        }
        let at = name.len() + 1;
        let (line, variants) = varied(reader, drink, at, &written, None, self.liquids())?;
        Some(HouseFlight::unnamed(drink, line, variants))
    }

    fn named_flight(&self, reader: &mut Reader<'_>, name: &str) -> Option<HouseFlight> {
        let word = plain(name);
        let found = self.flights().iter().find(|one| plain(&one.name) == word);
        if found.is_none() {
            let names = || self.flights().iter().map(|one| one.name.as_str());
            let what = format!("there is no flight {}", quoted(name.trim()));
            let right = did_you_mean(&word, names()).unwrap_or_else(|| {
                "write a drink and its variants: Drink: 10 ml ginger | 15 ml ginger".to_owned()
            });
            reader.mistake(0, what, right);
        }
        found.cloned()
    }
}
