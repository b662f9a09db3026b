//! The link: a station driven, set up and read from outside, one message at a time.
//!
//! A host sends a [`Request`] and waits for its [`Reply`]. [`Server`] answers every request, over
//! whatever line it came: a serial port, a socket, the emulator, the desk. Because it makes the
//! very bytes of the reply, a board and a desk that got the same requests answer the same bytes.
//!
//! - **message**: an id and a [`Request`] or a [`Reply`], as serde derives and postcard writes
//!   them; the reply carries the id of its request;
//! - **frame**: a message and its CRC-16, stuffed by COBS so that no byte of it is 0, then a 0;
//! - **lockstep**: a board that is driven conversion by conversion gets its time with
//!   [`Request::Handle`]; a board with a clock of its own refuses that;
//! - **retry**: the host sends a request again when no reply came in time; a command is carried
//!   out once an id;
//! - **live**: outputs as they happen, sent unasked under the id [`UNASKED`], as many as the host
//!   granted ([`Request::Watch`]); what is beyond that is dropped and counted;
//! - **hello**: the first request. Its first field is frozen, so that a scale and a host of
//!   different versions can at least say so.
//!
//! What came over a line is never trusted: every buffer is bounded, and bytes that make no sense
//! are refused.

mod frame;
mod log;
mod message;
mod server;

pub use frame::{FrameError, MAX_FRAME, Receiver, seal};
pub use log::{LOG_LINES, LogLine, Logged};
pub use message::{
    Effort, Hello, Live, MAX_MESSAGE, PART_BYTES, Reply, Request, RequestError, STRIP_BYTES,
    STRIPS, Settings, Signals, Stats, UNASKED, VERSION, Weight, capability,
};
pub use server::{Clock, Desk, Device, Note, Server};
