//! What a host asks.

use super::super::wire::code_command;
use super::ASK;
use crate::coder::{Coder, Fields};
use crate::input::{Command, Mode};
use crate::journal::payload::{CalibrationV1, HouseV1};

/// What a host asks. The numbers are the order; they and the fields are those of
/// [`super::VERSION`].
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Ask<'b> {
    /// Who is there; the host speaks this version. Frozen.
    Hello {
        /// The host's.
        version: u8,
    },
    /// A packed sheet is to come: its length in bytes and its CRC-32 (ISO-HDLC).
    Sheet {
        /// Bytes.
        length: u32,
        /// CRC-32.
        crc: u32,
    },
    /// A part of it, up to [`super::PART_BYTES`], in multiples of 32 bytes but for the last.
    Part {
        /// Where it begins.
        offset: u32,
        /// The part.
        bytes: &'b [u8],
    },
    /// Use the sheet of this CRC-32, which has come whole.
    Use {
        /// CRC-32.
        crc: u32,
    },
    /// A command of the station, as the lockstep has it: orders added, changed and voided, the way
    /// of working, the hand, the next step, zero, a bottle to learn.
    Do(Command),
    /// Records from this number on, as many as fit an answer.
    Records {
        /// The first.
        since: u32,
    },
    /// What is set.
    Settings,
    /// Weigh by this line from now on.
    Calibrate(CalibrationV1),
    /// Measure dashes, barspoons and drops so from now on.
    House(HouseV1),
    /// It is so late: seconds since 1970-01-01 00:00 UTC.
    Clock {
        /// Seconds.
        utc: u32,
    },
    /// Tell so many outputs as they happen; 0 ends it.
    Watch {
        /// How many.
        credit: u8,
    },
    /// Lines of the log from this number on.
    Log {
        /// The first.
        since: u16,
    },
    /// What the pan carries.
    Weigh,
    /// The orders.
    Round,
}

/// The ways of working, by their number on the link.
pub const MODES: [Mode; 4] = [Mode::Service, Mode::Develop, Mode::Prep, Mode::Plain];

impl<'b> Ask<'b> {
    /// Reads a message; the id and what is asked.
    #[must_use]
    pub fn read(message: &'b [u8]) -> Option<(u16, Self)> {
        let mut coder = Coder::reading(message);
        let (mut tag, mut id, mut code) = (0, 0, 0);
        coder.byte(&mut tag);
        coder.short(&mut id);
        coder.byte(&mut code);
        let mut ask = Self::blank(code).filter(|_| tag == ASK)?;
        ask.fields(&mut coder);
        coder.finish().map(|_| (id, ask))
    }

    /// The id alone, of a message that is an ask of whatever version.
    #[must_use]
    pub fn id_of(message: &[u8]) -> Option<u16> {
        let mut coder = Coder::reading(message);
        let (mut tag, mut id) = (0, 0);
        coder.byte(&mut tag);
        coder.short(&mut id);
        (tag == ASK).then_some(id)
    }

    /// Writes a message; its length, `None` when it does not fit.
    pub fn write(mut self, mut id: u16, message: &'b mut [u8]) -> Option<usize> {
        let mut coder = Coder::writing(message);
        let (mut tag, mut code) = (ASK, self.code());
        coder.byte(&mut tag);
        coder.short(&mut id);
        coder.byte(&mut code);
        self.fields(&mut coder);
        coder.finish()
    }

    fn blank(code: u8) -> Option<Self> {
        Some(match code {
            0 => Self::Hello { version: 0 },
            1 => Self::Sheet { length: 0, crc: 0 },
            2 => Self::Part {
                offset: 0,
                bytes: &[],
            },
            3 => Self::Use { crc: 0 },
            4 => Self::Do(Command::Skip),
            5 => Self::Records { since: 0 },
            6 => Self::Settings,
            7 => Self::Calibrate(CalibrationV1 {
                zero_code: 0,
                counts_e5_per_gram: 0,
            }),
            8 => Self::House(HouseV1 {
                dash_ul: 0,
                barspoon_ul: 0,
                drop_ul: 0,
            }),
            9 => Self::Clock { utc: 0 },
            10 => Self::Watch { credit: 0 },
            11 => Self::Log { since: 0 },
            12 => Self::Weigh,
            13 => Self::Round,
            _ => return None,
        })
    }

    const fn code(&self) -> u8 {
        match self {
            Self::Hello { .. } => 0,
            Self::Sheet { .. } => 1,
            Self::Part { .. } => 2,
            Self::Use { .. } => 3,
            Self::Do(_) => 4,
            Self::Records { .. } => 5,
            Self::Settings => 6,
            Self::Calibrate(_) => 7,
            Self::House(_) => 8,
            Self::Clock { .. } => 9,
            Self::Watch { .. } => 10,
            Self::Log { .. } => 11,
            Self::Weigh => 12,
            Self::Round => 13,
        }
    }

    fn fields(&mut self, coder: &mut Coder<'b>) {
        match self {
            Self::Hello { version: byte } | Self::Watch { credit: byte } => coder.byte(byte),
            Self::Sheet { length, crc } => {
                coder.number(length);
                coder.number(crc);
            }
            Self::Part { offset, bytes } => {
                coder.number(offset);
                coder.bytes(bytes);
            }
            Self::Use { crc: number }
            | Self::Records { since: number }
            | Self::Clock { utc: number } => coder.number(number),
            Self::Log { since } => coder.short(since),
            Self::Do(command) => code_command(command, coder),
            Self::Calibrate(calibration) => calibration.fields(coder),
            Self::House(house) => house.fields(coder),
            Self::Settings | Self::Weigh | Self::Round => {}
        }
    }
}
