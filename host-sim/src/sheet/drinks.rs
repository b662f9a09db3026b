//! The `[[drink]]` tables.

use pennyweight_core::spec::Vessel;
use pennyweight_core::spec::limits::{DRINKS_MAX, NAME_MAX, STEPS_MAX};
use toml::de::{DeTable, DeValue};

use super::build_line;
use super::fields::{Reader, Section, Written, did_you_mean, listed, quoted};
use super::house::as_poured;
use super::house_sheet::{BuildLine, HouseDrink, HouseLiquid};
use super::liquids::panel_text;
use super::near::plain;
use super::order;
use super::parts;
use super::words::{VESSELS, vessel_word};

/// The drinks in the order of the text.
pub(super) fn read(
    reader: &mut Reader<'_>,
    root: &DeTable<'_>,
    shelf: &[HouseLiquid],
    house_as_poured: bool,
) -> Vec<HouseDrink> {
    let right = "write [[drink]] and its keys below it, once a drink";
    let Some(value) = root.get("drink") else {
        reader.mistake(0, "the sheet has no drink", right);
        return Vec::new();
    };
    let at = value.span().start;
    let DeValue::Array(entries) = value.get_ref() else {
        reader.mistake(at, "\"drink\" is no list of tables", right);
        return Vec::new();
    };
    if entries.is_empty() {
        reader.mistake(at, "the sheet has no drink", right);
    }
    if entries.len() > usize::from(DRINKS_MAX) {
        let what = format!("there are {} drinks", entries.len());
        reader.mistake(at, what, format!("a sheet has at most {DRINKS_MAX}"));
    }
    let mut drinks: Vec<HouseDrink> = Vec::new();
    for entry in entries {
        let at = entry.span().start;
        let DeValue::Table(table) = entry.get_ref() else {
            reader.mistake(at, "\"drink\" is no list of tables", right);
            continue;
        };
        let section = Section { table, at };
        let drink = drink(reader, &section, shelf, house_as_poured);
        let same = |other: &HouseDrink| plain(&other.name) == plain(&drink.name);
        if !drink.name.is_empty() && drinks.iter().any(same) {
            let at = table.get("name").map_or(at, |name| name.span().start);
            let what = format!("there are two drinks {}", quoted(&drink.name));
            reader.mistake(at, what, "give each drink its own name");
        }
        drinks.push(drink);
    }
    drinks
}

fn drink(
    reader: &mut Reader<'_>,
    section: &Section<'_, '_>,
    shelf: &[HouseLiquid],
    house_as_poured: bool,
) -> HouseDrink {
    let known = [
        "name", "vessel", "glass", "volumes", "total", "order", "build",
    ];
    reader.unknown_keys(section.table, &known, "in a drink");
    let name = needed(reader, section, "name", "write name = \"its name\"")
        .map(|name| panel_text(reader, &name, "name", NAME_MAX));
    let right = format!("write vessel = {}", quoted_list());
    let vessel = needed(reader, section, "vessel", &right)
        .and_then(|written| vessel(reader, &written, &right));
    let right = format!("write glass = {}", quoted_list());
    let glass = reader.text(section, "glass", &right);
    let glass_at = glass.as_ref().map(|written| written.at);
    let glass = glass.and_then(|written| self::vessel(reader, &written, &right));
    let lines = build(reader, section);
    let strains: Vec<usize> = lines
        .iter()
        .filter(|line| line.text.trim().eq_ignore_ascii_case("strain"))
        .map(|line| line.at)
        .collect();
    check_glass(reader, section, vessel, glass.zip(glass_at), &strains);
    let vessel = vessel.unwrap_or(Vessel::Rocks);
    let as_poured = as_poured(reader, section).unwrap_or(house_as_poured);
    let amounts = parts::amounts(reader, section, &lines);
    let build = lines
        .iter()
        .zip(amounts)
        .filter_map(|(line, part)| {
            let action = build_line::read(reader, line, shelf, part)?;
            let written = line.text.trim().to_owned();
            Some(BuildLine { written, action })
        })
        .collect();
    let by_house = by_house(reader, section);
    HouseDrink {
        name: name.unwrap_or_default(),
        vessel,
        glass: glass.unwrap_or(vessel),
        as_poured,
        build: if by_house {
            order::by_method(build)
        } else {
            build
        },
    }
}

