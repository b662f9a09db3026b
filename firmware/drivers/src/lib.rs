//! Drivers for the parts on the bench, generic over embedded-hal 1.0.
//!
//! | part | driver | its model in the tests |
//! |---|---|---|
//! | two-wire bridge converter | [`two_wire`] | `chips::two_wire` |
//! | I2C bridge converter | [`registers`] | `chips::registers` |
//! | two pins as an I2C bus | [`line_bus`] | `chips::lines` |
//! | panel | [`Panel`] | `chips::panel` |
//! | three-colour light | [`Lamp`] | two dies, in its file |
//! | sounder | [`Sounder`] | a timer channel, in its file |
//! | serial flash, and stretches of it | [`flash`], [`partition`] | `chips::flash` |
//!
//! They know pins, not drinks: what a part shows is decided by the core, and wired to it by a
//! board. They belong to the root workspace, so that they are tested on the desk.

#![no_std]

#[cfg(any(test, feature = "chips"))]
extern crate std;

#[cfg(any(test, feature = "chips"))]
pub mod chips;
pub mod flash;
mod lamp;
mod last_page;
pub mod line_bus;
mod panel;
pub mod partition;
pub mod registers;
mod sounder;
mod timing;
pub mod two_wire;

pub use lamp::{Colour, Lamp, Polarity};
pub use last_page::show_last;
pub use panel::{COLUMNS, PANEL_ADDRESS, Panel, STRIP_US, STRIPS};
pub use sounder::{Sounder, Tone};
pub use timing::Timing;
