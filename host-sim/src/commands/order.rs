//! What was ordered, by name.

use pennyweight_core::spec::DrinkId;

use super::failure::{Failure, excerpt};
use super::names::Names;

/// Reads an order such as "a, b, c"; capitals do not matter.
///
/// # Errors
/// A drink that the sheet does not know, with the names that exist and the nearest of them; an
/// empty name.
pub fn order(text: &str, names: &Names) -> Result<Vec<DrinkId>, Failure> {
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
                        "--order, drink {}: {}",
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

/// A name that no drink has.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct UnknownDrink {
    /// As it was given.
    pub name: String,
    /// The drink whose name is nearest, where one is near enough to be meant.
    pub nearest: Option<String>,
}

/// Finds one drink by name; capitals and surrounding blanks do not matter.
///
/// # Errors
/// [`UnknownDrink`].
pub fn drink(name: &str, names: &Names) -> Result<DrinkId, UnknownDrink> {
    let wanted = name.trim().to_lowercase();
    let exact = names
        .drinks
        .iter()
        .position(|drink| drink.name.to_lowercase() == wanted)
        .and_then(|index| u8::try_from(index).ok());
    match exact {
        Some(number) => Ok(DrinkId(number)),
        None => Err(UnknownDrink {
            name: name.trim().to_owned(),
            nearest: nearest(&wanted, names),
        }),
    }
}

/// The name with the fewest letters to change, where that is under half of them, or one that
/// begins with what was given.
fn nearest(wanted: &str, names: &Names) -> Option<String> {
    if wanted.is_empty() {
        return None;
    }
    names
        .drinks
        .iter()
        .map(|drink| {
            let name = drink.name.to_lowercase();
            let changes = if name.starts_with(wanted) {
                0
            } else {
                changes(wanted, &name)
            };
            (changes, drink)
        })
        .min_by_key(|(changes, _)| *changes)
        .filter(|(changes, drink)| changes * 2 < drink.name.chars().count())
        .map(|(_, drink)| drink.name.clone())
}

/// How many letters must be changed, added or removed to turn `from` into `to` (the edit
/// distance of Levenshtein, by rows).
fn changes(from: &str, to: &str) -> usize {
    let to: Vec<char> = to.chars().collect();
    let mut row: Vec<usize> = (0..=to.len()).collect();
    for (i, a) in from.chars().enumerate() {
        let mut diagonal = row[0];
        row[0] = i + 1;
        for (j, b) in to.iter().enumerate() {
            let replaced = diagonal + usize::from(a != *b);
            diagonal = row[j + 1];
            row[j + 1] = replaced.min(row[j] + 1).min(diagonal + 1);
        }
    }
    row[to.len()]
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn edit_distance() {
        // The textbook example of the algorithm.
        assert_eq!(changes("kitten", "sitting"), 3);
        assert_eq!(changes("", "abc"), 3);
        assert_eq!(changes("abc", "abc"), 0);
    }
}
