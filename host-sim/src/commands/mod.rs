//! The verbs of the command line.

pub mod liquid;

/// What was typed or given in a file cannot be used; the command line ends with exit code 2.
///
/// The text says what failed, where, the likely cause and what to do.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
#[error("{0}")]
pub struct BadInput(pub String);
