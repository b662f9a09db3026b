//! One more drink on a sheet, as it was written down.

use toml::de::DeTable;

use super::fields::Reader;
use super::{HouseSheet, SheetMistake, drinks};

impl HouseSheet {
    /// The sheet with the `[[drink]]` tables of `text` behind its own; `file_name` is what
    /// mistakes are told under.
    ///
    /// # Errors
    /// Every mistake that was found.
    pub fn with_drinks(&self, text: &str, file_name: &str) -> Result<Self, Vec<SheetMistake>> {
        let mut reader = Reader::new(text, file_name);
        let (root, errors) = DeTable::parse_recoverable(text);
        for error in &errors {
            reader.toml_mistake(error);
        }
        if !errors.is_empty() {
            return Err(reader.into_mistakes());
        }
        reader.unknown_keys(root.get_ref(), &["drink"], "beside a drink");
        let more = drinks::read(&mut reader, root.get_ref(), self.liquids(), false);
        if reader.count() > 0 {
            return Err(reader.into_mistakes());
        }
        let all = self.drinks().iter().cloned().chain(more).collect();
        self.with(self.liquids().to_vec(), all).map_err(|error| {
            reader.mistake(
                0,
                format!("the sheet cannot be packed: {error}"),
                "split it into two sheets",
            );
            reader.into_mistakes()
        })
    }
}
