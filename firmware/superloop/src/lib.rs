//! The superloop: what a device does, over and over, between two conversions.
//!
//! | in one pass | because |
//! |---|---|
//! | every conversion that waits goes to the station | interrupts have read and queued them |
//! | a tick, where the station's deadline has come | cues lie between conversions |
//! | sounder and light follow the view | both take no time |
//! | a byte of the link at a time | a request is short |
//! | one stretch of the panel, where there is time for it ([`Rhythm`]) | a whole picture takes 25 ms |
//! | the watchdog is fed, if nothing waits and nothing is overdue | a loop that hangs is reset |
//! | rest until the next thing is due | |
//!
//! It knows a [`Board`], not a chip: the same loop runs on the desk against a board of models,
//! where it is timed. What a drink needs is decided by the core.

#![no_std]

#[cfg(test)]
extern crate std;

mod board;
mod pass;
mod queue;
mod screen;
mod spare;
#[cfg(test)]
mod tests;

pub use board::{Board, Happening};
pub use pass::{Bench, STOPPED, run};
pub use queue::{Conversion, Intake, QUEUED, Queue, Waiting, split};
pub use spare::Rhythm;
