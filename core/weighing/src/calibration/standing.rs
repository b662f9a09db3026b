//! When a pan stands still, and at which code.
//!
//! Codes are averaged over blocks of half a second; the pan stands still when the means of the
//! last twelve blocks lie together as closely as the scatter within a block explains. The noise
//! is the pan's own, so that no factor needs to be known beforehand. A broken read makes one
//! block stand out and costs another standing time, no more.

use heapless::Deque;

use crate::limits::{CODE_MAX, CODE_MIN};
use crate::time::Instant;
use crate::units::AdcCode;

/// Length of a block, seconds: several periods of vibration, five conversions at the slowest.
pub const BLOCK_S: f32 = 0.5;
/// Blocks that must agree.
pub const BLOCKS: usize = 12;
/// How long a pan must have been still, seconds.
pub const STANDING_S: f32 = 6.0;
/// Means of blocks may spread over so many standard errors of one. Twelve of them spread over
/// 3.3 on average (tables of the range of a normal sample); neighbouring conversions share
/// noise, which makes the scatter of means up to 1.7 times as large (three boxcars of sinc3).
const SPREAD_SIGMAS: f64 = 10.0;
/// ... and over so much of the load, for creep while it stands (design).
const SPREAD_SHARE: f64 = 3e-4;
/// ... and over two codes: a converter without noise.
const SPREAD_CODES: f64 = 2.0;

/// A code at which the pan stood still.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Level {
    /// Mean, codes.
    pub code: f64,
    /// Standard error of the mean, codes, from the scatter of the blocks.
    pub sigma: f64,
    /// Drift while it stood, codes per second.
    pub drift: f64,
}

#[derive(Clone, Copy, Debug)]
struct Block {
    mean: f64,
    /// Variance of its mean, had its codes nothing in common.
    variance: f64,
}

/// The last seconds of a pan.
#[derive(Clone, Debug, Default)]
pub struct Standing {
    begun: Option<Instant>,
    first: f64,
    count: u32,
    sum: f64,
    squares: f64,
    rails: u32,
    blocks: Deque<Block, BLOCKS>,
}

impl Standing {
    /// Nothing seen.
    #[must_use]
    pub const fn new() -> Self {
        Self {
            begun: None,
            first: 0.0,
            count: 0,
            sum: 0.0,
            squares: 0.0,
            rails: 0,
            blocks: Deque::new(),
        }
    }

    /// Forgets what was seen.
    pub fn clear(&mut self) {
        *self = Self::new();
    }

    /// Codes at either end of the range, in a row.
    #[must_use]
    pub const fn rails(&self) -> u32 {
        self.rails
    }

    /// Takes a code; true when a block is complete.
    pub fn take(&mut self, now: Instant, code: AdcCode) -> bool {
        if code.0 >= CODE_MAX || code.0 <= CODE_MIN {
            self.rails = self.rails.saturating_add(1);
            return false;
        }
        self.rails = 0;
        let begun = *self.begun.get_or_insert(now);
        if self.count == 0 {
            self.first = f64::from(code.0);
        }
        // About the first of the block: squares of whole codes would lose digits.
        let off = f64::from(code.0) - self.first;
        self.count = self.count.saturating_add(1);
        self.sum += off;
        self.squares += off * off;
        let lasted = now.seconds_since(begun);
        if lasted < BLOCK_S {
            return false;
        }
        // A gap makes the standing time worthless.
        if lasted > 2.0 * BLOCK_S {
            self.blocks.clear();
        }
        let n = f64::from(self.count);
        let mean = self.sum / n;
        let block = Block {
            mean: self.first + mean,
            variance: ((self.squares / n - mean * mean) / (n - 1.0).max(1.0)).max(0.0),
        };
        if self.blocks.is_full() {
            let _ = self.blocks.pop_front();
        }
        let _ = self.blocks.push_back(block);
        self.begun = Some(now);
        self.count = 0;
        self.sum = 0.0;
        self.squares = 0.0;
        true
    }

    /// The last block, codes.
    #[must_use]
    pub fn latest(&self) -> Option<f64> {
        self.blocks.back().map(|block| block.mean)
    }

    /// Where the pan stands, if it stands still; `empty` is the code of the empty pan, where known.
    #[must_use]
    pub fn level(&self, empty: Option<f64>) -> Option<Level> {
        let level = self.mean()?;
        let means = || self.blocks.iter().map(|block| block.mean);
        let most = means().fold(f64::MIN, f64::max);
        let least = means().fold(f64::MAX, f64::min);
        let load = empty.map_or(0.0, |empty| (level.code - empty).abs());
        let noise = libm::sqrt(self.usual_variance());
        let allowed = (SPREAD_SIGMAS * noise + SPREAD_SHARE * load).max(SPREAD_CODES);
        (most - least <= allowed).then_some(level)
    }

    /// The mean of the standing time, still or not; `None` before it has passed.
    #[must_use]
    pub fn mean(&self) -> Option<Level> {
        if !self.blocks.is_full() {
            return None;
        }
        let n = BLOCKS as f64;
        let middle = (n - 1.0) / 2.0;
        let code = self.blocks.iter().map(|block| block.mean).sum::<f64>() / n;
        let (mut along, mut across, mut squares) = (0.0, 0.0, 0.0);
        for (place, block) in (0_u32..).zip(&self.blocks) {
            let place = f64::from(place) - middle;
            along += place * place;
            across += place * (block.mean - code);
            squares += (block.mean - code) * (block.mean - code);
        }
        let slope = across / along;
        let scatter = (squares - slope * across).max(0.0) / (n - 2.0);
        // Not below what rounding to whole codes leaves.
        let variance = scatter.max(self.usual_variance()).max(1.0 / 12.0);
        Some(Level {
            code,
            sigma: libm::sqrt(variance / n),
            drift: slope / f64::from(BLOCK_S),
        })
    }

    /// The middle one of the blocks' variances: a move within one block leaves it alone.
    fn usual_variance(&self) -> f64 {
        let below = |bound: f64| {
            self.blocks
                .iter()
                .filter(|block| block.variance < bound)
                .count()
        };
        self.blocks
            .iter()
            .map(|block| block.variance)
            .filter(|&variance| below(variance) <= BLOCKS / 2)
            .fold(0.0, f64::max)
    }
}
