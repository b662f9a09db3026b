//! What blurs a resting reading: noise from sample to sample, and draughts, which are slower.
//!
//! While nothing happens, means over blocks of [`WANDER_BLOCK_S`] are taken. The two halves of a
//! block differ by the noise of samples; a block differs from the last but one by that and, on top,
//! by what a draught has changed meanwhile. Half the square of the one is twice what noise makes of
//! the block's mean; half the square of the other, less that, times [`DRAUGHT_SEEN`], is the
//! variance of a short mean by draughts. Both fade over [`WANDER_BLOCKS`] blocks, so that a door
//! that was opened is learned within a dozen seconds of rest. Nothing is known of what is slower:
//! that is creep, and small.

use crate::limits::{
    DRAUGHT_IN_WHITE, DRAUGHT_SEEN, WANDER_BLOCK_S, WANDER_BLOCKS, WANDER_FEW, WANDER_MOST_G,
    WANDER_SEEN, WANDER_START_BLOCKS, WANDER_START_G, WHITE_START,
};
use crate::time::Instant;
use crate::units::Grams;

use super::super::settle::Noise;

/// The wander of a resting reading.
#[derive(Clone, Copy, Debug)]
pub(super) struct Wander {
    noise: Noise,
    blocks: f32,
    began: Option<Instant>,
    reference: f32,
    /// Sums and counts of the two halves of the block.
    halves: [(f32, f32); 2],
    /// What the last mean told, believed once the one after it was at rest too: a pour rises, and
    /// a vessel leaves, for a while before it is seen.
    pending: Option<Noise>,
    /// The last means, newest last.
    means: [Option<f32>; 2],
}

impl Wander {
    pub(super) const fn new() -> Self {
        Self {
            noise: Noise {
                white: WHITE_START,
                draught: WANDER_START_G * WANDER_START_G,
            },
            blocks: WANDER_START_BLOCKS,
            began: None,
            reference: 0.0,
            halves: [(0.0, 0.0); 2],
            pending: None,
            means: [None; 2],
        }
    }

    /// What blurs a reading now: a variance known from few blocks may be more than it seems.
    pub(super) fn noise(&self) -> Noise {
        let Noise { white, draught } = self.noise;
        let draught = draught.max(0.0);
        Noise {
            white: (white - DRAUGHT_IN_WHITE * draught).max(0.3 * white),
            draught: draught * (1.0 + WANDER_FEW / self.blocks),
        }
    }

    /// Variance by draughts, as large as a fan makes it until enough has been seen of this bench.
    pub(super) fn cautious(&self) -> f32 {
        if self.blocks < WANDER_SEEN {
            WANDER_MOST_G * WANDER_MOST_G
        } else {
            self.noise.draught.max(0.0)
        }
    }

    /// Something happens: what comes after is not compared with what was before.
    pub(super) fn disturb(&mut self) {
        self.began = None;
        self.pending = None;
        self.means = [None; 2];
    }

    /// One more sample of a resting pan.
    pub(super) fn rest(&mut self, at: Instant, raw: Grams) {
        let began = match self.began {
            Some(began) => began,
            None => {
                self.began = Some(at);
                self.reference = raw.0;
                self.halves = [(0.0, 0.0); 2];
                at
            }
        };
        let seconds = at.seconds_since(began);
        let [mut first, mut second] = self.halves;
        let half = if seconds < 0.5 * WANDER_BLOCK_S {
            &mut first
        } else {
            &mut second
        };
        half.0 += raw.0 - self.reference;
        half.1 += 1.0;
        self.halves = [first, second];
        if seconds < WANDER_BLOCK_S || second.1 < 1.0 {
            return;
        }
        let (first, second) = (first.0 / first.1, second.0 / second.1);
        let mean = self.reference + 0.5 * (first + second);
        let [oldest, last] = self.means;
        if let Some(oldest) = oldest {
            let (apart, near) = (mean - oldest, first - second);
            let white = 0.25 * near * near;
            let own = Noise {
                white: white * WANDER_BLOCK_S,
                // May be negative: clipped here, a quiet bench would seem to wander.
                draught: DRAUGHT_SEEN * (0.5 * apart * apart - white),
            };
            if let Some(before) = self.pending.replace(own) {
                self.blocks = (self.blocks + 1.0).min(WANDER_BLOCKS);
                self.noise.white += (before.white - self.noise.white) / self.blocks;
                self.noise.draught += (before.draught - self.noise.draught) / self.blocks;
            }
        }
        self.means = [last, Some(mean)];
        self.began = None;
    }
}
