//! Every constant of the weighing and guiding path: value, unit, reason, source.
//!
//! "Design" marks a choice of ours, decided by measurement on the simulated station. Constants of
//! a published formula are beside that formula, in [`crate::liquid`].

mod building;
mod guiding;

pub use building::*;
pub use guiding::*;
pub use pennyweight_weighing::limits::*;
