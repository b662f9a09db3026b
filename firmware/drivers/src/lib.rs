//! Drivers for the parts on the bench, generic over embedded-hal 1.0.
//!
//! They know pins, not drinks: what a part shows is decided by the core, and wired to it by a
//! board. They belong to the root workspace, so that they are tested on the desk.

#![no_std]

mod lamp;
mod sounder;

pub use lamp::{Colour, Lamp, Polarity};
pub use sounder::{Sounder, Tone};
