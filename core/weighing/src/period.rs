//! The converter's true period, from the times at which it was read.

use crate::limits::{FILTER_DELAY_PERIODS, PERIOD_RATIO, PERIOD_RETRAIN};
use crate::time::Instant;

/// The measured time between conversions.
///
/// Nominal 10 SPS parts run at 9 to 11.7; half a period of error would be a gram at 20 g/s.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Period {
    seconds: f32,
    last: Option<Instant>,
    seen: u8,
    odd: u8,
    odd_mean: f32,
    filter_delay: f32,
}

impl Period {
    /// Starts from the nominal rate, conversions per second.
    #[must_use]
    pub const fn new(sps: f32) -> Self {
        let seconds = if sps >= 1.0 && sps <= 10_000.0 {
            1.0 / sps
        } else {
            0.0125
        };
        Self {
            seconds,
            last: None,
            seen: 0,
            odd: 0,
            odd_mean: 0.0,
            filter_delay: FILTER_DELAY_PERIODS,
        }
    }

    /// The filter of the converter delays by so many periods: 1.5 for a sinc3, half the number of
    /// periods a filter averages over for others.
    pub const fn set_filter_delay(&mut self, periods: f32) {
        self.filter_delay = periods;
    }

    /// Learns from a conversion read at `now`; the interval since the one before, seconds.
    pub fn learn(&mut self, now: Instant) -> Option<f32> {
        let last = self.last.replace(now)?;
        let interval = now.seconds_since(last);
        let ratio = interval / self.seconds;
        if ratio > PERIOD_RATIO.0 && ratio < PERIOD_RATIO.1 {
            self.odd = 0;
            self.seen = self.seen.saturating_add(1).min(32);
            self.seconds += (interval - self.seconds) / f32::from(self.seen.max(4));
        } else if interval > 0.0 {
            self.odd = self.odd.saturating_add(1);
            self.odd_mean += (interval - self.odd_mean) / f32::from(self.odd);
            if self.odd >= PERIOD_RETRAIN {
                self.seconds = self.odd_mean.clamp(1e-3, 0.5);
                self.odd = 0;
                self.odd_mean = 0.0;
                self.seen = 0;
            }
        }
        Some(interval)
    }

    /// Seconds between conversions.
    #[must_use]
    pub const fn seconds(&self) -> f32 {
        self.seconds
    }

    /// How old a sample is when it is read, seconds.
    #[must_use]
    pub fn age(&self) -> f32 {
        self.seconds * self.filter_delay
    }

    /// When the last conversion was read.
    #[must_use]
    pub const fn last(&self) -> Option<Instant> {
        self.last
    }
}
