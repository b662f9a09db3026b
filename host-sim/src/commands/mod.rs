//! The verbs of the command line.
