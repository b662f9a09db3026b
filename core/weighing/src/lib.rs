//! Weighing: from converter code to pan events and settled values.
//!
//! - [`gate`] throws out codes that no mass can cause;
//! - [`Calibration`] turns a code into grams, the only place that does;
//! - [`estimator`] gives mass and flow on true timestamps;
//! - [`window`] keeps the last seconds, for levels and for the settle statistic;
//! - [`pan`] tells what happened on the pan;
//! - [`report`] compares the whole scale with limits that are written down.
//!
//! Words: *level*, what the pan shows while nothing happens; *flow*, how fast the reading rises;
//! *period*, the measured time between conversions; *age*, how old a sample is when it is read
//! (the delay of the converter's filter).

#![no_std]

pub mod calibration;
pub mod estimator;
pub mod fault;
pub mod gate;
pub mod limits;
pub mod pan;
pub mod period;
pub mod report;
pub mod settle;
pub mod time;
pub mod units;
pub mod window;

pub use calibration::Calibration;
pub use estimator::{Estimator, EstimatorState, Line};
pub use gate::{Gate, Gated, Seen};
pub use pan::{Expectation, Pan, PanEvents};
pub use period::Period;
pub use window::Window;
