//! The link of a device that runs by its own clock.
//!
//! The same requests as in lockstep, with two differences: the time in a
//! [`Request::Handle`] is not believed, the board's own is taken; and codes and ticks are refused,
//! since the board has a converter and a clock. What is measured ([`Request::Stats`]) is counted
//! in microseconds.

use pennyweight_core::Setup;
use pennyweight_core::input::{Command, Input};
use pennyweight_core::link::{MAX_FRAME, MAX_MESSAGE, Receiver, Refusal, Reply, Request, seal};

/// What came over the link and is for the loop to carry out.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) enum Wish {
    /// Begin anew with these settings, and keep them.
    Reset(Setup),
    /// Work from the sheet in flash.
    Load,
    /// A command for the station.
    Command(Command),
    /// Nothing: the picture is always painted.
    Paint,
    /// A strip of the picture.
    Strip(u8),
    /// What was measured.
    Stats,
}

/// The buffers of the link.
pub(crate) struct Link {
    receiver: Receiver,
    message: [u8; MAX_MESSAGE],
    frame: [u8; MAX_FRAME],
}

impl Link {
    pub(crate) const fn new() -> Self {
        Self {
            receiver: Receiver::new(),
            message: [0; MAX_MESSAGE],
            frame: [0; MAX_FRAME],
        }
    }

    /// Takes one byte; what is wished for when it ended a request.
    pub(crate) fn take(&mut self, byte: u8) -> Option<Result<Wish, Refusal>> {
        let received = self.receiver.take(byte)?;
        Some(received.map_err(|_| Refusal::Frame).and_then(wish))
    }

    /// A reply as bytes to send; nothing where it does not fit, which a test of the core rules out.
    pub(crate) fn sealed(&mut self, reply: &Reply<'_>) -> &[u8] {
        let Some(message) = reply.write(&mut self.message) else {
            return &[];
        };
        seal(message, &mut self.frame).unwrap_or_default()
    }
}

fn wish(message: &[u8]) -> Result<Wish, Refusal> {
    match Request::read(message).ok_or(Refusal::Message)? {
        Request::Reset {
            zero_code,
            counts_per_gram,
            sps,
            mode,
        } => {
            if !(counts_per_gram.is_normal() && sps.is_normal() && sps > 0.0) {
                return Err(Refusal::Setup);
            }
            Ok(Wish::Reset(Setup {
                zero_code,
                counts_per_gram,
                sps,
                mode,
            }))
        }
        Request::Load => Ok(Wish::Load),
        Request::Handle { input, .. } => match input {
            Input::Command(command) => Ok(Wish::Command(command)),
            Input::Code(_) | Input::Tick => Err(Refusal::Message),
        },
        Request::Paint => Ok(Wish::Paint),
        Request::Strip(index) => Ok(Wish::Strip(index)),
        Request::Stats => Ok(Wish::Stats),
    }
}
