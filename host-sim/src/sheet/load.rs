//! Sheets from files.

use std::fmt;
use std::path::{Path, PathBuf};

use super::{HouseSheet, SheetMistake, demo, parse};

/// Why a sheet cannot be used.
#[derive(Debug)]
pub enum LoadError {
    /// The file cannot be read.
    Unreadable {
        /// Its path.
        path: PathBuf,
        /// Why.
        why: String,
        /// What would be right.
        right: &'static str,
    },
    /// The sheet has mistakes.
    Mistakes(Vec<SheetMistake>),
}

/// The sheet in the file at `path`, or the demo sheet.
///
/// # Errors
/// [`LoadError`]; its `Display` has a line for each mistake.
pub fn load(path: Option<&Path>) -> Result<HouseSheet, LoadError> {
    let Some(path) = path else {
        return demo().map_err(LoadError::Mistakes);
    };
    let unreadable = |why: String, right| LoadError::Unreadable {
        path: path.to_owned(),
        why,
        right,
    };
    let bytes = std::fs::read(path)
        .map_err(|error| unreadable(error.to_string(), "name a sheet that can be opened"))?;
    let text = String::from_utf8(bytes).map_err(|error| {
        let at = error.utf8_error().valid_up_to();
        let why = format!("byte {at} is no UTF-8 text");
        unreadable(why, "save the sheet as plain text in UTF-8")
    })?;
    parse(&text, &path.display().to_string()).map_err(LoadError::Mistakes)
}

impl fmt::Display for LoadError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Unreadable { path, why, right } => {
                write!(f, "{}: {why}; {right}", path.display())
            }
            Self::Mistakes(mistakes) => {
                for (count, mistake) in mistakes.iter().enumerate() {
                    if count > 0 {
                        writeln!(f)?;
                    }
                    write!(f, "{mistake}")?;
                }
                Ok(())
            }
        }
    }
}

impl std::error::Error for LoadError {}
