//! Chance, seeded: one generator per sub-process, so that a new process does not shift the
//! draws of another.

use rand::{RngExt, SeedableRng};
use rand_distr::{Distribution, Exp1, StandardNormal};
use rand_pcg::Pcg64;

/// The sub-processes that draw, each with a number of its own that must never be reused.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[repr(u64)]
pub enum Process {
    /// Cell, converter and bench as built.
    Device = 1,
    /// Noise of cell and converter.
    ConverterNoise = 2,
    /// Time between "conversion ready" and its reading.
    ReadJitter = 3,
    /// Walk of the zero.
    ZeroWalk = 4,
    /// Vibration of the bench.
    Vibration = 5,
    /// Fan draught.
    Draught = 6,
    /// Knocks.
    Knocks = 7,
    /// Roughness of the jet.
    Jet = 8,
    /// One pour of one bottle.
    Bottle = 9,
    /// Dashes.
    Dash = 10,
    /// Vessels and where they are set down.
    Vessels = 11,
    /// Ice.
    Ice = 12,
    /// Slosh.
    Slosh = 13,
    /// Hands touching the pan.
    Touch = 14,
    /// What a hand is like.
    HandNature = 15,
    /// One pour of one hand.
    HandPour = 16,
    /// Fetching, carrying and other times around a pour.
    Fetch = 17,
    /// Hidden parameters scaled at random.
    Hidden = 18,
    /// What a trial varies from pour to pour.
    Trial = 19,
    /// A spoon that stirs.
    Stirring = 20,
    /// Hands that rest on the pan.
    Resting = 21,
}

/// A stream of draws.
#[derive(Clone, Debug)]
pub struct Draws(Pcg64);

impl Draws {
    /// The stream of `process` under `seed`; `nth` tells pours or hands of one process apart.
    #[must_use]
    pub fn new(seed: u64, process: Process, nth: u64) -> Self {
        // Two generators with one state and different increments start alike, so the state is
        // made of all three numbers.
        let mixed = spread(seed ^ spread(process as u64 ^ spread(nth)));
        let mut bytes = [0_u8; 32];
        for (index, chunk) in bytes.chunks_exact_mut(8).enumerate() {
            chunk.copy_from_slice(&spread(mixed.wrapping_add(index as u64)).to_le_bytes());
        }
        Self(Pcg64::from_seed(bytes))
    }

    /// Uniform in 0..1.
    pub fn unit(&mut self) -> f64 {
        self.0.random()
    }

    /// Uniform between `low` and `high`.
    pub fn between(&mut self, low: f64, high: f64) -> f64 {
        low + (high - low) * self.unit()
    }

    /// True in a share of `share`.
    pub fn chance(&mut self, share: f64) -> bool {
        self.unit() < share
    }

    /// A standard normal.
    pub fn normal(&mut self) -> f64 {
        StandardNormal.sample(&mut self.0)
    }

    /// An exponential of mean `mean`.
    pub fn exponential(&mut self, mean: f64) -> f64 {
        let one: f64 = Exp1.sample(&mut self.0);
        one * mean
    }

    /// A normal plus an exponential.
    pub fn ex_gaussian(&mut self, mu: f64, sigma: f64, tau: f64) -> f64 {
        let normal = self.normal();
        mu + sigma * normal + self.exponential(tau)
    }

    /// A gamma of mean `mean` and standard deviation `sd`.
    pub fn gamma(&mut self, mean: f64, sd: f64) -> f64 {
        let shape = (mean / sd).powi(2);
        rand_distr::Gamma::new(shape, mean / shape).map_or(mean, |law| law.sample(&mut self.0))
    }

    /// A Poisson count of mean `mean`.
    pub fn poisson(&mut self, mean: f64) -> usize {
        rand_distr::Poisson::new(mean).map_or(0, |law| {
            let count: f64 = law.sample(&mut self.0);
            count as usize
        })
    }

    /// A seed for something drawn in its turn.
    pub fn seed(&mut self) -> u64 {
        self.0.random()
    }
}

/// A finaliser that spreads every bit over the word (splitmix64's, S. Vigna, public domain).
fn spread(word: u64) -> u64 {
    let mut z = word.wrapping_add(0x9e37_79b9_7f4a_7c15);
    z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
    z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
    z ^ (z >> 31)
}
