//! What a liquid is by its label: strength, sugar, salt, fat, or a measured density.

use pennyweight_core::liquid::{Composition, LiquidError, Measured, dairy, honey, saline};
use pennyweight_core::spec::Family;

use super::fields::{Figure, Reader, Section, quoted};
use super::house_sheet::Basis;

/// The keys that say of what strength a liquid is; one of them at most.
pub(super) const STRENGTH_KEYS: [&str; 3] = ["abv", "abw", "proof"];

/// The keys that describe a liquid wholly, each alone.
pub(super) const WHOLE_KEYS: [&str; 3] = ["salt", "fat", "honey_water"];

const SUGAR_KEYS: [&str; 2] = ["sugar", "brix"];

/// What the label comes to.
pub(super) struct Label {
    /// Strength, sugar and what was measured or stands for it.
    pub(super) composition: Composition,
    pub(super) basis: Basis,
    /// The figure of [`Basis::Saline`], [`Basis::Dairy`] or [`Basis::Honey`].
    pub(super) percent: f64,
}

pub(super) fn read(
    reader: &mut Reader<'_>,
    section: &Section<'_, '_>,
    family: Option<Family>,
) -> Label {
    let measured = measured(reader, section);
    let label = match whole(reader, section, measured) {
        Some(label) => label,
        None => by_strength(reader, section, family, measured),
    };
    match measured {
        // Measured wins.
        Some(_) => Label {
            composition: Composition {
                measured,
                ..label.composition
            },
            basis: Basis::Measured,
            percent: 0.0,
        },
        None => label,
    }
}

/// A measured density.
pub(super) fn measured(reader: &mut Reader<'_>, section: &Section<'_, '_>) -> Option<Measured> {
    let right = "write g per ml: density = 1.034";
    let density = reader.figure(section, "density", 0.7..=1.6, right);
    let right = "write degrees Celsius: at = 20";
    let at = reader.figure(section, "at", -20.0..=40.0, right);
    if let (Some(at), false) = (at, section.table.contains_key("density")) {
        let right = "write the density too, or leave out at";
        reader.mistake(at.at, "\"at\" belongs to a measured density", right);
    }
    density.map(|density| Measured {
        density: density.value * 1_000.0,
        at: at.map_or(20.0, |at| at.value),
    })
}

/// Saline, dairy or honey; nothing when the liquid is none of them.
fn whole(
    reader: &mut Reader<'_>,
    section: &Section<'_, '_>,
    measured: Option<Measured>,
) -> Option<Label> {
    let right = "write percent by mass: salt = 20";
    let salt = reader.figure(section, "salt", 0.0..=saline::HIGHEST_PERCENT, right);
    let right = "write percent by mass: fat = 36";
    let fat = reader.figure(section, "fat", 0.0..=dairy::HIGHEST_PERCENT, right);
    let right = "write percent by mass, as a refractometer for honey shows: honey_water = 17.5";
    let range = honey::LOWEST_WATER..=honey::HIGHEST_WATER;
    let water = reader.figure(section, "honey_water", range, right);
    let stated = || {
        WHOLE_KEYS
            .iter()
            .filter(|key| section.table.contains_key(**key))
    };
    let key = *stated().next()?;
    let others = [STRENGTH_KEYS.as_slice(), &SUGAR_KEYS].concat();
    let beside = stated()
        .skip(1)
        .chain(&others)
        .find_map(|other| Some((other, section.table.get(*other)?.span().start)));
    if let Some((other, at)) = beside {
        let what = format!("{key} tells a liquid that holds nothing else, but here is {other}");
        let right = format!(
            "leave one of them out, or weigh 100 ml and write density = 1.034 instead of {key}"
        );
        reader.mistake(at, what, right);
    }
    let (composition, basis, percent) = match (salt, fat, water) {
        (Some(salt), _, _) => (saline::liquid(salt.value), Basis::Saline, salt.value),
        (_, Some(fat), _) => (dairy::liquid(fat.value), Basis::Dairy, fat.value),
        (_, _, Some(water)) => (honey(water.value, measured), Basis::Honey, water.value),
        // Out of range, and told.
        (None, None, None) => (saline::liquid(0.0), Basis::Saline, 0.0),
    };
    Some(Label {
        // In range.
        composition: composition.unwrap_or_default(),
        basis,
        percent,
    })
}

