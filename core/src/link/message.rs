//! What is asked over the link, and what is answered.

use serde::{Deserialize, Serialize};

use super::asked::read_request;
use super::wire::write_reply;
use crate::input::{Input, Mode};
use crate::output::Outputs;
use crate::station::Setup;
use crate::time::Instant;
use crate::view::{Light, Sound};

/// The longest message, in bytes: every slot of [`Outputs`] filled, or one strip of the panel.
pub const MAX_MESSAGE: usize = 280;

/// Bytes of one strip: eight rows of 128 pixels.
pub const STRIP_BYTES: usize = 128;

/// Strips of one painted panel.
pub const STRIPS: u8 = 8;

/// What the driver wants.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub enum Request {
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
    /// Work from the sheet that the station carries.
    Load,
    /// One call of [`crate::Station::handle`].
    Handle {
        /// Its time.
        at: Instant,
        /// What happened.
        input: Input,
    },
    /// Draw the present view.
    Paint,
    /// One strip of the panel as it was last painted.
    Strip(u8),
    /// What the device has measured of itself.
    Stats,
}

impl Request {
    /// Reads a message; `None` unless it is one and nothing else.
    #[must_use]
    pub fn read(message: &[u8]) -> Option<Self> {
        read_request(message)
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

/// What the station answers.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
#[expect(
    clippy::large_enum_variant,
    reason = "a scale writes it from where it lies; whoever reads one has room"
)]
pub enum Reply<'a> {
    /// Done; there is nothing to tell.
    Ready,
    /// The call of [`crate::Station::handle`] is back.
    Handled {
        /// What it gave.
        outputs: Outputs,
        /// When a tick is due.
        deadline: Option<Instant>,
        /// What can be seen and heard at once.
        signals: Signals,
    },
    /// The strip asked for.
    Strip {
        /// Which, from the top.
        index: u8,
        /// [`STRIP_BYTES`] of it, a byte a column.
        rows: &'a [u8],
    },
    /// See [`Request::Stats`].
    Stats(Stats),
    /// It was not done.
    Refused(Refusal),
}

impl Reply<'_> {
    /// Writes it, in postcard's format; `None` when it does not fit.
    pub fn write<'b>(&self, message: &'b mut [u8]) -> Option<&'b [u8]> {
        write_reply(self, message)
    }
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

/// Why a request was not carried out.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub enum Refusal {
    /// The frame is damaged: stuffing, length or checksum.
    Frame,
    /// The frame is whole but holds no request of this version.
    Message,
    /// The station carries no sheet, or one it cannot read.
    Sheet,
    /// There is no such strip.
    Strip,
    /// A setup that no scale can have.
    Setup,
    /// The reply does not fit a message.
    Reply,
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

/// What the device has measured of itself since power-up.
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
    /// Frames that were refused.
    pub refused: u32,
}
