//! What a host asks.

use super::super::asked::read_command;
use super::ASK;
use crate::coder::{Coder, Eye, Fields, Pen};
use crate::input::Command;
use crate::journal::payload::{CalibrationV1, HouseV1};

/// The longest command: a bottle to learn.
const COMMAND_BYTES: usize = 24;

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
    /// A command of the station, as the lockstep has it: drinks ordered, changed and voided, the way
    /// of working, the hand, the next step, zero, a bottle to learn, what a glass is to hold.
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

impl<'b> Ask<'b> {
    /// Reads a message; the id and what is asked.
    #[must_use]
    pub fn read(message: &'b [u8]) -> Option<(u16, Self)> {
        let mut coder = Coder::reading(message);
        let mut eye = Eye(&mut coder);
        let (tag, id) = (eye.byte(), eye.short());
        let ask = Self::fields(&mut eye).filter(|_| tag == ASK)?;
        coder.finish().map(|_| (id, ask))
    }

    fn fields(eye: &mut Eye<'_, 'b>) -> Option<Self> {
        Some(match eye.byte() {
            0 => Self::Hello {
                version: eye.byte(),
            },
            1 => Self::Sheet {
                length: eye.number(),
                crc: eye.number(),
            },
            2 => Self::Part {
                offset: eye.number(),
                bytes: eye.bytes(),
            },
            3 => Self::Use { crc: eye.number() },
            4 => Self::Do(read_command(eye.0.rest())?),
            5 => Self::Records {
                since: eye.number(),
            },
            6 => Self::Settings,
            7 => {
                let mut line = CalibrationV1::default();
                line.fields(eye.0);
                Self::Calibrate(line)
            }
            8 => {
                let mut house = HouseV1::default();
                house.fields(eye.0);
                Self::House(house)
            }
            9 => Self::Clock { utc: eye.number() },
            10 => Self::Watch { credit: eye.byte() },
            11 => Self::Log { since: eye.short() },
            12 => Self::Weigh,
            13 => Self::Round,
            _ => return None,
        })
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

    /// Writes a message; its length, `None` when it does not fit. Only a host does.
    pub fn write(self, id: u16, message: &'b mut [u8]) -> Option<usize> {
        let mut coder = Coder::writing(message);
        let mut pen = Pen(&mut coder);
        pen.byte(ASK).number(u32::from(id));
        match self {
            Self::Hello { version } => pen.byte(0).byte(version),
            Self::Sheet { length, crc } => pen.byte(1).number(length).number(crc),
            Self::Part { offset, mut bytes } => {
                pen.byte(2).number(offset).0.bytes(&mut bytes);
                &mut pen
            }
            Self::Use { crc } => pen.byte(3).number(crc),
            Self::Do(command) => {
                let mut bytes = [0; COMMAND_BYTES];
                let command = postcard::to_slice(&command, &mut bytes).ok()?;
                pen.byte(4).raw(command)
            }
            Self::Records { since } => pen.byte(5).number(since),
            Self::Settings => pen.byte(6),
            Self::Calibrate(mut line) => {
                line.fields(pen.byte(7).0);
                &mut pen
            }
            Self::House(mut house) => {
                house.fields(pen.byte(8).0);
                &mut pen
            }
            Self::Clock { utc } => pen.byte(9).number(utc),
            Self::Watch { credit } => pen.byte(10).byte(credit),
            Self::Log { since } => pen.byte(11).number(u32::from(since)),
            Self::Weigh => pen.byte(12),
            Self::Round => pen.byte(13),
        };
        coder.finish()
    }
}
