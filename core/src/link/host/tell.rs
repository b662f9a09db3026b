//! What a host is told, as a host reads it.

use super::{LIVE, LogLine, Refused, TELL};
use crate::coder::{Coder, Fields};
use crate::journal::payload::{CalibrationV1, HouseV1, ShiftV1, WaitingV2};
use crate::output::Outputs;
use crate::time::Instant;

/// The numbers of the answers.
pub(super) mod code {
    pub const DONE: u8 = 0;
    pub const HELLO: u8 = 1;
    pub const REFUSED: u8 = 2;
    pub const FILLED: u8 = 3;
    pub const RECORDS: u8 = 4;
    pub const SETTINGS: u8 = 5;
    pub const LOG: u8 = 6;
    pub const WEIGHT: u8 = 7;
    pub const ROUND: u8 = 8;
}

/// What a host is told. The numbers are the order; they and the fields are those of
/// [`super::VERSION`].
#[derive(Clone, Debug, PartialEq)]
pub enum Tell<'b> {
    /// Done.
    Done,
    /// Who is there. Frozen up to its version.
    Hello(Hello),
    /// It was not done.
    Refused(Refused),
    /// So much of the announced sheet has come.
    Filled {
        /// Bytes.
        bytes: u32,
    },
    /// Records one after the other, see [`crate::journal::Kept`]: number (4 bytes, little-endian),
    /// kind (1, as [`crate::journal::Kind::number`] has it), version (1), length (1), payload.
    Records {
        /// From where to ask on.
        next: u32,
        /// The number the next new record will get: nothing more to ask for once `next` is there.
        newest: u32,
        /// The records.
        bytes: &'b [u8],
    },
    /// What is set.
    Settings(Settings),
    /// A line of the log; `None` when there is none yet.
    Log(Option<LogLine>),
    /// What the pan carries.
    Weight(Weighed),
    /// What waits and what is under way.
    Round(WaitingV2),
}

/// Who is there.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Hello {
    /// The version it speaks, [`super::VERSION`].
    pub version: u8,
    /// See [`super::capability`].
    pub can: u32,
    /// The CRC-32 of the sheet it works from; 0 without one.
    pub sheet: u32,
    /// How often its power came on.
    pub start: u16,
    /// Bytes of a sheet it can take; 0 when none.
    pub room: u32,
}

/// What is set.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Settings {
    /// By which it weighs.
    pub calibration: CalibrationV1,
    /// House measures, where they were set; else the sheet's hold.
    pub house: Option<HouseV1>,
    /// The way of working and the hand.
    pub shift: ShiftV1,
    /// The clock, where it was set: seconds since 1970-01-01 00:00 UTC.
    pub utc: Option<u32>,
    /// Hands with bottles whose habit is known.
    pub habits: u8,
}

/// What the pan carries.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Weighed {
    /// The last code that was read.
    pub code: i32,
    /// Milligrams above zero.
    pub mg: i32,
    /// Nothing moves.
    pub still: bool,
    /// When: seconds since power-up.
    pub seconds: u32,
}

/// Outputs as they happened.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Live {
    /// Counts every one since [`super::Ask::Watch`], also those that were dropped.
    pub number: u32,
    /// When.
    pub at: Instant,
    /// What.
    pub outputs: Outputs,
}

impl<'b> Tell<'b> {
    /// Reads a message; the id of the ask, and the answer.
    #[must_use]
    pub fn read(message: &'b [u8]) -> Option<(u16, Self)> {
        let mut coder = Coder::reading(message);
        let (mut tag, mut id, mut code) = (0, 0, 0);
        coder.byte(&mut tag);
        coder.short(&mut id);
        coder.byte(&mut code);
        let mut tell = Self::blank(code).filter(|_| tag == TELL)?;
        tell.fields(&mut coder);
        // What a later version appends to its hello does not matter to whoever only wants to know
        // the version.
        let whole = matches!(tell, Self::Hello(_)) || coder.finish().is_some();
        whole.then_some((id, tell))
    }

    /// Writes a message; its length, `None` when it does not fit. A scale writes the same field by
    /// field.
    pub fn write(&mut self, mut id: u16, message: &'b mut [u8]) -> Option<usize> {
        let mut coder = Coder::writing(message);
        let (mut tag, mut code) = (TELL, self.code());
        coder.byte(&mut tag);
        coder.short(&mut id);
        coder.byte(&mut code);
        self.fields(&mut coder);
        coder.finish()
    }

    fn blank(code: u8) -> Option<Self> {
        Some(match code {
            code::DONE => Self::Done,
            code::HELLO => Self::Hello(Hello::default()),
            code::REFUSED => Self::Refused(Refused::Ask),
            code::FILLED => Self::Filled { bytes: 0 },
            code::RECORDS => Self::Records {
                next: 0,
                newest: 0,
                bytes: &[],
            },
            code::SETTINGS => Self::Settings(Settings::default()),
            code::LOG => Self::Log(None),
            code::WEIGHT => Self::Weight(Weighed::default()),
            code::ROUND => Self::Round(WaitingV2::default()),
            _ => return None,
        })
    }

    const fn code(&self) -> u8 {
        match self {
            Self::Done => code::DONE,
            Self::Hello(_) => code::HELLO,
            Self::Refused(_) => code::REFUSED,
            Self::Filled { .. } => code::FILLED,
            Self::Records { .. } => code::RECORDS,
            Self::Settings(_) => code::SETTINGS,
            Self::Log(_) => code::LOG,
            Self::Weight(_) => code::WEIGHT,
            Self::Round(_) => code::ROUND,
        }
    }

    fn fields(&mut self, coder: &mut Coder<'b>) {
        match self {
            Self::Done => {}
            Self::Hello(hello) => {
                coder.byte(&mut hello.version);
                coder.number(&mut hello.can);
                coder.number(&mut hello.sheet);
                coder.short(&mut hello.start);
                coder.number(&mut hello.room);
            }
            Self::Refused(refused) => refused.fields(coder),
            Self::Filled { bytes } => coder.number(bytes),
            Self::Records {
                next,
                newest,
                bytes,
            } => {
                coder.number(next);
                coder.number(newest);
                coder.bytes(bytes);
            }
            Self::Settings(settings) => {
                settings.calibration.fields(coder);
                coder.option(&mut settings.house, |coder, house| house.fields(coder));
                settings.shift.fields(coder);
                coder.option(&mut settings.utc, Coder::number);
                coder.byte(&mut settings.habits);
            }
            Self::Log(line) => coder.option(line, |coder, line| line.fields(coder)),
            Self::Weight(weighed) => {
                coder.signed(&mut weighed.code);
                coder.signed(&mut weighed.mg);
                let mut still = u8::from(weighed.still);
                coder.byte(&mut still);
                weighed.still = still == 1;
                coder.number(&mut weighed.seconds);
            }
            Self::Round(round) => round.fields(coder),
        }
    }
}

impl Live {
    /// Reads a message.
    #[must_use]
    pub fn read(message: &[u8]) -> Option<Self> {
        let (tag, fields) = message.split_first()?;
        let whole = postcard::take_from_bytes::<(u32, Instant, Outputs)>(fields);
        let Ok(((number, at, outputs), [])) = whole else {
            return None;
        };
        (*tag == LIVE).then_some(Self {
            number,
            at,
            outputs,
        })
    }
}
