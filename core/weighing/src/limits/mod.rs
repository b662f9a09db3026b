//! Every constant of the weighing path: value, unit, reason, source.
//!
//! "Design" marks a choice of ours, decided by measurement on the simulated station.

mod converter;
mod estimator;
mod pan;
mod settling;

pub use converter::*;
pub use estimator::*;
pub use pan::*;
pub use settling::*;
