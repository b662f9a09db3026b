//! Time as an argument: the core asks no clock, it is told.

use serde::{Deserialize, Serialize};

/// A point in time: microseconds since power-up.
///
/// Aligned like 32 bits: the tag of an `Option` is as wide as what it aligns to, and one of 64
/// bits is tested in two halves wherever a time may be missing, 0.5 KB in all.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[repr(Rust, packed(4))]
pub struct Instant(u64);

#[cfg(feature = "defmt")]
impl defmt::Format for Instant {
    fn format(&self, f: defmt::Formatter<'_>) {
        defmt::write!(f, "Instant({=u64})", self.micros());
    }
}

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

    /// Tenths of a second since power-up, kept within 32 bits; to a tenth or so for six days. By way of a
    /// float: a division of 64 bits would take a kilobyte of flash.
    #[must_use]
    pub fn tenths(self) -> u32 {
        (seconds(self.0) * 10.0) as u32
    }

    /// Seconds from `earlier` to `self`; negative when `earlier` is the later one.
    #[must_use]
    pub fn seconds_since(self, earlier: Self) -> f32 {
        if self >= earlier {
            seconds(self.0.saturating_sub(earlier.0))
        } else {
            -seconds(earlier.0.saturating_sub(self.0))
        }
    }

    /// The earlier of two that may not come at all.
    #[must_use]
    pub fn sooner(one: Option<Self>, other: Option<Self>) -> Option<Self> {
        match (one, other) {
            (Some(one), Some(other)) => Some(one.min(other)),
            (one, other) => one.or(other),
        }
    }

    /// The instant `seconds` later (earlier when negative), kept within what can be told.
    ///
    /// A NaN moves nothing.
    #[must_use]
    pub fn offset(self, seconds: f32) -> Self {
        let us = seconds * 1e6;
        if us >= 0.0 {
            Self(self.0.saturating_add(micros(us)))
        } else {
            Self(self.0.saturating_sub(micros(-us)))
        }
    }
}

/// A 64-bit integer is turned into a float in software, 32 bits in hardware: an hour fits them.
fn seconds(us: u64) -> f32 {
    let us = match u32::try_from(us) {
        Ok(us) => us as f32,
        Err(_) => float_of_more_than_an_hour(us),
    };
    us * 1e-6
}

/// Apart, or the compiler takes it for an instruction and works it out beforehand every time.
#[cold]
#[inline(never)]
fn float_of_more_than_an_hour(us: u64) -> f32 {
    (us >> 32) as u32 as f32 * 4_294_967_296.0 + us as u32 as f32
}

/// The same the other way, in whole seconds from an hour on: finer than that a float does not tell
/// much longer. A NaN is nothing, what is too large saturates at 136 years.
fn micros(us: f32) -> u64 {
    if us < 4e9 {
        u64::from(us as u32)
    } else {
        u64::from((us * 1e-6) as u32).saturating_mul(1_000_000)
    }
}
