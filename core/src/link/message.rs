//! What a host requests, and what the scale replies.

use serde::{Deserialize, Serialize};

use super::log::LogLine;
use crate::codec;
use crate::input::{Command, CommandError, Input, Mode};
use crate::journal::payload::RoundState;
use crate::keep::StoreError;
use crate::output::Outputs;
use crate::spec::House;
use crate::station::{Setup, Shift};
use crate::time::Instant;
use crate::view::{Light, Sound};
use crate::weigh::Calibration;

/// The version of requests and replies. It changes whenever a field does.
pub const VERSION: u8 = 2;

/// The longest message, in bytes: every slot of [`Outputs`] filled, one strip of the panel, or a
/// part of a sheet.
pub const MAX_MESSAGE: usize = 320;

/// Bytes of a sheet in one part: what a message takes, in multiples of what flash writes at once.
pub const PART_BYTES: usize = 224;

/// Bytes of one strip: eight rows of 128 pixels.
pub const STRIP_BYTES: usize = 128;

/// Strips of one painted panel.
pub const STRIPS: u8 = 8;

/// The id of what the scale sends unasked; a host numbers its requests from 1.
pub const UNASKED: u16 = 0;

/// What a host requests.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub enum Request<'b> {
    /// Who is there; the host speaks this version. Frozen.
    Hello {
        /// The host's.
        version: u8,
    },
    /// Forget everything and start with this setup.
    Reset {
        /// The code of the empty pan at the last calibration.
        zero_code: i32,
        /// Codes per gram.
        counts_per_gram: f32,
        /// Nominal conversions per second.
        sps: f32,
        /// The way of working.
        mode: Mode,
    },
    /// Work from the sheet that is built in.
    Load,
    /// One call of [`crate::Station::handle`], in lockstep.
    Handle {
        /// Its time.
        at: Instant,
        /// What happened.
        input: Input,
    },
    /// Draw the present view.
    Paint,
    /// One strip of the panel as it was last drawn.
    Strip(u8),
    /// What the device measured of itself.
    Stats,
    /// A command for the station, at the time of its last input: drinks ordered, changed and
    /// voided, the way of working, the hand, the next step, zero, a bottle to learn.
    Command(Command),
    /// A packed sheet follows.
    Sheet {
        /// Its length, bytes.
        length: u32,
        /// Its CRC-32 (ISO-HDLC).
        crc: u32,
    },
    /// A part of it, up to [`PART_BYTES`], a multiple of 32 bytes but for the last.
    Part {
        /// Where it begins.
        offset: u32,
        /// The part.
        bytes: &'b [u8],
    },
    /// Work from the sheet of this CRC-32, which has arrived whole.
    Use {
        /// CRC-32.
        crc: u32,
    },
    /// Records from this number on, as many as fit a reply.
    Records {
        /// The first.
        since: u32,
    },
    /// What is set.
    Settings,
    /// Weigh by this line from now on.
    Calibrate(Calibration),
    /// Measure dashes, barspoons and drops so from now on.
    House(House),
    /// Set the clock: seconds since 1970-01-01 00:00 UTC.
    Clock {
        /// Seconds.
        utc: u32,
    },
    /// Send this many outputs as they happen; 0 ends it.
    Watch {
        /// How many.
        credit: u8,
    },
    /// The line of the log with this number, or the first one after it that is still there.
    Log {
        /// The first.
        since: u16,
    },
    /// What the pan carries.
    Weigh,
    /// The orders.
    Round,
}

impl<'b> Request<'b> {
    /// Reads a message: id and request.
    ///
    /// # Errors
    /// The id alone ([`UNASKED`] where not even that can be read), unless the message is a request
    /// of this version and nothing else.
    pub fn read(message: &'b [u8]) -> Result<(u16, Self), u16> {
        codec::read(message).ok_or_else(|| {
            let id = postcard::take_from_bytes(message).map(|(id, _)| id);
            id.unwrap_or(UNASKED)
        })
    }

    /// Writes a message; `None` where it does not fit.
    pub fn write<'m>(&self, id: u16, message: &'m mut [u8]) -> Option<&'m [u8]> {
        codec::write(&(id, self), message)
    }

    /// A [`Request::Reset`] to this setup.
    #[must_use]
    pub const fn reset(setup: &Setup) -> Self {
        Self::Reset {
            zero_code: setup.zero_code,
            counts_per_gram: setup.counts_per_gram,
            sps: setup.sps,
            mode: setup.mode,
        }
    }
}

/// What the scale replies.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub enum Reply<'b> {
    /// Who is there. Its version is frozen.
    Hello(Hello),
    /// It was not done.
    Refused(RequestError),
    /// It was done.
    Done,
    /// The call of [`crate::Station::handle`] is back.
    Handled {
        /// What it gave.
        outputs: Outputs,
        /// When a tick is due.
        deadline: Option<Instant>,
        /// What can be seen and heard at once.
        signals: Signals,
    },
    /// The strip that was requested.
    Strip {
        /// Which, from the top.
        index: u8,
        /// [`STRIP_BYTES`] of it, a byte a column.
        rows: &'b [u8],
    },
    /// See [`Request::Stats`].
    Stats(Stats),
    /// How much of the announced sheet has arrived.
    Filled {
        /// Bytes.
        bytes: u32,
    },
    /// Records one after the other, see [`crate::journal::Kept`]: number (4 bytes, little-endian),
    /// kind (1, as [`crate::journal::Kind::number`] has it), version (1), length (1), payload.
    Records {
        /// Where the next request is to begin.
        next: u32,
        /// The number of the next new record: all were sent once `next` reaches it.
        newest: u32,
        /// The records.
        bytes: &'b [u8],
    },
    /// What is set.
    Settings(Settings),
    /// A line of the log; `None` when there is none yet.
    Log(Option<LogLine>),
    /// What the pan carries.
    Weight(Weight),
    /// What waits and what is under way.
    Round(RoundState),
    /// Outputs as they happened, sent unasked.
    Live(Live),
}

