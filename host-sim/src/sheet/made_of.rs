//! Liquids the house makes: `made_of = ["500 g sugar", "500 g water", "10 ml saline"]`.
//!
//! A line is an amount and a liquid, in ml, cl, oz, g or parts; parts are by volume, or by mass
//! where `made_by = "mass"`, and then all lines are. Water, sugar, salt and citric acid need not
//! be stated as liquids. This file reads the lines and finds their order; [`super::mix`] mixes.

use std::collections::HashMap;

use pennyweight_core::liquid::Measured;
use pennyweight_core::spec::{Amount, Quantity};

use super::build_line::{after_of, unit_word};
use super::fields::{Reader, Section, Written, did_you_mean, quoted};
use super::house_sheet::{HouseLiquid, find_liquid};
use super::mix::mix;
use super::near::plain;
use super::parts::{is_part, ratio};
use super::strength::{self, STRENGTH_KEYS, WHOLE_KEYS};

/// What `made_of` says, still to be worked out.
pub(super) struct Recipe {
    pub(super) at: usize,
    lines: Vec<Written>,
    pub(super) by_mass: bool,
    pub(super) pours_is_written: bool,
    pub(super) measured: Option<Measured>,
}

/// What goes into a mix.
#[derive(Clone, Copy, PartialEq)]
pub(super) enum Ingredient {
    /// A liquid of the sheet.
    Liquid(usize),
    Water,
    Sugar,
    Salt,
    CitricAcid,
}

const BUILT_IN: [(&str, Ingredient); 4] = [
    ("water", Ingredient::Water),
    ("sugar", Ingredient::Sugar),
    ("salt", Ingredient::Salt),
    ("citric acid", Ingredient::CitricAcid),
];

/// How much of it.
#[derive(Clone, Copy)]
pub(super) enum Share {
    Grams(f64),
    Millilitres(f64),
    Parts(f64),
}

/// One line.
pub(super) struct Line {
    pub(super) ingredient: Ingredient,
    pub(super) share: Share,
    pub(super) at: usize,
}

/// Reads `made_of` with what belongs to it; nothing when the liquid is not made here.
pub(super) fn recipe(reader: &mut Reader<'_>, section: &Section<'_, '_>) -> Option<Recipe> {
    let table = section.table;
    let right = "write made_of = [\"500 g sugar\", \"500 g water\"]";
    let by = reader.text(
        section,
        "made_by",
        "write made_by = \"mass\" or made_by = \"volume\"",
    );
    let by_mass = by.as_ref().is_some_and(|by| plain(&by.text) == "mass");
    if let Some(by) = by {
        if !matches!(plain(&by.text).as_str(), "mass" | "volume") {
            let what = format!("nothing is made by {}", quoted(&by.text));
            reader.mistake(
                by.at,
                what,
                "write made_by = \"mass\" or made_by = \"volume\"",
            );
        }
        if !table.contains_key("made_of") {
            reader.mistake(by.at, "\"made_by\" belongs to made_of", right);
        }
    }
    let at = table.get("made_of")?.span().start;
    let lines = reader.texts(section, "made_of", right)?;
    if lines.is_empty() {
        reader.mistake(at, "made_of has no line", right);
    }
    let others = [&STRENGTH_KEYS[..], &["sugar", "brix", "acid"], &WHOLE_KEYS].concat();
    for key in others {
        if let Some(value) = table.get(key) {
            let what = format!("{} follows from made_of", quoted(key));
            let right = "leave it out; only a measured density may stand beside made_of";
            reader.mistake(value.span().start, what, right);
        }
    }
    Some(Recipe {
        at,
        lines,
        by_mass,
        pours_is_written: table.contains_key("pours"),
        measured: strength::measured(reader, section),
    })
}

/// Works out every mix, whatever their order in the sheet.
pub(super) fn resolve(
    reader: &mut Reader<'_>,
    shelf: &mut [HouseLiquid],
    recipes: &[Option<Recipe>],
) {
    let lines = recipes
        .iter()
        .map(|recipe| Some(read_lines(reader, recipe.as_ref()?, shelf)))
        .collect();
    let mut mixing = Mixing {
        recipes,
        lines,
        known: HashMap::new(),
        path: Vec::new(),
    };
    for number in 0..shelf.len() {
        mixing.make(reader, shelf, number);
    }
}

/// The lines of a recipe; nothing when one of them holds a mistake.
fn read_lines(
    reader: &mut Reader<'_>,
    recipe: &Recipe,
    shelf: &[HouseLiquid],
) -> Option<Vec<Line>> {
    let lines: Vec<_> = recipe
        .lines
        .iter()
        .map(|line| read_line(reader, line, recipe.by_mass, shelf))
        .collect();
    let lines: Vec<Line> = lines.into_iter().collect::<Option<_>>()?;
    let in_parts = |line: &&Line| matches!(line.share, Share::Parts(_));
    let parts = lines.iter().filter(in_parts).count();
    if parts > 0
        && let Some(other) = lines.iter().find(|line| !in_parts(line))
    {
        let what = "parts stand beside an amount";
        reader.mistake(other.at, what, "write all lines in parts, or none");
        return None;
    }
    (!lines.is_empty()).then_some(lines)
}

