//! When something was recorded. UTC and time since power-up are never mixed.

use serde::{Deserialize, Serialize};

use crate::journal::coder::{Coder, Fields};

/// When and under which sheet something was recorded.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub struct Stamp {
    /// The start it happened in, see [`super::Start`].
    pub start: u16,
    /// When.
    pub at: Moment,
    /// The low half of the sheet's CRC-32: numbers of liquids and drinks are that sheet's.
    pub sheet: u16,
}

/// When something happened.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub enum Moment {
    /// The clock was not set: tenths of a second since power-up.
    SincePowerUp(u32),
    /// Seconds since 1970-01-01 00:00 UTC, without leap seconds.
    Utc(u32),
}

/// [`Moment`].
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub enum MomentV1 {
    /// Tenths of a second since power-up.
    SincePowerUp(u32),
    /// Seconds since 1970.
    Utc(u32),
}

impl Default for MomentV1 {
    fn default() -> Self {
        Self::SincePowerUp(0)
    }
}

/// [`Stamp`].
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
pub struct StampV1 {
    /// As [`Stamp::start`].
    pub start: u16,
    /// When.
    pub at: MomentV1,
    /// As [`Stamp::sheet`].
    pub sheet: u16,
}

impl Fields for StampV1 {
    fn fields(&mut self, coder: &mut Coder<'_>) {
        let (mut code, mut time) = match self.at {
            MomentV1::SincePowerUp(time) => (0, time),
            MomentV1::Utc(time) => (1, time),
        };
        coder.short(&mut self.start);
        coder.number(&mut code);
        coder.number(&mut time);
        coder.short(&mut self.sheet);
        self.at = match code {
            0 => MomentV1::SincePowerUp(time),
            1 => MomentV1::Utc(time),
            _ => {
                coder.refuse();
                MomentV1::default()
            }
        };
    }
}

impl Stamp {
    pub(super) fn write(self, coder: &mut Coder<'_>) {
        StampV1::from(self).fields(coder);
    }
}

impl From<Stamp> for StampV1 {
    fn from(stamp: Stamp) -> Self {
        Self {
            start: stamp.start,
            at: match stamp.at {
                Moment::SincePowerUp(time) => MomentV1::SincePowerUp(time),
                Moment::Utc(time) => MomentV1::Utc(time),
            },
            sheet: stamp.sheet,
        }
    }
}

impl From<StampV1> for Stamp {
    fn from(stamp: StampV1) -> Self {
        Self {
            start: stamp.start,
            at: match stamp.at {
                MomentV1::SincePowerUp(time) => Moment::SincePowerUp(time),
                MomentV1::Utc(time) => Moment::Utc(time),
            },
            sheet: stamp.sheet,
        }
    }
}