impl<'b> Reply<'b> {
    /// Reads a message: the id of the request, and the reply. A hello of a later version may be
    /// longer than this one's.
    #[must_use]
    pub fn read(message: &'b [u8]) -> Option<(u16, Self)> {
        match postcard::take_from_bytes(message) {
            Ok(((id, reply), rest)) if rest.is_empty() || matches!(reply, Self::Hello(_)) => {
                Some((id, reply))
            }
            Ok(_) | Err(_) => None,
        }
    }

    /// Writes a message; `None` where it does not fit.
    pub fn write<'m>(&self, id: u16, message: &'m mut [u8]) -> Option<&'m [u8]> {
        codec::write(&(id, self), message)
    }
}

/// Who is there.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
pub struct Hello {
    /// The version it speaks, [`VERSION`].
    pub version: u8,
    /// See [`capability`].
    pub can: u32,
    /// The CRC-32 of the sheet it works from; 0 without one.
    pub sheet: u32,
    /// How often its power came on.
    pub start: u16,
    /// The longest sheet that can be pushed, bytes; 0 where none can.
    pub room: u32,
}

/// What a scale can do, a bit each; part of [`Hello`].
pub mod capability {
    /// It stores sheets, settings and records in flash.
    pub const KEEPS: u32 = 1;
    /// It sends outputs as they happen.
    pub const LIVE: u32 = 1 << 1;
    /// It has a short log.
    pub const LOG: u32 = 1 << 2;
}

/// What is set.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct Settings {
    /// By which it weighs.
    pub calibration: Calibration,
    /// House measures, where they were set; else the sheet's hold.
    pub house: Option<House>,
    /// The way of working and the hand.
    pub shift: Shift,
    /// The clock, where it was set: seconds since 1970-01-01 00:00 UTC.
    pub utc: Option<u32>,
    /// Hands with bottles whose habit is known.
    pub habits: u8,
}

/// What the pan carries.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
pub struct Weight {
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
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct Live {
    /// Counts every one since [`Request::Watch`], those that were dropped too.
    pub number: u32,
    /// When.
    pub at: Instant,
    /// What.
    pub outputs: Outputs,
}

/// The part of the view that is not a picture.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub struct Signals {
    /// The view differs from the one before.
    pub changed: bool,
    /// The three-colour light.
    pub light: Light,
    /// The sounder.
    pub sound: Sound,
    /// See [`crate::View::ramp`].
    pub ramp: Option<f32>,
}

/// Why a request is not carried out, with the bound it crossed.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub enum RequestError {
    /// The frame is damaged: stuffing, length or checksum.
    Frame,
    /// The frame is whole but holds no request of this version.
    Message,
    /// The station has no built-in sheet, or one it cannot read.
    Sheet,
    /// The panel has this many strips.
    Strip(u8),
    /// A setup or a setting that no scale can have.
    Setting,
    /// The reply does not fit a message.
    Reply,
    /// The board has a converter and a clock of its own: codes and ticks don't come by the link.
    OwnClock,
    /// A pour is open or a drink is being filled: finish it first.
    Pouring,
    /// The scale has no flash to store anything in.
    NoStore,
    /// The store refuses.
    Store(StoreError),
    /// The station refuses the command.
    Command(CommandError),
}

impl From<CommandError> for RequestError {
    fn from(why: CommandError) -> Self {
        Self::Command(why)
    }
}

impl From<StoreError> for RequestError {
    fn from(why: StoreError) -> Self {
        Self::Store(why)
    }
}

/// How much one kind of work has taken, in ticks of the device's own counter.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub struct Effort {
    /// How often it was done.
    pub times: u32,
    /// All of it together.
    pub total: u64,
    /// The worst single one.
    pub worst: u32,
}

impl Effort {
    /// Nothing done yet.
    pub const NONE: Self = Self {
        times: 0,
        total: 0,
        worst: 0,
    };

    /// Adds one that took `ticks`.
    pub fn add(&mut self, ticks: u32) {
        self.times = self.times.saturating_add(1);
        self.total = self.total.saturating_add(u64::from(ticks));
        self.worst = self.worst.max(ticks);
    }
}

/// What the device measured of itself since power-up.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub struct Stats {
    /// Ticks of its counter in a second; 0 where nothing is measured.
    pub ticks_per_second: u32,
    /// Conversions and ticks through [`crate::Station::handle`], those of `turn` apart.
    pub sample: Effort,
    /// Those that closed or opened a step of a drink, commands too: densities are worked out then.
    pub turn: Effort,
    /// Snapshots by [`crate::Station::view`].
    pub view: Effort,
    /// Full repaints.
    pub paint: Effort,
    /// The most stack that was ever in use, bytes.
    pub stack_peak: u32,
    /// Requests and frames that were refused.
    pub refused: u32,
}
