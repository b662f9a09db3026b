//! When there is time for something that cannot be interrupted by a cue.
//!
//! A cue sounds at the station's deadline, which a conversion may bring nearer. So a stretch of
//! work (drawing a page, sending a strip) begins only where it ends before the deadline, and
//! before the next conversion is expected. Where conversions follow each other faster than that,
//! it begins right after one, and a cue may be late by as much as the stretch takes.

use pennyweight_core::Instant;

/// A deadline that passed so long ago was served, microseconds.
const STANDS_US: u64 = 2_000;

/// The rhythm in which conversions come.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Rhythm {
    last: Option<Instant>,
    period_us: Option<u64>,
}

impl Rhythm {
    /// Before the first conversion.
    #[must_use]
    pub const fn new() -> Self {
        Self {
            last: None,
            period_us: None,
        }
    }

    /// A conversion came.
    pub fn beat(&mut self, at: Instant) {
        if let Some(last) = self.last {
            self.period_us = Some(at.micros().saturating_sub(last.micros()));
        }
        self.last = Some(at);
    }

    /// When the last one came.
    #[must_use]
    pub const fn last(&self) -> Option<Instant> {
        self.last
    }

    /// Whether work of so many microseconds may begin now, with the station's deadline there.
    #[must_use]
    pub fn has_time(&self, now: Instant, takes_us: u32, deadline: Option<Instant>) -> bool {
        let now = now.micros();
        let takes = u64::from(takes_us);
        let end = now.saturating_add(takes);
        // One that has passed may want a tick or two more; one that passed long ago stands there for
        // another reason.
        let before_cue = deadline
            .is_none_or(|due| due.micros() >= end || due.micros().saturating_add(STANDS_US) < now);
        before_cue && self.before_conversion(now, takes, end)
    }

    fn before_conversion(&self, now: u64, takes: u64, end: u64) -> bool {
        let (Some(last), Some(period)) = (self.last, self.period_us) else {
            return true;
        };
        let since = now.saturating_sub(last.micros());
        let expected = last.micros().saturating_add(period);
        // Parts are uneven by a few percent.
        let uneven = period >> 3;
        if takes.saturating_add(uneven) >= period {
            since <= period >> 2 || since > period.saturating_add(period)
        } else {
            end.saturating_add(uneven >> 1) <= expected || now > expected.saturating_add(uneven)
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const fn at(us: u64) -> Instant {
        Instant::from_micros(us)
    }

    fn every(us: u64) -> Rhythm {
        let mut rhythm = Rhythm::new();
        rhythm.beat(at(1_000_000 - us));
        rhythm.beat(at(1_000_000));
        rhythm
    }

    #[test]
    fn work_ends_before_the_next_conversion_and_before_the_cue() {
        let rhythm = every(12_500);
        assert!(rhythm.has_time(at(1_000_100), 5_000, None));
        assert!(rhythm.has_time(at(1_008_000), 3_200, None));
        assert!(!rhythm.has_time(at(1_009_500), 3_200, None));
        assert!(!rhythm.has_time(at(1_000_100), 5_000, Some(at(1_004_000))));
        assert!(rhythm.has_time(at(1_000_100), 5_000, Some(at(1_005_100))));
        // Served: what is past is no reason to wait.
        assert!(!rhythm.has_time(at(1_000_100), 5_000, Some(at(1_000_000))));
        assert!(rhythm.has_time(at(1_000_100), 5_000, Some(at(990_000))));
    }

    #[test]
    fn nothing_waits_for_a_converter_that_is_silent() {
        assert!(Rhythm::new().has_time(at(5), 25_000, None));
        let rhythm = every(12_500);
        assert!(
            !rhythm.has_time(at(1_012_600), 3_200, None),
            "any moment now"
        );
        assert!(rhythm.has_time(at(1_020_000), 3_200, None));
    }

    #[test]
    fn where_nothing_fits_between_two_it_begins_right_after_one() {
        let rhythm = every(3_125);
        assert!(rhythm.has_time(at(1_000_200), 3_200, None));
        assert!(!rhythm.has_time(at(1_001_500), 3_200, None));
        assert!(rhythm.has_time(at(1_010_000), 3_200, None));
    }
}
