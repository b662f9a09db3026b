//! The verbs of the command line.

pub mod check;
