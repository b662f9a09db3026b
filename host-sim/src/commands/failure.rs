//! A failure as a person reads it: what failed, where, the likely cause, what to do.

use std::fmt;
use std::io;

use pennyweight_core::spec::SheetError;

use crate::sheet::LoadError;

/// Why a verb gave up.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Failure {
    /// What failed, in a few words.
    pub what: String,
    /// Where: a file, a line, an option, the offending value; one place a line.
    pub places: Vec<String>,
    /// The likely cause.
    pub cause: String,
    /// What to do about it.
    pub remedy: String,
    /// Whose fault it is, which decides the exit code.
    pub kind: FailureKind,
}

/// What decides the exit code.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum FailureKind {
    /// What was given cannot be used: exit code 2, as for a wrong option.
    BadInput,
    /// What was given is fine, the run went wrong: exit code 1.
    FailedRun,
    /// Whoever read the output stopped reading, as `head` does: nothing to complain about.
    ClosedOutput,
}

impl Failure {
    /// Bad input at one place.
    pub fn bad_input(
        what: impl Into<String>,
        place: impl Into<String>,
        cause: impl Into<String>,
        remedy: impl Into<String>,
    ) -> Self {
        Self {
            kind: FailureKind::BadInput,
            ..Self::failed_run(what, place, cause, remedy)
        }
    }

    /// A run that went wrong at one place.
    pub fn failed_run(
        what: impl Into<String>,
        place: impl Into<String>,
        cause: impl Into<String>,
        remedy: impl Into<String>,
    ) -> Self {
        Self {
            what: what.into(),
            places: vec![place.into()],
            cause: cause.into(),
            remedy: remedy.into(),
            kind: FailureKind::FailedRun,
        }
    }

    /// The output could not be written.
    #[must_use]
    pub fn writing(error: io::Error) -> Self {
        let kind = match error.kind() {
            io::ErrorKind::BrokenPipe => FailureKind::ClosedOutput,
            _ => FailureKind::FailedRun,
        };
        Self {
            kind,
            ..Self::failed_run(
                "the output cannot be written",
                "standard output",
                error.to_string(),
                "check that the disk is not full and that the reader is still there",
            )
        }
    }

    /// The code the process ends with.
    #[must_use]
    pub fn exit_code(&self) -> u8 {
        match self.kind {
            FailureKind::BadInput => 2,
            FailureKind::FailedRun => 1,
            FailureKind::ClosedOutput => 0,
        }
    }
}

impl fmt::Display for Failure {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "error: {}", self.what)?;
        for place in &self.places {
            write!(f, "\n  where:  {place}")?;
        }
        write!(f, "\n  cause:  {}\n  to do:  {}", self.cause, self.remedy)
    }
}

impl std::error::Error for Failure {}

impl From<LoadError> for Failure {
    fn from(error: LoadError) -> Self {
        match error {
            LoadError::Unreadable { path, why, right } => Self::bad_input(
                "the sheet cannot be read",
                path.display().to_string(),
                why,
                right,
            ),
            LoadError::Mistakes(mistakes) => Self {
                what: "the sheet has mistakes".to_owned(),
                places: mistakes.iter().map(ToString::to_string).collect(),
                cause: "what is written there is not what a sheet may hold".to_owned(),
                remedy: "put each place right; `pennyweight check` tells what is left".to_owned(),
                kind: FailureKind::BadInput,
            },
        }
    }
}

/// What was packed here and is refused here is no fault of the sheet's author.
impl From<SheetError> for Failure {
    fn from(error: SheetError) -> Self {
        Self::failed_run(
            "the sheet cannot be worked from",
            "its packed form",
            error.to_string(),
            "report it together with the sheet: the mistake is in the program",
        )
    }
}

/// Bytes from outside as a message may show them: quoted, kept short, and with nothing in them
/// that a terminal would obey.
#[must_use]
pub fn excerpt(bytes: &[u8]) -> String {
    const LONGEST: usize = 40;
    let letter = |letter: char| match letter.is_control() {
        true => letter.escape_default().to_string(),
        false => letter.to_string(),
    };
    let mut pieces = bytes.utf8_chunks().flat_map(|chunk| {
        let invalid = chunk.invalid().iter().map(|byte| format!("\\x{byte:02x}"));
        chunk.valid().chars().map(letter).chain(invalid)
    });
    let shown: String = pieces.by_ref().take(LONGEST).collect();
    let ellipsis = if pieces.next().is_some() { "..." } else { "" };
    format!("'{shown}'{ellipsis}")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn an_excerpt_is_short_and_harmless() {
        assert_eq!(excerpt("cr\u{e8}me".as_bytes()), "'cr\u{e8}me'");
        assert_eq!(excerpt(b"a\x1b[2J\xff\0"), "'a\\u{1b}[2J\\xff\\u{0}'");
        assert_eq!(
            excerpt("\u{e8}".repeat(40).as_bytes()),
            format!("'{}'", "\u{e8}".repeat(40))
        );
        assert_eq!(excerpt(&[b'x'; 41]), format!("'{}'...", "x".repeat(40)));
    }
}
