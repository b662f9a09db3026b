//! Sheets as people write them: TOML with a house, its liquids and its drinks.
//!
//! A build is a list of lines such as a bartender would write them on a card: `45 ml rye`,
//! `2 dashes bitters`, `ice 120-180 g`, `stir 25 s`, `strain`, `note: express a zest`. What a
//! line means follows from the liquid: soda is topped up, an egg white is tipped in.
//!
//! [`parse`] tells every mistake at once, each with its place and what would be right.

mod bar;
mod build_line;
mod drinks;
mod fields;
mod flight_sheet;
mod flights;
mod house;
mod house_sheet;
mod letters;
mod liquids;
mod load;
mod made_of;
mod mistake;
mod mix;
mod more;
pub(crate) mod near;
mod order;
mod parts;
mod strength;
mod words;

pub use bar::BarIce;
pub use flight_sheet::{BATCH, FlightSheet};
pub use house::Spreads;
pub use house_sheet::{
    Basis, BuildLine, HouseDrink, HouseFlight, HouseLiquid, HouseSheet, find_liquid,
};
pub use load::{LoadError, load};
pub use mistake::SheetMistake;
pub use words::{allergen_words, counted, unit_word, vessel_word};

use pennyweight_core::spec::limits::SHEET_TEXT_MAX;
use toml::de::DeTable;

use self::fields::Reader;

/// The demo sheet: an invented bar with six drinks of its own.
pub const DEMO: &str = include_str!("../../demo.toml");

/// Reads a sheet; `file_name` is what mistakes are told under.
///
/// # Errors
/// Every mistake that was found, in the order of the text. Mistakes of TOML itself are told
/// alone, since what follows them cannot be trusted.
pub fn parse(text: &str, file_name: &str) -> Result<HouseSheet, Vec<SheetMistake>> {
    let mut reader = Reader::new(text, file_name);
    if text.len() > SHEET_TEXT_MAX {
        reader.mistake(
            0,
            format!("the file has {} bytes", text.len()),
            format!("a sheet has at most {SHEET_TEXT_MAX}"),
        );
        return Err(reader.into_mistakes());
    }
    let (root, errors) = DeTable::parse_recoverable(text);
    for error in &errors {
        reader.toml_mistake(error);
    }
    if !errors.is_empty() {
        return Err(reader.into_mistakes());
    }
    let sheet = read_sheet(&mut reader, root.get_ref());
    sheet.ok_or_else(|| reader.into_mistakes())
}

/// The demo sheet, read.
///
/// # Errors
/// None as long as the checks pass: the text is part of the program.
pub fn demo() -> Result<HouseSheet, Vec<SheetMistake>> {
    parse(DEMO, "demo.toml")
}

fn read_sheet(reader: &mut Reader<'_>, root: &DeTable<'_>) -> Option<HouseSheet> {
    let known = ["house", "ice", "glassware", "liquid", "drink", "flight"];
    reader.unknown_keys(root, &known, "at the top of a sheet");
    let liquids = liquids::read(reader, root);
    let house = house::read(reader, root, &liquids);
    let bar = bar::read(reader, root);
    let drinks = drinks::read(reader, root, &liquids, house.as_poured);
    let flights = flights::read(reader, root, &liquids, &drinks);
    if reader.count() > 0 {
        return None;
    }
    match HouseSheet::new(house, bar, liquids, drinks, flights) {
        Ok(sheet) => Some(sheet),
        Err(error) => {
            reader.mistake(
                0,
                format!("the sheet cannot be packed: {error}"),
                "split it into two sheets",
            );
            None
        }
    }
}
