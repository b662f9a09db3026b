//! The verbs of the command line, and how they read and print.

pub mod bounded;
pub mod capture;
pub mod cautions;
pub mod check;
pub mod check_text;
pub mod desk;
pub mod events;
pub mod failure;
pub mod flight;
pub mod learning;
pub mod link;
pub mod liquid;
pub mod live;
pub mod names;
pub mod options;
pub mod order;
pub mod plot;
pub mod reaching;
pub mod replay;
pub mod request;
pub mod result;
pub mod run;
pub mod scale;
pub mod sentences;
pub mod station;
pub mod sub;
mod svg;
pub mod sweep;
pub mod tables;
pub mod taught;
pub mod trace;

pub use failure::Failure;
