//! The `[house]` table: the bar's name, its small measures and how it means its volumes.
//!
//! A small measure is one volume, or a list of single ones that were weighed or measured: then
//! their mean is the measure and their standard deviation its spread.

use pennyweight_core::liquid::target_shown;
use pennyweight_core::spec::limits::HOUSE_MEASURE_MAX_UL;
use pennyweight_core::spec::{Amount, House, Quantity};
use toml::de::{DeTable, DeValue};

use super::fields::{Reader, Section, Written, did_you_mean, quoted};
use super::house_sheet::{HouseLiquid, find_liquid};
use super::near::plain;

/// How much single measures vary about the house measure: one standard deviation, microlitres.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Spreads {
    /// Of a dash.
    pub dash_ul: f64,
    /// Of a barspoon.
    pub barspoon_ul: f64,
    /// Of a drop.
    pub drop_ul: f64,
}

/// What the table says.
pub(super) struct HouseTable {
    pub(super) name: String,
    pub(super) measures: House,
    pub(super) spreads: Spreads,
    pub(super) as_poured: bool,
}

/// A measure that nobody measured, in microlitres: the usual one, and half the width of the range
/// in use. Common practice, no source; the house had better measure its own.
struct Usual {
    key: &'static str,
    shown: &'static str,
    ul: u32,
    half_width_ul: f64,
}

/// 0.4 to 1.2 ml.
const DASH: Usual = Usual {
    key: "dash",
    shown: "0.8 ml",
    ul: 800,
    half_width_ul: 400.0,
};

/// 2.5 to 5 ml.
const BARSPOON: Usual = Usual {
    key: "barspoon",
    shown: "5 ml",
    ul: 5_000,
    half_width_ul: 1_250.0,
};

/// 0.03 to 0.06 ml.
const DROP: Usual = Usual {
    key: "drop",
    shown: "0.05 ml",
    ul: 50,
    half_width_ul: 15.0,
};

/// A few equal weighings tell no better than the scale reads, microlitres: 0.05 g.
const FINEST_SPREAD_UL: f64 = 50.0;

/// Fewer single measures than this tell no spread.
const FEWEST_SINGLES: usize = 3;

const VOLUMES: [&str; 2] = ["at 20 C", "as poured"];

impl Usual {
    /// A measure of `ul` microlitres whose spread is the usual one: half the width of an even
    /// spread over the square root of three (JCGM 100, 4.3.7), scaled to the measure.
    fn of(&self, ul: u32) -> (u32, f64) {
        let share = self.half_width_ul / f64::from(self.ul) / 3.0_f64.sqrt();
        (ul, f64::from(ul) * share)
    }
}

pub(super) fn read(
    reader: &mut Reader<'_>,
    root: &DeTable<'_>,
    shelf: &[HouseLiquid],
) -> HouseTable {
    let section = reader.section(root, "house", "write [house] and its keys below it");
    let empty = DeTable::new();
    let section = section.unwrap_or(Section {
        table: &empty,
        at: 0,
    });
    let known = [
        "name",
        "dash",
        "barspoon",
        "drop",
        "measured_with",
        "volumes",
    ];
    reader.unknown_keys(section.table, &known, "in [house]");
    let name = reader.text(&section, "name", "write name = \"the bar\"");
    let with = measured_with(reader, &section, shelf);
    let mut weighed = false;
    let mut measure = |usual: &Usual| {
        let (measure, in_grams) = measure(reader, &section, usual, with);
        weighed |= in_grams;
        measure.unwrap_or_else(|| usual.of(usual.ul))
    };
    let (dash, barspoon, drop) = (measure(&DASH), measure(&BARSPOON), measure(&DROP));
    if let (Some(value), false) = (section.table.get("measured_with"), weighed) {
        let what = "\"measured_with\" belongs to measures in grams";
        let right = "write the weighings too: dash = [\"0.71 g\", \"0.85 g\", \"0.78 g\"]";
        reader.mistake(value.span().start, what, right);
    }
    HouseTable {
        name: name.map(|name| name.text).unwrap_or_default(),
        measures: House {
            dash_ul: dash.0,
            barspoon_ul: barspoon.0,
            drop_ul: drop.0,
        },
        spreads: Spreads {
            dash_ul: dash.1,
            barspoon_ul: barspoon.1,
            drop_ul: drop.1,
        },
        as_poured: as_poured(reader, &section).unwrap_or(false),
    }
}

/// Whether `volumes` are meant as poured, if the table says so.
pub(super) fn as_poured(reader: &mut Reader<'_>, section: &Section<'_, '_>) -> Option<bool> {
    let right = "write volumes = \"at 20 C\" or volumes = \"as poured\"";
    let written = reader.text(section, "volumes", right)?;
    let word = plain(&written.text);
    let found = VOLUMES.iter().position(|known| plain(known) == word);
    if found.is_none() {
        let what = format!("volumes are not meant {}", quoted(&written.text));
        let right = did_you_mean(&word, VOLUMES).unwrap_or_else(|| right.to_owned());
        reader.mistake(written.at, what, right);
    }
    found.map(|place| place == 1)
}

