//! A mistake in a sheet, and where it is.

use std::fmt;

use serde::Serialize;

/// One mistake: where, what is wrong, what would be right.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize)]
pub struct SheetMistake {
    /// The file, as it was named.
    pub file: String,
    /// Line, from 1.
    pub line: usize,
    /// Column in characters, from 1.
    pub column: usize,
    /// What is wrong.
    pub what: String,
    /// What would be right.
    pub right: String,
}

impl SheetMistake {
    /// A mistake at byte `at` of `text`.
    pub(super) fn at(text: &str, file: &str, at: usize, what: String, right: String) -> Self {
        let (line, column) = line_and_column(text, at);
        Self {
            file: file.to_owned(),
            line,
            column,
            what,
            right,
        }
    }
}

impl fmt::Display for SheetMistake {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let Self {
            file,
            line,
            column,
            what,
            right,
        } = self;
        write!(f, "{file}:{line}:{column}: {what}; {right}")
    }
}

impl std::error::Error for SheetMistake {}

fn line_and_column(text: &str, at: usize) -> (usize, usize) {
    let before = text.get(..at).unwrap_or(text);
    let line_start = before.rfind('\n').map_or(0, |newline| newline + 1);
    let line = before.matches('\n').count() + 1;
    // A byte order mark is no column.
    let column = before[line_start..]
        .trim_start_matches('\u{FEFF}')
        .chars()
        .count()
        + 1;
    (line, column)
}
