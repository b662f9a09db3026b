//! The `[ice]` and `[glassware]` tables: what a drink is chilled with, and what holds it.

use pennyweight_core::liquid::ice::COLDEST_ICE_C;
use pennyweight_core::spec::{Amount, Quantity, Vessel};
use toml::de::DeTable;

use super::fields::{Reader, quoted};
use super::near::plain;
use super::words::VESSELS;

/// The ice of a bar, where it says nothing: at 0 degC and drained.
const DRAINED: BarIce = BarIce {
    celsius: 0.0,
    wet: 0.0,
};

/// No vessel holds less or more than this, microlitres.
const BRIMFUL_UL: std::ops::RangeInclusive<u32> = 30_000..=5_000_000;

/// The ice of a bar.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct BarIce {
    /// Its temperature, degC.
    pub celsius: f64,
    /// The share of its mass that is water on its surface.
    pub wet: f64,
}

/// What a bar works with.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Bar {
    pub(super) ice: BarIce,
    /// Vessels the house has measured, and what they take to the brim, millilitres.
    pub(super) brimful_ml: Vec<(Vessel, f64)>,
}

pub(super) fn read(reader: &mut Reader<'_>, root: &DeTable<'_>) -> Bar {
    Bar {
        ice: ice(reader, root),
        brimful_ml: glassware(reader, root),
    }
}

fn ice(reader: &mut Reader<'_>, root: &DeTable<'_>) -> BarIce {
    let Some(section) = reader.section(root, "ice", "write [ice] and its keys below it") else {
        return DRAINED;
    };
    reader.unknown_keys(section.table, &["temp", "wet"], "in [ice]");
    let right = "write degrees Celsius: temp = -8";
    let temp = reader.figure(&section, "temp", COLDEST_ICE_C..=0.0, right);
    let right = "write percent of the ice's mass: wet = 3";
    let wet = reader.figure(&section, "wet", 0.0..=50.0, right);
    BarIce {
        celsius: temp.map_or(DRAINED.celsius, |temp| temp.value),
        wet: wet.map_or(DRAINED.wet, |wet| wet.value / 100.0),
    }
}

fn glassware(reader: &mut Reader<'_>, root: &DeTable<'_>) -> Vec<(Vessel, f64)> {
    let right = "write [glassware] and a line a vessel below it: coupe = \"180 ml\"";
    let Some(section) = reader.section(root, "glassware", right) else {
        return Vec::new();
    };
    let mut measured = Vec::new();
    for key in section.table.keys() {
        let name = key.get_ref().as_ref();
        let word = plain(name);
        let Some((_, vessel)) = VESSELS.iter().find(|(known, _)| *known == word) else {
            let words: Vec<&str> = VESSELS.iter().map(|(word, _)| *word).collect();
            let what = format!("there is no vessel {}", quoted(name));
            let right = super::fields::did_you_mean(&word, words.iter().copied())
                .unwrap_or_else(|| format!("use {}", super::fields::listed(&words)));
            reader.mistake(key.span().start, what, right);
            continue;
        };
        let right = "write what it takes to the brim: \"180 ml\"";
        let Some(written) = reader.text(&section, name, right) else {
            continue;
        };
        match Amount::parse(&written.text).map(|amount| amount.quantity) {
            Ok(Quantity::Volume(ul)) if BRIMFUL_UL.contains(&ul) => {
                measured.push((*vessel, f64::from(ul) / 1000.0));
            }
            _ => {
                let what = format!("{} is no vessel's volume", quoted(&written.text));
                reader.mistake(written.at, what, format!("{right}, from 30 ml to 5 l"));
            }
        }
    }
    measured
}
