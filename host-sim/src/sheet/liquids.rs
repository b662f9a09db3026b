//! The `[liquid.*]` tables.

use std::collections::HashMap;

use pennyweight_core::liquid::{Composition, Measured};
use pennyweight_core::spec::Family;
use pennyweight_core::spec::limits::{LIQUIDS_MAX, MASS_MAX_MG, NAME_MAX};
use pennyweight_core::spec::{Amount, Quantity};
use toml::de::{DeTable, DeValue};

use super::fields::{Figure, Reader, Section, Written, did_you_mean, listed, quoted};
use super::house_sheet::HouseLiquid;
use super::near::plain;
use super::words::{ALLERGENS, POURS};

const KEYS: [&str; 9] = [
    "name",
    "pours",
    "abv",
    "sugar",
    "brix",
    "density",
    "at",
    "allergens",
    "each",
];

/// The liquids in the order of the text.
pub(super) fn read(reader: &mut Reader<'_>, root: &DeTable<'_>) -> Vec<HouseLiquid> {
    let right = "write [liquid.rye] and its keys below it";
    let Some(all) = reader.section(root, "liquid", right) else {
        return Vec::new();
    };
    let mut entries: Vec<_> = all.table.iter().collect();
    entries.sort_by_key(|(key, _)| key.span().start);
    if entries.len() > usize::from(LIQUIDS_MAX) {
        let what = format!("there are {} liquids", entries.len());
        reader.mistake(all.at, what, format!("a sheet has at most {LIQUIDS_MAX}"));
    }
    let mut taken = HashMap::new();
    let mut liquids = Vec::new();
    for (key, value) in entries {
        let at = key.span().start;
        let DeValue::Table(table) = value.get_ref() else {
            let what = format!("liquid {} is no table", quoted(key.get_ref()));
            reader.mistake(at, what, right);
            continue;
        };
        let liquid = liquid(reader, key.get_ref(), &Section { table, at });
        for word in [plain(&liquid.key), plain(&liquid.name)] {
            match taken.insert(word, liquid.key.clone()) {
                Some(other) if other != liquid.key => {
                    let (one, other) = (quoted(&liquid.key), quoted(&other));
                    let what = format!("{one} and {other} go by the same name");
                    reader.mistake(at, what, "give each liquid its own key and name");
                    break;
                }
                _ => {}
            }
        }
        liquids.push(liquid);
    }
    liquids
}

fn liquid(reader: &mut Reader<'_>, key: &str, section: &Section<'_, '_>) -> HouseLiquid {
    reader.unknown_keys(section.table, &KEYS, "in a liquid");
    let family = family(reader, section);
    let name = name(reader, key, section);
    let abv = strength(reader, section, family);
    let right = "write g per ml: density = 1.034";
    let density = reader.figure(section, "density", 0.7..=1.6, right);
    let at = reader.figure(
        section,
        "at",
        -20.0..=40.0,
        "write degrees Celsius: at = 20",
    );
    if let (Some(at), false) = (at, section.table.contains_key("density")) {
        let right = "write the density too, or leave out at";
        reader.mistake(at.at, "\"at\" belongs to a measured density", right);
    }
    let measured = density.map(|density| Measured {
        density: density.value * 1_000.0,
        at: at.map_or(20.0, |at| at.value),
    });
    let sugar_g_per_l = sugar(reader, section, abv, measured);
    let liquid = HouseLiquid {
        key: key.to_owned(),
        name,
        family: family.unwrap_or_default(),
        // In range, so that nothing is cut off.
        abv_centi: (abv * 100.0).round() as u16,
        sugar_dg_per_l: (sugar_g_per_l * 10.0).round() as u16,
        density_g_per_m3: density.map(|density| (density.value * 1e6).round() as u32),
        density_at_centi_c: at.map_or(2_000, |at| (at.value * 100.0).round() as i16),
        allergens: allergens(reader, section),
        each_mg: each(reader, section, family),
    };
    if let Err(error) = liquid.as_liquid().composition().density(20.0) {
        let what = format!("{} has no density: {error}", quoted(key));
        let right = "put the figures right, or weigh 100 ml of it and write density = 1.034";
        reader.mistake(section.at, what, right);
    }
    liquid
}

/// How it pours; nothing when that cannot be told.
fn family(reader: &mut Reader<'_>, section: &Section<'_, '_>) -> Option<Family> {
    if !section.table.contains_key("pours") {
        return Some(Family::Spirit);
    }
    let words = POURS.map(|(word, _)| word);
    let right = format!("write pours = \"juice\", or {}", listed(&words));
    let written = reader.text(section, "pours", &right)?;
    let word = plain(&written.text);
    let found = POURS.iter().find(|(known, _)| *known == word);
    if found.is_none() {
        let what = format!("nothing pours as {}", quoted(&written.text));
        let right = did_you_mean(&word, words).unwrap_or(right);
        reader.mistake(written.at, what, right);
    }
    found.map(|(_, family)| *family)
}

fn name(reader: &mut Reader<'_>, key: &str, section: &Section<'_, '_>) -> String {
    let written = reader.text(section, "name", "write name = \"rye whiskey\"");
    match written {
        Some(written) => {
            panel_text(reader, &written, "name", NAME_MAX);
            written.text
        }
        // The key will do, as long as the panel can show it.
        None => {
            let name = key.replace(['-', '_'], " ");
            if !section.table.contains_key("name") {
                let shown = Written::new(name.clone(), section.at);
                panel_text(reader, &shown, "name", NAME_MAX);
            }
            name
        }
    }
}

