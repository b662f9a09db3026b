//! Time as an argument: the core asks no clock, it is told.

use serde::{Deserialize, Serialize};

/// A point in time: microseconds since power-up.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub struct Instant(u64);

impl Instant {
    /// Power-up.
    pub const ZERO: Self = Self(0);

    /// The instant `us` microseconds after power-up.
    #[must_use]
    pub const fn from_micros(us: u64) -> Self {
        Self(us)
    }

    /// Microseconds since power-up.
    #[must_use]
    pub const fn micros(self) -> u64 {
        self.0
    }

    /// Seconds from `earlier` to `self`; negative when `earlier` is the later one.
    #[must_use]
    pub fn seconds_since(self, earlier: Self) -> f32 {
        if self >= earlier {
            self.0.saturating_sub(earlier.0) as f32 * 1e-6
        } else {
            earlier.0.saturating_sub(self.0) as f32 * -1e-6
        }
    }

    /// The instant `seconds` later (earlier when negative), kept within what can be told.
    ///
    /// A NaN moves nothing.
    #[must_use]
    pub fn offset(self, seconds: f32) -> Self {
        let us = seconds * 1e6;
        if us >= 0.0 {
            Self(self.0.saturating_add(us as u64))
        } else {
            Self(self.0.saturating_sub(-us as u64))
        }
    }
}
