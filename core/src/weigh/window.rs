//! The last seconds of samples, thinned to a bounded rate.

use heapless::Deque;

use crate::time::Instant;
use crate::units::Grams;

/// Entries kept: 1.6 s at 80 conversions a second.
pub const WINDOW_LEN: usize = 128;
/// Samples closer together than this are averaged into one entry, seconds.
const BIN_S: f32 = 0.009;

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

#[derive(Clone, Copy, Debug, PartialEq)]
struct Entry {
    at: Instant,
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
            bin: Entry {
                at: Instant::ZERO,
                mass: 0.0,
            },
            bin_count: 0,
        }
    }

    /// Forgets everything.
    pub fn clear(&mut self) {
        self.entries.clear();
        self.bin_count = 0;
    }

    /// Takes a sample that belongs to `at`; true when an entry was closed.
    pub fn push(&mut self, at: Instant, mass: Grams) -> bool {
        if self.bin_count > 0 && at.seconds_since(self.bin.at) < BIN_S {
            self.bin_count = self.bin_count.saturating_add(1);
            self.bin.mass += (mass.0 - self.bin.mass) / f32::from(self.bin_count);
            return false;
        }
        let closed = self.bin_count > 0;
        if closed {
            if self.entries.is_full() {
                self.entries.pop_front();
            }
            // There is room: one was dropped above.
            let _ = self.entries.push_back(self.bin);
        }
        self.bin = Entry { at, mass: mass.0 };
        self.bin_count = 1;
        closed
    }

    /// The mean of the entries after `from` up to and including `to`.
    #[must_use]
    pub fn mean(&self, from: Instant, to: Instant) -> Option<Mean> {
        let mut count = 0u16;
        let mut reference = 0.0;
        let mut sum = 0.0;
        let mut squares = 0.0;
        let open = (self.bin_count > 0).then_some(&self.bin);
        for entry in open.into_iter().chain(self.entries.iter().rev()) {
            if entry.at <= from {
                break;
            }
            if entry.at > to {
                continue;
            }
            if count == 0 {
                reference = entry.mass;
            }
            let y = entry.mass - reference;
            sum += y;
            squares += y * y;
            count = count.saturating_add(1);
        }
        if count == 0 {
            return None;
        }
        let n = f32::from(count);
        let mean = sum / n;
        let variance = ((squares - sum * mean) / (n - 1.0).max(1.0)).max(0.0);
        Some(Mean {
            mass: Grams(reference + mean),
            variance,
            count,
        })
    }

    /// When the oldest entry was taken.
    #[must_use]
    pub fn oldest(&self) -> Option<Instant> {
        self.entries.front().map(|entry| entry.at)
    }
}

impl Default for Window {
    fn default() -> Self {
        Self::new()
    }
}
