//! The sheet that a verb works from: a file, or the demo in the binary.

use std::path::Path;

use pennyweight_core::spec::Sheet;

use super::failure::Failure;

/// No sheet needs more bytes.
const LONGEST: usize = 1024 * 1024;

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
/// A file that cannot be read; the mistakes in it.
pub fn load(path: Option<&Path>) -> Result<PackedSheet, Failure> {
    let (name, text) = match path {
        Some(path) => (path.display().to_string(), read(path)?),
        None => (DEMO_NAME.to_owned(), demo_text().to_owned()),
    };
    let bytes = pack(&text, &name)?;
    Ok(PackedSheet { name, bytes })
}

fn read(path: &Path) -> Result<String, Failure> {
    let wrong = |cause: String| {
        Failure::bad_input(
            "the sheet cannot be read",
            path.display().to_string(),
            cause,
            "check the path; a sheet is a TOML text",
        )
    };
    let bytes = std::fs::read(path).map_err(|error| wrong(error.to_string()))?;
    if bytes.len() > LONGEST {
        return Err(wrong(format!("it is longer than {LONGEST} bytes")));
    }
    String::from_utf8(bytes).map_err(|error| {
        let at = error.utf8_error().valid_up_to();
        wrong(format!("it is not UTF-8 text from byte {at} on"))
    })
}

/// What the demo is called in messages.
const DEMO_NAME: &str = "the demo sheet";

// JOIN sheet: the demo's text, as `include_str!` has it.
fn demo_text() -> &'static str {
    ""
}

// JOIN sheet: `sheet::parse(text, name)`, then `HouseSheet::pack()`; every `SheetMistake` is one
// place of a `Failure` of kind `BadInput`.
fn pack(text: &str, name: &str) -> Result<Vec<u8>, Failure> {
    let _ = text;
    Ok(Vec::new()).map_err(|()| Failure::bad_input("the sheet cannot be used", name, "", ""))
}
