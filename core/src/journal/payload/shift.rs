//! What was chosen for the shift.

use serde::{Deserialize, Serialize};

use super::{MILLI, Payload, fixed_up, float_up, thaw};
use crate::input::Mode;
use crate::journal::coder::{self, Coder, Fields};
use crate::journal::{Kind, ReadError};
use crate::station::Shift;
use crate::units::Millilitres;

/// The ways of working, by their number in the journal and on the link.
pub const MODES: [Mode; 4] = [Mode::Service, Mode::Develop, Mode::Prep, Mode::Plain];

/// [`Shift`].
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
pub struct ShiftV1 {
    /// 0 service, 1 develop, 2 prep, 3 plain scale.
    pub mode: u8,
    /// The hand, where one was named.
    pub hand: Option<u8>,
    /// What every strained glass is to hold, microlitres, where that is limited.
    pub serve_ul: Option<u32>,
}

impl Fields for ShiftV1 {
    fn fields(&mut self, coder: &mut Coder<'_>) {
        coder.byte(&mut self.mode);
        coder.option(&mut self.hand, Coder::byte);
        coder.option(&mut self.serve_ul, Coder::number);
    }
}

impl From<&Shift> for ShiftV1 {
    fn from(shift: &Shift) -> Self {
        let mode = MODES.iter().position(|mode| *mode == shift.mode);
        Self {
            mode: mode.unwrap_or(0) as u8,
            hand: shift.hand,
            serve_ul: shift.serve.map(|serve| fixed_up(serve.0, MILLI)),
        }
    }
}

impl ShiftV1 {
    /// What it means now; `None` where there is no such way of working.
    #[must_use]
    pub fn thaw(self) -> Option<Shift> {
        Some(Shift {
            mode: *MODES.get(usize::from(self.mode))?,
            hand: self.hand,
            serve: self
                .serve_ul
                .map(|ul| Millilitres(float_up(ul, MILLI)))
                .filter(|serve| serve.0 > 0.0),
        })
    }
}

impl Payload for Shift {
    const KIND: Kind = Kind::Shift;
    const VERSION: u8 = 1;

    #[inline(never)]
    fn encode(&self, bytes: &mut [u8]) -> Option<usize> {
        coder::write(&mut ShiftV1::from(self), bytes)
    }

    #[inline(never)]
    fn decode(version: u8, bytes: &[u8]) -> Result<Self, ReadError> {
        let mut form = ShiftV1::default();
        thaw((version, 1), bytes, &mut form)?;
        form.thaw().ok_or(ReadError::Value)
    }
}
