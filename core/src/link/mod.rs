//! The link: one station driven from outside, a message at a time.
//!
//! Whoever drives sends a [`Request`] and waits for its [`Reply`]; time comes with the message,
//! never from a clock. Because [`Server`] makes the very bytes of the reply, a board and a desk
//! that were asked the same things must answer the same bytes.
//!
//! - **message**: a [`Request`] or a [`Reply`], in postcard's format;
//! - **frame**: a message and its CRC-16, stuffed by COBS so that no byte of it is 0, then a 0;
//! - **lockstep**: one request, one reply; a frame that cannot be read is answered too
//!   ([`Refusal`]), so that neither side waits for the other;
//! - **strip**: an eighth of a painted panel, small enough for a message.
//!
//! What came over a wire is never trusted: every buffer is bounded, and bytes that make no sense
//! are refused.

mod asked;
mod frame;
pub mod host;
mod message;
mod pen;
mod serve;
mod wire;

pub use frame::{FrameError, MAX_FRAME, Receiver, seal};
pub use message::{
    Effort, MAX_MESSAGE, Refusal, Reply, Request, STRIP_BYTES, STRIPS, Signals, Stats,
};
pub use serve::{Desk, Device, Note, Server};
