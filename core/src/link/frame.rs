//! A message on the wire: checksum, byte stuffing, end mark.
//!
//! CRC-16/IBM-SDLC (the one of HDLC, ITU-T V.42) over the message, low byte first; then COBS
//! (Cheshire and Baker, IEEE/ACM Transactions on Networking 7(2), 1999); then a 0.

use cobs::{DecodeResult, DecoderState};
use crc::{CRC_16_IBM_SDLC, Crc, NoTable};

use super::message::MAX_MESSAGE;

/// A message and its checksum before stuffing.
const MAX_BODY: usize = MAX_MESSAGE + CRC_BYTES;

/// The longest frame, end mark included: stuffing takes a byte for every 254 begun.
pub const MAX_FRAME: usize = cobs::max_encoding_length(MAX_BODY) + 1;

const CRC_BYTES: usize = 2;

/// Without a table: a frame is short and 512 bytes of flash are worth more.
const CHECK: Crc<u16, NoTable> = Crc::<u16, NoTable>::new(&CRC_16_IBM_SDLC);

/// Why a frame cannot be read or written.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub enum FrameError {
    /// The byte stuffing is broken.
    Stuffing,
    /// More than [`MAX_MESSAGE`] bytes, or too few for a checksum.
    Length,
    /// The checksum differs.
    Checksum,
}

/// Puts `message` into `frame`; the bytes to send, end mark included.
///
/// # Errors
/// [`FrameError::Length`] when the message is longer than [`MAX_MESSAGE`].
#[inline(never)]
pub fn seal<'f>(message: &[u8], frame: &'f mut [u8; MAX_FRAME]) -> Result<&'f [u8], FrameError> {
    if message.len() > MAX_MESSAGE {
        return Err(FrameError::Length);
    }
    let mut stuffing = cobs::CobsEncoder::new(frame);
    stuffing.push(message).map_err(|_| FrameError::Length)?;
    stuffing
        .push(&CHECK.checksum(message).to_le_bytes())
        .map_err(|_| FrameError::Length)?;
    let end = stuffing.finalize();
    *frame.get_mut(end).ok_or(FrameError::Length)? = 0;
    frame.get(..=end).ok_or(FrameError::Length)
}

/// Gathers the bytes of one frame after another as they arrive.
pub struct Receiver {
    state: DecoderState,
    body: [u8; MAX_BODY],
    /// Bytes of the body so far; beyond [`MAX_BODY`] the frame is too long and is dropped.
    length: usize,
}

impl Default for Receiver {
    fn default() -> Self {
        Self::new()
    }
}

impl Receiver {
    /// Nothing received yet.
    #[must_use]
    pub const fn new() -> Self {
        Self {
            state: DecoderState::Idle,
            body: [0; MAX_BODY],
            length: 0,
        }
    }

    /// Takes one byte; the message, or what is wrong with it, when the byte ends a frame.
    ///
    /// Empty frames (a 0 after a 0) are no frames: they let a driver end whatever was cut off.
    #[inline(never)]
    pub fn take(&mut self, byte: u8) -> Option<Result<&[u8], FrameError>> {
        let was_idle = matches!(self.state, DecoderState::Idle);
        match self.state.feed(byte) {
            Ok(DecodeResult::NoData) => {
                if was_idle {
                    self.length = 0;
                }
                None
            }
            Ok(DecodeResult::DataContinue(byte)) => {
                if let Some(place) = self.body.get_mut(self.length) {
                    *place = byte;
                }
                self.length = self.length.saturating_add(1);
                None
            }
            Ok(DecodeResult::DataComplete) => Some(self.open()),
            Err(_) => Some(Err(FrameError::Stuffing)),
        }
    }

    fn open(&self) -> Result<&[u8], FrameError> {
        let body = self.body.get(..self.length).ok_or(FrameError::Length)?;
        let (message, sum) = body
            .split_last_chunk::<CRC_BYTES>()
            .ok_or(FrameError::Length)?;
        if CHECK.checksum(message) == u16::from_le_bytes(*sum) {
            Ok(message)
        } else {
            Err(FrameError::Checksum)
        }
    }
}