/// Notes whatever keeps `written` from the panel.
pub(super) fn panel_text(reader: &mut Reader<'_>, written: &Written, kind: &str, max: usize) {
    let Written { text, .. } = written;
    if text.trim().is_empty() {
        reader.mistake(
            written.at,
            format!("the {kind} is empty"),
            "write what the panel shall show",
        );
    }
    if let Some((offset, odd)) = text.char_indices().find(|(_, c)| !matches!(c, ' '..='~')) {
        let what = format!(
            "the panel cannot show {} in a {kind}",
            quoted(&odd.to_string())
        );
        reader.mistake(
            written.place(offset),
            what,
            "use plain letters without accents",
        );
    }
    let length = text.chars().count();
    if length > max {
        let what = format!("the {kind} {} has {length} characters", quoted(text));
        reader.mistake(written.at, what, format!("the panel shows at most {max}"));
    }
}

fn strength(reader: &mut Reader<'_>, section: &Section<'_, '_>, family: Option<Family>) -> f64 {
    let right = "write percent by volume: abv = 40";
    let abv = reader.figure(section, "abv", 0.0..=100.0, right);
    let needed = matches!(family, Some(Family::Spirit | Family::Bitters));
    if needed && !section.table.contains_key("abv") {
        let right = "write percent by volume: abv = 40; or what it pours as: pours = \"juice\"";
        reader.mistake(section.at, "the strength is missing", right);
    }
    abv.map_or(0.0, |abv| abv.value)
}

fn sugar(
    reader: &mut Reader<'_>,
    section: &Section<'_, '_>,
    abv: f64,
    measured: Option<Measured>,
) -> f64 {
    let right = "write grams per litre: sugar = 250";
    let sugar = reader.figure(section, "sugar", 0.0..=1250.0, right);
    let right = "write percent by mass: brix = 50";
    let brix = reader.figure(section, "brix", 0.0..=85.0, right);
    match (sugar, brix) {
        (Some(_), Some(brix)) => {
            let what = "sugar is stated twice, as sugar and as brix";
            reader.mistake(brix.at, what, "leave one of them out");
            0.0
        }
        (_, Some(brix)) if abv > 0.0 => {
            let what = "brix tells no sugar beside alcohol";
            let right = "write grams per litre instead: sugar = 250";
            reader.mistake(brix.at, what, right);
            0.0
        }
        (_, Some(brix)) => of_brix(reader, brix, measured),
        (sugar, None) => sugar.map_or(0.0, |sugar| sugar.value),
    }
}

/// Grams per litre at 20 degC of so many percent sugar by mass: of the measured density where
/// there is one, since the formula ends before honey does.
fn of_brix(reader: &mut Reader<'_>, brix: Figure, measured: Option<Measured>) -> f64 {
    let sugar = match measured {
        Some(measured) => {
            let share = brix.value / 100.0;
            // The sugar decides only how the liquid expands between the two temperatures.
            let there = Composition {
                sugar_g_per_l: share * measured.density,
                measured: Some(measured),
                ..Composition::default()
            };
            there.density(20.0).map(|at_20c| share * at_20c.density)
        }
        None => Composition::from_brix(brix.value).map(|syrup| syrup.sugar_g_per_l),
    };
    sugar.unwrap_or_else(|error| {
        let right = "weigh 100 ml of it and write the density too: density = 1.42";
        reader.mistake(brix.at, error.to_string(), right);
        0.0
    })
}

fn allergens(reader: &mut Reader<'_>, section: &Section<'_, '_>) -> u16 {
    let right = "write allergens = [\"egg\"]";
    let words = reader
        .texts(section, "allergens", right)
        .unwrap_or_default();
    words.iter().fold(0, |groups, written| {
        let word = plain(&written.text);
        match ALLERGENS.iter().position(|known| *known == word) {
            Some(bit) => groups | 1 << bit,
            None => {
                let what = format!("there is no allergen group {}", quoted(&written.text));
                let right = did_you_mean(&word, ALLERGENS)
                    .unwrap_or_else(|| format!("use {}", listed(&ALLERGENS)));
                reader.mistake(written.at, what, right);
                groups
            }
        }
    })
}

fn each(reader: &mut Reader<'_>, section: &Section<'_, '_>, family: Option<Family>) -> u32 {
    let right = "write what one weighs: each = \"33 g\"";
    let written = reader.text(section, "each", right);
    match (written, family) {
        (Some(written), Some(Family::Whole)) => {
            match Amount::parse(&written.text).map(|a| a.quantity) {
                Ok(Quantity::Mass(mg)) if mg <= MASS_MAX_MG => mg,
                _ => {
                    let what = format!("{} is no mass", quoted(&written.text));
                    reader.mistake(written.at, what, right);
                    0
                }
            }
        }
        (Some(_), None) => 0,
        (Some(written), Some(_)) => {
            let what = "\"each\" belongs to what is tipped in as a whole";
            reader.mistake(
                written.at,
                what,
                "write pours = \"whole\", or leave out each",
            );
            0
        }
        (None, Some(Family::Whole)) => {
            if !section.table.contains_key("each") {
                reader.mistake(section.at, "the mass of one is missing", right);
            }
            0
        }
        (None, _) => 0,
    }
}
