//! The image in the emulator against the core on the desk.
//!
//! What needs the embedded target or the emulator is behind the feature `emulator`, which only
//! `tests/run` turns on; the rest runs everywhere.

mod compare;
mod demo_sheet;
mod desk;
mod framing;
mod locks;
mod requests;
mod scenarios;
mod worst_case;

#[cfg(feature = "emulator")]
mod boards;
#[cfg(feature = "emulator")]
mod budget;
#[cfg(feature = "emulator")]
mod build;
#[cfg(feature = "emulator")]
mod emulator;
#[cfg(feature = "emulator")]
mod figures;
#[cfg(feature = "emulator")]
mod keeps;
#[cfg(feature = "emulator")]
mod loading;
#[cfg(feature = "emulator")]
mod lockstep;
#[cfg(feature = "emulator")]
mod log;
#[cfg(feature = "emulator")]
mod panic_free;
#[cfg(feature = "emulator")]
mod seeded;
#[cfg(feature = "emulator")]
mod table;
#[cfg(feature = "emulator")]
mod timed;
