//! What a host asks.

use super::ASK;
use crate::input::{Command, Known, Mode, Sample};
use crate::journal::payload::{CalibrationV1, HouseV1};
use crate::journal::{Coder, Fields};
use crate::spec::DrinkId;

/// What a host asks. The numbers are the order; they and the fields are those of
/// [`super::VERSION`].
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
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
    /// One more drink.
    Order {
        /// Its number in the sheet.
        drink: u8,
    },
    /// Another drink in the place of one that waits.
    Change {
        /// The order.
        order: u16,
        /// Its new drink.
        drink: u8,
    },
    /// Take an order out of the round; one that is under way is given up.
    Void {
        /// The order.
        order: u16,
    },
    /// Work in another way: 0 service, 1 develop, 2 prep, 3 plain scale.
    Mode {
        /// Which.
        mode: u8,
    },
    /// A hand of that number pours now.
    Hand {
        /// Which.
        hand: u8,
    },
    /// Leave the current step as it stands.
    Skip,
    /// Take the empty pan as zero.
    Zero,
    /// Learn a bottle from a filled measure.
    Learn {
        /// The bottle, by [`crate::journal::payload::bottle_key`].
        bottle: u32,
        /// Microlitres up to the mark.
        volume_ul: u32,
        /// One standard deviation of it.
        sigma_ul: u32,
        /// Hundredths of a degree Celsius.
        celsius: i16,
        /// What the label says: 0 nothing, 1 strength, 2 sugar.
        known: u8,
        /// Hundredths of a percent by volume, tenths of a gram per litre.
        value: u16,
    },
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
    /// What was learned of a bottle.
    Bottle {
        /// Which, from 0 to [`crate::journal::limits::BOTTLES_MAX`].
        index: u8,
    },
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

    /// The station's own command for it, where there is one; `None` also for a mode or a label
    /// that does not exist.
    #[must_use]
    pub fn command(&self) -> Option<Command> {
        Some(match *self {
            Self::Order { drink } => Command::Order(DrinkId(drink)),
            Self::Change { order, drink } => Command::Change(order, DrinkId(drink)),
            Self::Void { order } => Command::Void(order),
            Self::Mode { mode } => Command::Mode(*MODES.get(usize::from(mode))?),
            Self::Hand { hand } => Command::Hand(hand),
            Self::Skip => Command::Skip,
            Self::Zero => Command::Zero,
            Self::Learn {
                volume_ul,
                sigma_ul,
                celsius,
                known,
                value,
                ..
            } => Command::Learn(Sample {
                volume_ul,
                sigma_ul,
                celsius,
                known: match known {
                    0 => Known::Nothing,
                    1 => Known::Strength(value),
                    2 => Known::Sugar(value),
                    _ => return None,
                },
            }),
            _ => return None,
        })
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
            4 => Self::Order { drink: 0 },
            5 => Self::Change { order: 0, drink: 0 },
            6 => Self::Void { order: 0 },
            7 => Self::Mode { mode: 0 },
            8 => Self::Hand { hand: 0 },
            9 => Self::Skip,
            10 => Self::Zero,
            11 => Self::Learn {
                bottle: 0,
                volume_ul: 0,
                sigma_ul: 0,
                celsius: 0,
                known: 0,
                value: 0,
            },
            12 => Self::Records { since: 0 },
            13 => Self::Settings,
            14 => Self::Calibrate(CalibrationV1 {
                zero_code: 0,
                counts_e5_per_gram: 0,
            }),
            15 => Self::House(HouseV1 {
                dash_ul: 0,
                barspoon_ul: 0,
                drop_ul: 0,
            }),
            16 => Self::Clock { utc: 0 },
            17 => Self::Watch { credit: 0 },
            18 => Self::Log { since: 0 },
            19 => Self::Weigh,
            20 => Self::Round,
            21 => Self::Bottle { index: 0 },
            _ => return None,
        })
    }

    const fn code(&self) -> u8 {
        match self {
            Self::Hello { .. } => 0,
            Self::Sheet { .. } => 1,
            Self::Part { .. } => 2,
            Self::Use { .. } => 3,
            Self::Order { .. } => 4,
            Self::Change { .. } => 5,
            Self::Void { .. } => 6,
            Self::Mode { .. } => 7,
            Self::Hand { .. } => 8,
            Self::Skip => 9,
            Self::Zero => 10,
            Self::Learn { .. } => 11,
            Self::Records { .. } => 12,
            Self::Settings => 13,
            Self::Calibrate(_) => 14,
            Self::House(_) => 15,
            Self::Clock { .. } => 16,
            Self::Watch { .. } => 17,
            Self::Log { .. } => 18,
            Self::Weigh => 19,
            Self::Round => 20,
            Self::Bottle { .. } => 21,
        }
    }

    fn fields(&mut self, coder: &mut Coder<'b>) {
        match self {
            Self::Hello { version: byte }
            | Self::Order { drink: byte }
            | Self::Mode { mode: byte }
            | Self::Hand { hand: byte }
            | Self::Watch { credit: byte }
            | Self::Bottle { index: byte } => coder.byte(byte),
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
            Self::Change { order, drink } => {
                coder.short(order);
                coder.byte(drink);
            }
            Self::Void { order: short } | Self::Log { since: short } => coder.short(short),
            Self::Learn {
                bottle,
                volume_ul,
                sigma_ul,
                celsius,
                known,
                value,
            } => {
                coder.number(bottle);
                coder.number(volume_ul);
                coder.number(sigma_ul);
                coder.signed_short(celsius);
                coder.byte(known);
                coder.short(value);
            }
            Self::Calibrate(calibration) => calibration.fields(coder),
            Self::House(house) => house.fields(coder),
            Self::Skip | Self::Zero | Self::Settings | Self::Weigh | Self::Round => {}
        }
    }
}
