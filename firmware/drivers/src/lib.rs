//! Drivers for the parts on the bench, generic over embedded-hal 1.0.
//!
//! | part | driver | its model in the tests |
//! |---|---|---|
//! | two-wire bridge converter | [`two_wire`] | `chips::two_wire` |
//! | I2C bridge converter | [`registers`] | `chips::registers` |
//! | panel | [`Panel`] | `chips::panel` |
//! | three-colour light | [`Lamp`] | two dies, in its file |
//! | sounder | [`Sounder`] | a timer channel, in its file |
//! | serial flash | [`flash`] | `chips::flash` |
//!
//! They know pins, not drinks: what a part shows is decided by the core, and wired to it by a
//! board. They belong to the root workspace, so that they are tested on the desk.

#![no_std]

#[cfg(test)]
extern crate std;

#[cfg(test)]
mod chips;
pub mod flash;
mod lamp;
mod panel;
pub mod registers;
mod sounder;
mod timing;
pub mod two_wire;

pub use lamp::{Colour, Lamp, Polarity};
pub use panel::{COLUMNS, PANEL_ADDRESS, Panel, STRIP_US, STRIPS};
pub use sounder::{Sounder, Tone};
pub use timing::Timing;
