//! How far a resting reading wanders: draughts, a fan, whatever moves slower than samples.
//!
//! While nothing happens, means over [`WANDER_BLOCK_S`] are compared with the mean 1.5 s before, by
//! when a draught has forgotten itself. Half the square of the difference, less what the noise of
//! samples makes of it, is an estimate of the variance of such a mean about the true level. It
//! fades over some twenty means, so that a door that was opened is learned within ten seconds of
//! rest. Nothing is known of what is slower: that is creep, and small.

use crate::limits::{WANDER_BLOCK_S, WANDER_BLOCKS, WANDER_MOST_G, WANDER_SEEN, WANDER_START_G};
use crate::time::Instant;
use crate::units::Grams;

/// The wander of a resting reading.
#[derive(Clone, Copy, Debug)]
pub(super) struct Wander {
    variance: f32,
    blocks: f32,
    began: Option<Instant>,
    reference: f32,
    sum: f32,
    count: u16,
    /// What the last mean told, believed once the one after it was at rest too: a pour rises
    /// for a while before it is seen.
    pending: Option<f32>,
    /// The last means, newest last.
    means: [Option<f32>; 3],
}

impl Wander {
    pub(super) const fn new() -> Self {
        Self {
            variance: WANDER_START_G * WANDER_START_G,
            blocks: 2.0,
            began: None,
            reference: 0.0,
            sum: 0.0,
            count: 0,
            pending: None,
            means: [None; 3],
        }
    }

    /// Variance of a short mean about the true level, g^2.
    pub(super) const fn variance(&self) -> f32 {
        self.variance.max(0.0)
    }

    /// The same, as large as a draught makes it until enough has been seen of this bench.
    pub(super) fn cautious(&self) -> f32 {
        if self.blocks < WANDER_SEEN {
            WANDER_MOST_G * WANDER_MOST_G
        } else {
            self.variance()
        }
    }

    /// Something happens: what comes after is not compared with what was before.
    pub(super) fn disturb(&mut self) {
        self.began = None;
        self.pending = None;
        self.means = [None; 3];
    }

    /// One more sample of a resting pan.
    pub(super) fn rest(&mut self, at: Instant, raw: Grams, noise_variance: f32) {
        let Some(began) = self.began else {
            self.began = Some(at);
            self.reference = raw.0;
            self.sum = 0.0;
            self.count = 1;
            return;
        };
        self.sum += raw.0 - self.reference;
        self.count = self.count.saturating_add(1);
        if at.seconds_since(began) < WANDER_BLOCK_S {
            return;
        }
        let count = f32::from(self.count);
        let mean = self.reference + self.sum / count;
        let [oldest, older, last] = self.means;
        if let Some(oldest) = oldest {
            let difference = mean - oldest;
            // May be negative: clipped here, a quiet bench would seem to wander.
            let own = 0.5 * difference * difference - noise_variance / count;
            if let Some(before) = self.pending.replace(own) {
                self.blocks = (self.blocks + 1.0).min(WANDER_BLOCKS);
                self.variance += (before - self.variance) / self.blocks;
            }
        }
        self.means = [older, last, Some(mean)];
        self.began = None;
    }
}
