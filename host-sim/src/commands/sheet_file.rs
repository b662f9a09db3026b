//! The sheet that a verb works from: a file, or the demo in the binary.

use std::path::Path;

use pennyweight_core::spec::Sheet;

use super::failure::{Failure, FailureKind};
use crate::sheet::{self, LoadError};

/// A sheet, packed as the station reads it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct PackedSheet {
    /// Where it came from, for messages.
    pub name: String,
    bytes: Vec<u8>,
}

impl PackedSheet {
    /// The sheet, read in place.
    ///
    /// # Errors
    /// Bytes that are no sheet.
    pub fn sheet(&self) -> Result<Sheet<'_>, Failure> {
        Sheet::new(&self.bytes).map_err(|error| {
            Failure::failed_run(
                "the sheet cannot be worked from",
                &self.name,
                format!("its packed form is damaged ({error:?})"),
                "this is a mistake of the program, not of the sheet; please report it",
            )
        })
    }
}

/// Reads and packs a sheet; the demo where no file is given.
///
/// # Errors
/// A file that cannot be read; the mistakes in it, each one place.
pub fn load(path: Option<&Path>) -> Result<PackedSheet, Failure> {
    let name = path.map_or_else(
        || "the demo sheet".to_owned(),
        |path| path.display().to_string(),
    );
    match sheet::load(path) {
        Ok(sheet) => Ok(PackedSheet {
            name,
            bytes: sheet.pack(),
        }),
        Err(LoadError::Unreadable { why, .. }) => Err(Failure::bad_input(
            "the sheet cannot be read",
            name,
            why,
            "check the path; a sheet is a TOML text",
        )),
        Err(LoadError::Mistakes(mistakes)) => Err(Failure {
            what: "the sheet has mistakes".to_owned(),
            places: mistakes.iter().map(ToString::to_string).collect(),
            cause: "what is written there is not what a sheet may hold".to_owned(),
            remedy: "put each place right; check reads a sheet without playing it".to_owned(),
            kind: FailureKind::BadInput,
        }),
    }
}
