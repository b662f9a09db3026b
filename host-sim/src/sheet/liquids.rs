//! The `[liquid.*]` tables.

use std::collections::HashMap;

use pennyweight_core::liquid::Composition;
use pennyweight_core::spec::Family;
use pennyweight_core::spec::limits::{LIQUIDS_MAX, MASS_MAX_MG, NAME_MAX};
use pennyweight_core::spec::{Amount, Quantity};
use toml::de::{DeTable, DeValue};

use super::fields::{Reader, Section, Written, did_you_mean, listed, quoted};
use super::house_sheet::{Basis, HouseLiquid};
use super::letters::{composed, not_shown};
use super::made_of::{self, Recipe};
use super::near::plain;
use super::strength::{self, Label};
use super::words::{ALLERGENS, POURS};

const KEYS: [&str; 19] = [
    "name",
    "pours",
    "abv",
    "abw",
    "proof",
    "sugar",
    "brix",
    "salt",
    "fat",
    "honey_water",
    "acid",
    "density",
    "at",
    "temp",
    "allergens",
    "tags",
    "each",
    "made_of",
    "made_by",
];

/// The most acid, grams per litre: lemon juice has 60, an acid solution of the house up to 200.
pub(super) const ACID_MAX_G_PER_L: f64 = 200.0;

/// The most tags of one liquid.
const TAGS_MAX: usize = 8;

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
    let mut recipes = Vec::new();
    let mut places = Vec::new();
    for (key, value) in entries {
        let at = key.span().start;
        let DeValue::Table(table) = value.get_ref() else {
            let what = format!("liquid {} is no table", quoted(key.get_ref()));
            reader.mistake(at, what, right);
            continue;
        };
        let section = Section { table, at };
        let (liquid, recipe) = liquid(reader, key.get_ref(), &section);
        recipes.push(recipe);
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
        places.push(section);
    }
    made_of::resolve(reader, &mut liquids, &recipes);
    for (liquid, section) in liquids.iter_mut().zip(&places) {
        poured_at(reader, section, liquid);
    }
    liquids
}

/// A liquid, and how it is made where the house makes it; until that is worked out its figures
/// are those of water.
fn liquid(
    reader: &mut Reader<'_>,
    key: &str,
    section: &Section<'_, '_>,
) -> (HouseLiquid, Option<Recipe>) {
    reader.unknown_keys(section.table, &KEYS, "in a liquid");
    let family = family(reader, section);
    let name = name(reader, key, section);
    let recipe = made_of::recipe(reader, section);
    let made = section.table.contains_key("made_of");
    let label = if made {
        Label {
            composition: Composition::default(),
            basis: Basis::MadeOf,
            percent: 0.0,
        }
    } else {
        strength::read(reader, section, family)
    };
    let right = "write grams per litre, as citric acid: acid = 60";
    let acid = reader.figure(section, "acid", 0.0..=ACID_MAX_G_PER_L, right);
    let mut liquid = HouseLiquid {
        key: key.to_owned(),
        name,
        family: family.unwrap_or_default(),
        abv_centi: 0,
        sugar_dg_per_l: 0,
        density_g_per_m3: None,
        density_at_centi_c: 2_000,
        allergens: allergens(reader, section),
        each_mg: each(reader, section, family),
        acid_g_per_l: acid.map_or(0.0, |acid| acid.value),
        tags: tags(reader, section),
        temp_c: 20.0,
        basis: label.basis,
        basis_percent: label.percent,
    };
    liquid.set(&label.composition);
    if !made {
        strength::has_density(reader, section.at, key, &liquid.as_composition());
    }
    (liquid, recipe)
}

impl HouseLiquid {
    /// Takes over strength, sugar and stated density, rounded as the sheet packs them.
    pub(super) fn set(&mut self, composition: &Composition) {
        // In range, so that nothing is cut off.
        self.abv_centi = (composition.strength * 10_000.0).round() as u16;
        self.sugar_dg_per_l = (composition.sugar_g_per_l * 10.0).round() as u16;
        let measured = composition.measured;
        self.density_g_per_m3 = measured.map(|m| (m.density * 1_000.0).round() as u32);
        self.density_at_centi_c = measured.map_or(2_000, |m| (m.at * 100.0).round() as i16);
    }
}

/// The temperature the bottle is poured at; the liquid must have a density there.
fn poured_at(reader: &mut Reader<'_>, section: &Section<'_, '_>, liquid: &mut HouseLiquid) {
    let right = "write the degrees Celsius it is poured at: temp = 4";
    let Some(temp) = reader.figure(section, "temp", -10.0..=40.0, right) else {
        return;
    };
    liquid.temp_c = temp.value;
    // Without a density at 20 degC either, that has been told.
    let had = liquid.estimate(20.0).is_ok();
    if let (true, Err(error)) = (had, liquid.estimate(temp.value)) {
        let right = "write the temperature it is poured at, or leave out temp";
        reader.mistake(temp.at, error.to_string(), right);
    }
}

/// How it pours; nothing when that cannot be told.
fn family(reader: &mut Reader<'_>, section: &Section<'_, '_>) -> Option<Family> {
    if !section.table.contains_key("pours") {
        let has = |key| section.table.contains_key(key);
        return Some(if has("honey_water") {
            Family::Syrup
        } else if has("salt") || has("fat") {
            Family::Juice
        } else {
            Family::Spirit
        });
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
        Some(written) => panel_text(reader, &written, "name", NAME_MAX),
        // The key will do, as long as the panel can show it.
        None => {
            let name = key.replace(['-', '_'], " ");
            if section.table.contains_key("name") {
                return name;
            }
            panel_text(reader, &Written::new(name, section.at), "name", NAME_MAX)
        }
    }
}

/// `written` as the panel shows it; notes whatever keeps it from there.
pub(super) fn panel_text(
    reader: &mut Reader<'_>,
    written: &Written,
    kind: &str,
    max: usize,
) -> String {
    let text = composed(&written.text);
    if text.trim().is_empty() {
        reader.mistake(
            written.at,
            format!("the {kind} is empty"),
            "write what the panel shall show",
        );
    }
    if let Some((offset, odd)) = not_shown(&written.text) {
        let what = format!(
            "the panel can't show {odd:?} (U+{:04X}) in a {kind}",
            u32::from(odd)
        );
        let right = "write it with letters of Western European languages";
        reader.mistake(written.place(offset), what, right);
    }
    let length = text.chars().count();
    if length > max {
        let what = format!("the {kind} {} has {length} characters", quoted(&text));
        reader.mistake(written.at, what, format!("the panel shows at most {max}"));
    }
    text
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

/// What it tastes of, lower case.
fn tags(reader: &mut Reader<'_>, section: &Section<'_, '_>) -> Vec<String> {
    let right = "write tags = [\"smoky\", \"dry\"]";
    let words = reader.texts(section, "tags", right).unwrap_or_default();
    if let Some(beyond) = words.get(TAGS_MAX) {
        let what = format!("there are {} tags", words.len());
        reader.mistake(beyond.at, what, format!("write at most {TAGS_MAX}"));
    }
    let mut tags: Vec<String> = Vec::new();
    for word in &words {
        let tag = plain(&word.text);
        if tag.is_empty() {
            reader.mistake(word.at, "the tag is empty", right);
        } else if !tags.contains(&tag) {
            tags.push(tag);
        }
    }
    tags
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
