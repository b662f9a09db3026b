//! The simulated world: bottle, stream, glass, cell, converter, bench and hand.
//!
//! It knows nothing of how the scale works things out: densities come from handbook tables, what
//! runs on after a stop comes from ramp, fall, thread and drops, and what the scale reads comes
//! from forces on a pan. Everything random follows from a seed, each sub-process with a stream
//! of its own. Values the table `plant.toml` does not hold are assumptions, marked where they
//! stand.

pub mod bench;
mod beside;
pub mod bottle;
pub mod cell;
pub mod converter;
pub mod draw;
pub mod hand;
pub mod handbook;
pub mod hidden;
pub mod ice;
pub mod liquid;
pub mod loads;
pub mod reader;
pub mod reflex;
pub mod slosh;
pub mod stirring;
pub mod stream;
pub mod surroundings;
pub mod table;
pub mod touch;
pub mod truth;
pub mod vessel;

mod actions;

pub use bench::{Bench, BenchSetup};
pub use converter::Conversion;
pub use hand::{HandDraw, HandNature};
pub use hidden::Hidden;
pub use liquid::{Liquid, LiquidRef, PourDraw};
pub use loads::Loads;
pub use reader::Reader;
pub use reflex::{Move, Reflex, Sensed};
pub use surroundings::{Knock, Surroundings};
pub use table::Table;
pub use truth::Held;
pub use vessel::VesselRef;
