//! What was ordered, by name.

use pennyweight_core::spec::DrinkId;

use super::failure::{Failure, excerpt};
use super::names::Names;
use crate::sheet::near::{nearest, plain};
use crate::sheet::{HouseDrink, HouseSheet};

/// Reads an order such as "a, b, c", which was given at `place`; capitals do not matter.
///
/// # Errors
/// A drink that the sheet does not know, with the names that exist and the nearest of them; an
/// empty name.
pub fn order(text: &str, place: &str, names: &Names) -> Result<Vec<DrinkId>, Failure> {
    text.split(',')
        .enumerate()
        .map(|(position, name)| {
            drink(name, names).map_err(|wrong| {
                let nearest = wrong
                    .nearest
                    .map(|nearest| format!("; did you mean \"{nearest}\"?"))
                    .unwrap_or_default();
                let cause = if wrong.name.is_empty() {
                    "no name stands there".to_owned()
                } else {
                    format!("the sheet has no drink of that name{nearest}")
                };
                let known: Vec<&str> = names.drinks.iter().map(|it| it.name.as_str()).collect();
                Failure::bad_input(
                    "the order cannot be taken",
                    format!(
                        "{place}, drink {}: {}",
                        position + 1,
                        excerpt(wrong.name.as_bytes())
                    ),
                    cause,
                    format!(
                        "name drinks of the sheet, between commas: {}",
                        known.join(", ")
                    ),
                )
            })
        })
        .collect()
}

/// The drink of this name, which was given at `place`; capitals do not matter.
///
/// # Errors
/// A drink that the sheet does not know, with the names that exist and the nearest of them.
pub fn named<'s>(
    sheet: &'s HouseSheet,
    place: &str,
    name: &str,
) -> Result<&'s HouseDrink, Failure> {
    let wanted = plain(name);
    let found = sheet.drinks().iter().find(|it| plain(&it.name) == wanted);
    found.ok_or_else(|| {
        let known = || sheet.drinks().iter().map(|drink| drink.name.as_str());
        let nearest = nearest(name, known())
            .map(|nearest| format!("; did you mean \"{nearest}\"?"))
            .unwrap_or_default();
        Failure::bad_input(
            "there is no such drink",
            format!("{place}: {}", excerpt(name.as_bytes())),
            format!("the sheet has no drink of that name{nearest}"),
            format!("name one of: {}", known().collect::<Vec<_>>().join(", ")),
        )
    })
}

/// A name that no drink has.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct UnknownDrink {
    /// As it was given.
    pub name: String,
    /// The drink whose name is nearest, where one is near enough to be meant.
    pub nearest: Option<String>,
}

/// Finds one drink by name; capitals and surrounding blanks do not matter, and a hyphen is a
/// blank.
///
/// # Errors
/// [`UnknownDrink`].
pub fn drink(name: &str, names: &Names) -> Result<DrinkId, UnknownDrink> {
    let wanted = plain(name);
    let exact = (0..=u8::MAX)
        .zip(&names.drinks)
        .find(|(_, drink)| plain(&drink.name) == wanted);
    match exact {
        Some((number, _)) => Ok(DrinkId(number)),
        None => Err(UnknownDrink {
            name: name.trim().to_owned(),
            nearest: nearest_drink(&wanted, names).map(str::to_owned),
        }),
    }
}

/// The drink that begins with what was given, or the one that looks most like it.
fn nearest_drink<'n>(wanted: &str, names: &'n Names) -> Option<&'n str> {
    if wanted.is_empty() {
        return None;
    }
    let known = || names.drinks.iter().map(|drink| drink.name.as_str());
    known()
        .find(|name| plain(name).starts_with(wanted))
        .or_else(|| nearest(wanted, known()))
}
