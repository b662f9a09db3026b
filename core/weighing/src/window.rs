//! The last seconds of samples, thinned to a bounded rate.

use heapless::Deque;

use crate::time::Instant;
use crate::units::Grams;

/// Entries kept: 1.6 s at 80 conversions a second.
pub const WINDOW_LEN: usize = 128;
/// Samples closer together than this are averaged into one entry, microseconds.
const BIN_US: u32 = 10_500;

/// A mean over a stretch of time.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Mean {
    /// The mean.
    pub mass: Grams,
    /// Variance of a single entry about it, g^2.
    pub variance: f32,
    /// Entries in it.
    pub count: u16,
}

/// Two neighbouring stretches of the same length, up to now.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Halves {
    /// The earlier one.
    pub older: Mean,
    /// The later one.
    pub newer: Mean,
}

/// The low half of the microseconds is enough to tell ages of seconds.
#[derive(Clone, Copy, Debug, PartialEq)]
struct Entry {
    us: u32,
    mass: f32,
}

/// The last seconds, newest last.
#[derive(Debug)]
pub struct Window {
    entries: Deque<Entry, WINDOW_LEN>,
    bin: Entry,
    bin_count: u8,
}

impl Window {
    /// Nothing seen yet.
    #[must_use]
    pub const fn new() -> Self {
        Self {
            entries: Deque::new(),
            bin: Entry { us: 0, mass: 0.0 },
            bin_count: 0,
        }
    }

    /// Forgets everything.
    pub fn clear(&mut self) {
        self.entries.clear();
        self.bin_count = 0;
    }

    /// Forgets what came after `since`.
    pub fn forget_since(&mut self, since: Instant) {
        let since = low(since);
        // Ages are told by a difference that wraps: what is ahead is below half the range.
        let after = |entry: &Entry| entry.us.wrapping_sub(since).wrapping_sub(1) < u32::MAX / 2;
        while self.bin_count > 0 && after(&self.bin) {
            match self.entries.pop_back() {
                Some(entry) => self.bin = entry,
                None => self.bin_count = 0,
            }
        }
    }

    /// Takes a sample that belongs to `at`.
    pub fn push(&mut self, at: Instant, mass: Grams) {
        let us = low(at);
        if self.bin_count > 0 && us.wrapping_sub(self.bin.us) < BIN_US {
            self.bin_count = self.bin_count.saturating_add(1);
            self.bin.mass += (mass.0 - self.bin.mass) / f32::from(self.bin_count);
            return;
        }
        if self.bin_count > 0 {
            if self.entries.is_full() {
                self.entries.pop_front();
            }
            // There is room: one was dropped above.
            let _ = self.entries.push_back(self.bin);
        }
        self.bin = Entry { us, mass: mass.0 };
        self.bin_count = 1;
    }

    /// The two halves of the last `2 * half_s` seconds before `at`; `None` when one of them is
    /// empty.
    #[must_use]
    pub fn halves(&self, at: Instant, half_s: f32) -> Option<Halves> {
        let (at, half) = (low(at), micros(half_s));
        let (mut older, mut newer) = (Sum::at(self.bin.mass), Sum::at(self.bin.mass));
        let both = half.saturating_mul(2);
        self.newest_first(|entry| {
            let age = at.wrapping_sub(entry.us);
            if age < half {
                newer.add(entry.mass);
            } else if age < both {
                older.add(entry.mass);
            }
            age < both
        });
        Some(Halves {
            older: older.mean()?,
            newer: newer.mean()?,
        })
    }

    /// The mean of the `span_s` seconds that end `gap_s` before `at`, as far as they are known.
    #[must_use]
    pub fn mean(&self, at: Instant, gap_s: f32, span_s: f32) -> Option<Mean> {
        let (at, gap) = (low(at), micros(gap_s));
        let end = gap.saturating_add(micros(span_s));
        let mut sum = Sum::at(self.bin.mass);
        self.newest_first(|entry| {
            let age = at.wrapping_sub(entry.us);
            if age >= gap && age < end {
                sum.add(entry.mass);
            }
            age < end
        });
        sum.mean()
    }

    /// From the first entry above `low`, as far back as they go, to the last below `high`, seconds:
    /// how long a rise took at least. For ever, where it began before all of them.
    #[must_use]
    pub fn rise_s(&self, at: Instant, low: Grams, high: Grams) -> f32 {
        let at = self::low(at);
        let (mut begun, mut ended, mut whole) = (0, None, false);
        self.newest_first(|entry| {
            let age = at.wrapping_sub(entry.us);
            if entry.mass > low.0 {
                begun = age;
            }
            whole |= entry.mass <= low.0;
            if entry.mass < high.0 {
                ended.get_or_insert(age);
            }
            true
        });
        if whole {
            1e-6 * begun.saturating_sub(ended.unwrap_or(0)) as f32
        } else {
            f32::INFINITY
        }
    }

    /// Shows every entry, newest first, while `wants_more` says so. Plain loops over the two
    /// slices of the ring: they take a third of what chained iterators do.
    #[inline(always)]
    fn newest_first(&self, mut wants_more: impl FnMut(&Entry) -> bool) {
        if self.bin_count == 0 || !wants_more(&self.bin) {
            return;
        }
        let (older, newer) = self.entries.as_slices();
        for entry in newer.iter().rev() {
            if !wants_more(entry) {
                return;
            }
        }
        for entry in older.iter().rev() {
            if !wants_more(entry) {
                return;
            }
        }
    }
}

impl Default for Window {
    fn default() -> Self {
        Self::new()
    }
}

/// Sums about a reference, so that `f32` keeps milligrams on top of a kilogram.
struct Sum {
    reference: f32,
    sum: f32,
    squares: f32,
    count: u16,
}

impl Sum {
    const fn at(reference: f32) -> Self {
        Self {
            reference,
            sum: 0.0,
            squares: 0.0,
            count: 0,
        }
    }

    fn add(&mut self, mass: f32) {
        let y = mass - self.reference;
        self.sum += y;
        self.squares += y * y;
        self.count = self.count.saturating_add(1);
    }

    fn mean(&self) -> Option<Mean> {
        if self.count == 0 {
            return None;
        }
        let n = f32::from(self.count);
        let mean = self.sum / n;
        let variance = ((self.squares - self.sum * mean) / (n - 1.0).max(1.0)).max(0.0);
        Some(Mean {
            mass: Grams(self.reference + mean),
            variance,
            count: self.count,
        })
    }
}

fn low(at: Instant) -> u32 {
    // Truncation is meant.
    at.micros() as u32
}

/// Seconds to microseconds; the cast saturates.
fn micros(seconds: f32) -> u32 {
    (seconds * 1e6) as u32
}
