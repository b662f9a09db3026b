//! Every constant of the weighing and guiding path: value, unit, reason, source.
//!
//! "Design" marks a choice of ours, decided by measurement on the simulated station. Constants of
//! a published formula stand beside that formula, in [`crate::liquid`].

mod building;
mod converter;
mod estimator;
mod guiding;
mod pan;
mod settling;

pub use building::*;
pub use converter::*;
pub use estimator::*;
pub use guiding::*;
pub use pan::*;
pub use settling::*;