/// Honey, its sugar by the measured density where there is one.
fn honey(water: f64, measured: Option<Measured>) -> Result<Composition, LiquidError> {
    let usual = honey::liquid(water)?;
    let Some(measured) = measured else {
        return Ok(usual);
    };
    let carried = Composition {
        measured: Some(measured),
        ..usual
    };
    Ok(Composition {
        sugar_g_per_l: (1.0 - water / 100.0) * carried.density(20.0)?.density,
        ..usual
    })
}

fn by_strength(
    reader: &mut Reader<'_>,
    section: &Section<'_, '_>,
    family: Option<Family>,
    measured: Option<Measured>,
) -> Label {
    let strength = stated_strength(reader, section, family);
    let sugar_g_per_l = sugar(
        reader,
        section,
        strength.is_some_and(|s| !s.none()),
        measured,
    );
    let strength = match strength {
        None => 0.0,
        Some(Strength::ByVolume(percent)) => percent / 100.0,
        Some(Strength::Proof(proof)) => told(reader, proof, Composition::from_proof(proof.value)),
        Some(Strength::ByMass(abw)) => {
            let found = Composition::from_abw(abw.value, sugar_g_per_l, measured);
            told(reader, abw, found)
        }
    };
    Label {
        composition: Composition {
            strength,
            sugar_g_per_l,
            measured,
        },
        basis: Basis::Label,
        percent: 0.0,
    }
}

/// A strength as it was stated.
#[derive(Clone, Copy)]
enum Strength {
    ByVolume(f64),
    ByMass(Figure),
    Proof(Figure),
}

impl Strength {
    /// No alcohol at all.
    fn none(self) -> bool {
        match self {
            Self::ByVolume(percent) => percent == 0.0,
            Self::ByMass(figure) | Self::Proof(figure) => figure.value == 0.0,
        }
    }
}

/// The strength of what was found, or 0 and a mistake at the figure.
fn told(reader: &mut Reader<'_>, figure: Figure, found: Result<Composition, LiquidError>) -> f64 {
    match found {
        Ok(liquid) => liquid.strength,
        Err(error) => {
            let right = "put the figures right, or weigh 100 ml of it and write density = 1.034";
            reader.mistake(figure.at, error.to_string(), right);
            0.0
        }
    }
}

fn stated_strength(
    reader: &mut Reader<'_>,
    section: &Section<'_, '_>,
    family: Option<Family>,
) -> Option<Strength> {
    let right = "write percent by volume: abv = 40";
    let abv = reader.figure(section, "abv", 0.0..=100.0, right);
    let right = "write percent by mass: abw = 33";
    let abw = reader.figure(section, "abw", 0.0..=100.0, right);
    let right = "write degrees US proof: proof = 80";
    let proof = reader.figure(section, "proof", 0.0..=200.0, right);
    let stated: Vec<_> = STRENGTH_KEYS
        .iter()
        .filter_map(|key| Some((key, section.table.get(*key)?.span().start)))
        .collect();
    if let [(one, _), (other, at), ..] = stated.as_slice() {
        let what = format!("the strength is stated twice, as {one} and as {other}");
        reader.mistake(*at, what, "leave one of them out");
    }
    let needed = matches!(family, Some(Family::Spirit | Family::Bitters));
    if needed && stated.is_empty() {
        let right = "write percent by volume: abv = 40; or what it pours as: pours = \"juice\"";
        reader.mistake(section.at, "the strength is missing", right);
    }
    let by_volume = abv.map(|abv| Strength::ByVolume(abv.value));
    by_volume
        .or(abw.map(Strength::ByMass))
        .or(proof.map(Strength::Proof))
}

fn sugar(
    reader: &mut Reader<'_>,
    section: &Section<'_, '_>,
    strong: bool,
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
        (_, Some(brix)) if strong => {
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

/// Whether `composition` has a density; a mistake of the liquid `key` when it has none.
pub(super) fn has_density(
    reader: &mut Reader<'_>,
    at: usize,
    key: &str,
    composition: &Composition,
) -> bool {
    let known = composition.density(20.0).and_then(|_| composition.agree());
    let error = known.err();
    if let Some(error) = error {
        let what = format!("{} has no density: {error}", quoted(key));
        let right = "put the figures right, or weigh 100 ml of it and write density = 1.034";
        reader.mistake(at, what, right);
    }
    error.is_none()
}