fn read_line(
    reader: &mut Reader<'_>,
    line: &Written,
    by_mass: bool,
    shelf: &[HouseLiquid],
) -> Option<Line> {
    let text = line.text.as_str();
    let unit_at = text.find(char::is_alphabetic).unwrap_or(text.len());
    let (number, words) = text.split_at(unit_at);
    let unit = unit_word(words);
    let amount_end = unit_at + unit.len();
    let share = if is_part(unit) {
        ratio(number).map(Share::Parts)
    } else {
        let amount = Amount::parse(text.get(..amount_end).unwrap_or(text));
        amount.map(|amount| match amount.quantity {
            Quantity::Volume(ul) => Share::Millilitres(f64::from(ul) / 1_000.0),
            Quantity::Mass(mg) => Share::Grams(f64::from(mg) / 1_000.0),
            Quantity::Count(_) => Share::Parts(0.0),
        })
    };
    let offset = text.len() - text.trim_start().len();
    let share = match share {
        Ok(Share::Parts(0.0)) => {
            let what = format!("a mix is not made by the {unit}");
            reader.mistake(line.place(unit_at), what, "write ml, cl, oz, g or parts");
            return None;
        }
        Ok(share) => share,
        Err(error) => {
            let what = format!("{}: {}", quoted(text.trim()), error.what());
            let right = "write amount, unit and liquid, such as 500 g water";
            reader.mistake(line.place(offset), what, right);
            return None;
        }
    };
    let word = after_of(text.get(amount_end..).unwrap_or("")).trim_end();
    let word_at = line.place(text.trim_end().len() - word.len());
    let ingredient = ingredient(reader, word, word_at, shelf)?;
    let dry = matches!(
        ingredient,
        Ingredient::Sugar | Ingredient::Salt | Ingredient::CitricAcid
    );
    let by_volume = match share {
        Share::Grams(_) => false,
        Share::Millilitres(_) => true,
        Share::Parts(_) => !by_mass,
    };
    if dry && by_volume {
        let what = format!("how much {word} a volume holds depends on the spoon");
        let right = format!("weigh it: 100 g {word}; or write made_by = \"mass\" for parts");
        reader.mistake(line.place(offset), what, right);
        return None;
    }
    Some(Line {
        ingredient,
        share,
        at: line.place(offset),
    })
}

fn ingredient(
    reader: &mut Reader<'_>,
    word: &str,
    at: usize,
    shelf: &[HouseLiquid],
) -> Option<Ingredient> {
    if word.is_empty() {
        let right = "write amount, unit and liquid, such as 500 g water";
        reader.mistake(at, "the liquid is missing", right);
        return None;
    }
    if let Some(id) = find_liquid(shelf, word) {
        return Some(Ingredient::Liquid(usize::from(id.0)));
    }
    let built_in = BUILT_IN.iter().find(|(name, _)| *name == plain(word));
    if built_in.is_none() {
        let names = BUILT_IN.map(|(name, _)| name);
        let keys = shelf.iter().map(|liquid| liquid.key.as_str());
        let right = did_you_mean(word, names.into_iter().chain(keys)).unwrap_or_else(|| {
            "use a liquid of the sheet, water, sugar, salt or citric acid".to_owned()
        });
        reader.mistake(at, format!("there is no liquid {}", quoted(word)), right);
    }
    built_in.map(|(_, ingredient)| *ingredient)
}

/// The mixes, as far as they are worked out.
struct Mixing<'r> {
    recipes: &'r [Option<Recipe>],
    /// Of each liquid that is made: its lines, if they could be read.
    lines: Vec<Option<Option<Vec<Line>>>>,
    /// Whether the figures of a liquid can be used.
    known: HashMap<usize, bool>,
    /// The mixes being worked out, each needed by the one before it.
    path: Vec<usize>,
}

impl Mixing<'_> {
    /// Works out liquid `number`; whether its figures can be used.
    fn make(&mut self, reader: &mut Reader<'_>, shelf: &mut [HouseLiquid], number: usize) -> bool {
        if let Some(known) = self.known.get(&number) {
            return *known;
        }
        let usable = match (self.recipes.get(number), self.lines.get_mut(number)) {
            (Some(Some(recipe)), Some(lines)) => {
                // Put back by nobody: it is needed once.
                let lines = lines.take().flatten();
                self.path.push(number);
                let usable = match lines {
                    Some(lines) => {
                        self.parts_are_known(reader, shelf, &lines) && {
                            let mixed = mix(reader, recipe, &lines, shelf);
                            mixed.is_some_and(|mixed| mixed.put(reader, recipe, shelf, number))
                        }
                    }
                    None => false,
                };
                self.path.pop();
                usable
            }
            _ => {
                let liquid = shelf.get(number);
                liquid.is_some_and(|liquid| liquid.as_composition().density(20.0).is_ok())
            }
        };
        self.known.insert(number, usable);
        usable
    }

    /// Works out what the lines need. What leads back to a mix under way is a mistake.
    fn parts_are_known(
        &mut self,
        reader: &mut Reader<'_>,
        shelf: &mut [HouseLiquid],
        lines: &[Line],
    ) -> bool {
        let mut all = true;
        for line in lines {
            let Ingredient::Liquid(number) = line.ingredient else {
                continue;
            };
            if let Some(from) = self.path.iter().position(|under_way| *under_way == number) {
                let round = self.path.iter().skip(from).chain([&number]);
                let names: Vec<&str> = round
                    .filter_map(|number| shelf.get(*number))
                    .map(|liquid| liquid.key.as_str())
                    .collect();
                let what = format!("a mix is made of itself: {}", names.join(" -> "));
                let right = "leave it out of one of them, or state it by abv, sugar and density";
                reader.mistake(line.at, what, right);
                all = false;
            } else if !self.make(reader, shelf, number) {
                all = false;
            }
        }
        all
    }
}