/// The drink is built in the order of the house.
fn by_house(reader: &mut Reader<'_>, section: &Section<'_, '_>) -> bool {
    let right = "write order = \"house\" or order = \"written\"";
    let Some(written) = reader.text(section, "order", right) else {
        return false;
    };
    match plain(&written.text).as_str() {
        "house" => true,
        "written" => false,
        _ => {
            let what = format!("there is no order {}", quoted(&written.text));
            reader.mistake(written.at, what, right);
            false
        }
    }
}

fn needed(
    reader: &mut Reader<'_>,
    section: &Section<'_, '_>,
    key: &str,
    right: &str,
) -> Option<Written> {
    if !section.table.contains_key(key) {
        reader.mistake(section.at, format!("the {key} is missing"), right);
    }
    reader.text(section, key, right)
}

fn build(reader: &mut Reader<'_>, section: &Section<'_, '_>) -> Vec<Written> {
    let right = "write build = [\"45 ml rye\", \"stir 25 s\"]";
    let Some(value) = section.table.get("build") else {
        reader.mistake(section.at, "the build is missing", right);
        return Vec::new();
    };
    let at = value.span().start;
    match value.get_ref().as_array().map(|lines| lines.len()) {
        Some(0) => reader.mistake(at, "the build has no line", right),
        Some(lines) if lines > usize::from(STEPS_MAX) => {
            let what = format!("the build has {lines} lines");
            reader.mistake(at, what, format!("a drink has at most {STEPS_MAX}"));
        }
        _ => {}
    }
    reader.texts(section, "build", right).unwrap_or_default()
}

/// A strained drink changes its vessel once; one that is not strained stays where it is.
fn check_glass(
    reader: &mut Reader<'_>,
    section: &Section<'_, '_>,
    vessel: Option<Vessel>,
    glass: Option<(Vessel, usize)>,
    strains: &[usize],
) {
    if let Some(again) = strains.get(1) {
        reader.mistake(
            *again,
            "the drink is strained twice",
            "strain once, into its glass",
        );
    }
    let glass_is_written = section.table.contains_key("glass");
    match (strains.first(), glass, vessel) {
        (Some(strain), _, _) if !glass_is_written => {
            let right = "name the glass: glass = \"coupe\"";
            reader.mistake(*strain, "the drink is strained, but into what", right);
        }
        (None, Some((glass, at)), Some(vessel)) if glass != vessel => {
            let what = format!(
                "the {} is never reached from the {}",
                vessel_word(glass),
                vessel_word(vessel)
            );
            reader.mistake(at, what, "add \"strain\" to the build, or leave out glass");
        }
        (None, None, Some(Vessel::Tin | Vessel::MixingGlass)) if !glass_is_written => {
            let right = "add \"strain\" to the build, and glass = \"coupe\"";
            reader.mistake(section.at, "the drink stays in what it is mixed in", right);
        }
        _ => {}
    }
}

fn vessel(reader: &mut Reader<'_>, written: &Written, right: &str) -> Option<Vessel> {
    let word = plain(&written.text);
    let found = VESSELS.iter().find(|(known, _)| *known == word);
    if found.is_none() {
        let words = VESSELS.map(|(word, _)| word);
        let what = format!("there is no vessel {}", quoted(&written.text));
        let right = did_you_mean(&word, words).unwrap_or_else(|| right.to_owned());
        reader.mistake(written.at, what, right);
    }
    found.map(|(_, vessel)| *vessel)
}

fn quoted_list() -> String {
    listed(
        &VESSELS
            .map(|(word, _)| format!("\"{word}\""))
            .each_ref()
            .map(String::as_str),
    )
}
