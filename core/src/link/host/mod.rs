//! What a host asks of a scale, and what it is told: sheets, orders, records, settings.
//!
//! The same frames carry it as the lockstep; the first byte tells the two apart. Fields are in
//! postcard's format, integers only, written and read by one description
//! ([`crate::journal::Coder`]), so both ends are the same code.
//!
//! - **ask**: what the host wants, with an id that comes back with the answer. The host asks
//!   again when no answer came in time; what would count twice is not done twice under one id;
//! - **tell**: the answer; a [`Refused`] names the reason and the bound;
//! - **live**: outputs as they happen, sent without being asked, as many as the host has granted
//!   ([`Ask::Watch`]). What is beyond that is dropped and counted;
//! - **hello**: the first thing to ask. Its form is frozen: a scale and a host of different
//!   versions can at least tell each other so.

mod answer;
mod ask;
mod log;
mod port;
mod tell;

pub use crate::journal::payload::MODES;
pub use crate::keep::Refused;
pub use ask::Ask;
pub use log::{LOG_LINES, LogLine, Logged};
pub use port::Port;
pub use tell::{Hello, Live, Settings, Tell, Weighed};

/// The version of what is asked and told. It changes whenever a field does.
pub const VERSION: u8 = 1;

/// The first byte of an ask; the lockstep's requests are numbered from 0.
pub(super) const ASK: u8 = 0x40;
/// The first byte of an answer.
pub(super) const TELL: u8 = 0x41;
/// The first byte of a live output.
pub(super) const LIVE: u8 = 0x42;

/// Bytes of a sheet in one part: what a message takes, in multiples of what flash writes at once.
pub const PART_BYTES: usize = 224;

/// What a scale can do, a bit each; told with [`Hello`].
pub mod capability {
    /// It keeps sheets, settings and records in flash.
    pub const KEEPS: u32 = 1;
    /// It tells outputs as they happen.
    pub const LIVE: u32 = 1 << 1;
    /// It keeps a short log.
    pub const LOG: u32 = 1 << 2;
}