/// The liquid the measures were weighed with.
fn measured_with<'l>(
    reader: &mut Reader<'_>,
    section: &Section<'_, '_>,
    shelf: &'l [HouseLiquid],
) -> Option<&'l HouseLiquid> {
    let right = "write the liquid: measured_with = \"bitters\"";
    let written = reader.text(section, "measured_with", right)?;
    let found = find_liquid(shelf, &written.text).and_then(|id| shelf.get(usize::from(id.0)));
    if found.is_none() {
        let keys = shelf.iter().map(|liquid| liquid.key.as_str());
        let right = did_you_mean(&written.text, keys).unwrap_or_else(|| right.to_owned());
        let what = format!("there is no liquid {}", quoted(&written.text));
        reader.mistake(written.at, what, right);
    }
    found
}

/// The measure with its spread, and whether it was given in grams.
fn measure(
    reader: &mut Reader<'_>,
    section: &Section<'_, '_>,
    usual: &Usual,
    with: Option<&HouseLiquid>,
) -> (Option<(u32, f64)>, bool) {
    let Usual { key, shown, .. } = usual;
    let right = format!("write its volume: {key} = \"{shown}\"");
    let listed = section.table.get(*key).map(|value| value.get_ref());
    let Some(DeValue::Array(entries)) = listed else {
        let measure = reader
            .text(section, key, &right)
            .and_then(|written| single(reader, &written, usual, None, Weighing::Unfit))
            .map(|ul| usual.of(ul.round() as u32));
        return (measure, false);
    };
    let right = format!("write single measures: {key} = [\"{shown}\", \"{shown}\", \"{shown}\"]");
    let count = entries.len();
    let written = reader.texts(section, key, &right).unwrap_or_default();
    let in_grams = written.iter().any(|one| {
        let amount = Amount::parse(&one.text);
        amount.is_ok_and(|amount| matches!(amount.quantity, Quantity::Mass(_)))
    });
    let weighing = if section.table.contains_key("measured_with") {
        Weighing::Named
    } else {
        Weighing::OfWhat
    };
    if count < FEWEST_SINGLES {
        let at = section
            .table
            .get(*key)
            .map_or(section.at, |value| value.span().start);
        let what = format!("{count} single measures tell no spread");
        let right = format!("write at least {FEWEST_SINGLES}, better ten, or one volume");
        reader.mistake(at, what, right);
    }
    let singles: Vec<f64> = written
        .iter()
        .filter_map(|one| single(reader, one, usual, with, weighing))
        .collect();
    let complete = singles.len() == count && count >= FEWEST_SINGLES;
    (complete.then(|| mean_and_deviation(&singles)), in_grams)
}

/// What a mass is worth without the liquid that was weighed.
#[derive(Clone, Copy)]
enum Weighing {
    /// Nothing: a measure is one volume.
    Unfit,
    /// It lacks the liquid.
    OfWhat,
    /// A liquid is named, but not on the shelf; that is told where it stands.
    Named,
}

/// One measure, microlitres.
fn single(
    reader: &mut Reader<'_>,
    written: &Written,
    usual: &Usual,
    with: Option<&HouseLiquid>,
    weighing: Weighing,
) -> Option<f64> {
    let Usual { key, shown, .. } = usual;
    let right = format!("write its volume: {key} = \"{shown}\"");
    let amount = match Amount::parse(&written.text) {
        Ok(amount) => amount,
        Err(error) => {
            let what = format!("{} cannot be read: {}", quoted(&written.text), error.what());
            reader.mistake(written.at, what, right);
            return None;
        }
    };
    let ul = match (amount.quantity, with) {
        (Quantity::Volume(ul), _) => f64::from(ul),
        (Quantity::Mass(mg), Some(liquid)) => {
            // A liquid without a density has been told where it stands.
            let target = target_shown(f64::from(mg) / 1_000.0, &liquid.as_composition()).ok()?;
            1_000.0 * target.volume_ml
        }
        (Quantity::Mass(_), None) if !matches!(weighing, Weighing::Unfit) => {
            if matches!(weighing, Weighing::OfWhat) {
                let what = format!("{} of what", quoted(&written.text));
                let right = "name what was weighed: measured_with = \"bitters\"";
                reader.mistake(written.at, what, right);
            }
            return None;
        }
        _ => {
            let what = format!("{} is no volume", quoted(&written.text));
            reader.mistake(written.at, what, right);
            return None;
        }
    };
    if ul.round() > f64::from(HOUSE_MEASURE_MAX_UL) || ul.round() < 1.0 {
        let much = if ul < 1.0 { "little" } else { "much" };
        let what = format!("a {key} of {} is too {much}", quoted(&written.text));
        let most = HOUSE_MEASURE_MAX_UL / 1_000;
        let right = format!("at most {most} ml, such as {shown}");
        reader.mistake(written.at, what, right);
        return None;
    }
    Some(ul)
}

/// The mean, rounded, and the standard deviation of the sample.
fn mean_and_deviation(singles: &[f64]) -> (u32, f64) {
    let count = singles.len() as f64;
    let mean = singles.iter().sum::<f64>() / count;
    let squares: f64 = singles.iter().map(|ul| (ul - mean).powi(2)).sum();
    let deviation = (squares / (count - 1.0)).sqrt();
    (mean.round() as u32, deviation.max(FINEST_SPREAD_UL))
}
