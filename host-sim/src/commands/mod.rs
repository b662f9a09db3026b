//! The verbs of the command line, and how they read and print.

pub mod bounded;
pub mod check;
pub mod events;
pub mod failure;
pub mod liquid;
pub mod live;
pub mod names;
pub mod options;
pub mod order;
pub mod replay;
pub mod request;
pub mod result;
pub mod run;
pub mod sentences;
pub mod sheet_file;
pub mod station;
pub mod tables;
pub mod trace;

pub use failure::Failure;

/// What was typed or given in a file cannot be used; the command line ends with exit code 2.
///
/// The text says what failed, where, the likely cause and what to do.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
#[error("{0}")]
pub struct BadInput(pub String);
