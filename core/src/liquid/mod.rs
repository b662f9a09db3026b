//! Liquids: from strength, sugar and temperature to a density, and from a volume to what the
//! scale shows.
//!
//! `f64` throughout: once a step, not once a sample.

mod buoyancy;
mod composition;
mod ethanol;
mod mixture;
mod sucrose;

pub use buoyancy::{shown_over_mass, true_mass};
pub use composition::{Composition, Estimate, LiquidError, Measured, Model};
pub use mixture::{Contents, Mixture};
