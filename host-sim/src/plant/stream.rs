//! Liquid in the air: it leaves the spout, falls, and arrives with a momentum.

use super::draw::Draws;
use super::liquid::LiquidRef;

/// Standard gravity, m/s2.
pub const GRAVITY: f64 = 9.806_65;

/// What lands in one time step. Two liquids that land in the same step count as the later one.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Landing {
    /// Of what.
    pub liquid: LiquidRef,
    /// Grams.
    pub grams: f64,
    /// Gram metres per second.
    pub momentum: f64,
}

/// Time steps that can lie between spout and surface: over half a second at 0.7 ms.
const SLOTS: usize = 1024;

/// Everything between spout and surface.
#[derive(Clone, Debug)]
pub struct Stream {
    slots: Vec<Landing>,
    at: usize,
    dt: f64,
    in_air_g: f64,
    roughness: Roughness,
}

impl Stream {
    /// Empty air, stepped every `dt` seconds.
    #[must_use]
    pub fn new(dt: f64, jet_roughness: f64, draws: Draws) -> Self {
        Self {
            slots: vec![Landing::default(); SLOTS],
            at: 0,
            dt,
            in_air_g: 0.0,
            roughness: Roughness::new(dt, jet_roughness, draws),
        }
    }

    /// Grams in the air.
    #[must_use]
    pub fn in_air_g(&self) -> f64 {
        self.in_air_g
    }

    /// Lets `grams` go at `speed_m_s` downwards, `fall_m` above the surface.
    pub fn release(&mut self, liquid: LiquidRef, grams: f64, speed_m_s: f64, fall_m: f64) {
        let arrival = (speed_m_s * speed_m_s + 2.0 * GRAVITY * fall_m).sqrt();
        let fall_s = (arrival - speed_m_s) / GRAVITY;
        let steps = (fall_s / self.dt).min((SLOTS - 3) as f64);
        let whole = steps.floor();
        let later = steps - whole;
        for (offset, share) in [(0, 1.0 - later), (1, later)] {
            let slot = (self.at + whole as usize + offset) % SLOTS;
            self.slots[slot].liquid = liquid;
            self.slots[slot].grams += grams * share;
            self.slots[slot].momentum += grams * share * arrival;
        }
        self.in_air_g += grams;
    }

    /// What lands in this time step, and its force in grams as the jet's roughness bends it.
    pub fn land(&mut self) -> (Landing, f64) {
        let landing = std::mem::take(&mut self.slots[self.at]);
        self.at = (self.at + 1) % SLOTS;
        if landing.grams <= 0.0 {
            return (landing, 0.0);
        }
        self.in_air_g = (self.in_air_g - landing.grams).max(0.0);
        let steady_g = landing.momentum / (GRAVITY * self.dt);
        (landing, steady_g * (1.0 + self.roughness.step()))
    }
}

/// A jet does not arrive evenly: noise between 8 and 60 Hz.
#[derive(Clone, Debug)]
struct Roughness {
    fast: f64,
    slow: f64,
    fast_share: f64,
    slow_share: f64,
    gain: f64,
    draws: Draws,
}

impl Roughness {
    fn new(dt: f64, rms: f64, draws: Draws) -> Self {
        let share = |hz: f64| 1.0 - (-std::f64::consts::TAU * hz * dt).exp();
        let (fast_share, slow_share) = (share(60.0), share(8.0));
        Self {
            fast: 0.0,
            slow: 0.0,
            fast_share,
            slow_share,
            gain: rms / band_rms(fast_share, slow_share),
            draws,
        }
    }

    fn step(&mut self) -> f64 {
        let white = self.draws.normal();
        self.fast += self.fast_share * (white - self.fast);
        self.slow += self.slow_share * (white - self.slow);
        self.gain * (self.fast - self.slow)
    }
}

/// Root mean square of the difference of two one-pole low passes of one white noise of unit
/// variance; each is `y += share * (white - y)`.
#[must_use]
pub fn band_rms(fast_share: f64, slow_share: f64) -> f64 {
    let (a, b) = (fast_share, slow_share);
    let fast = a / (2.0 - a);
    let slow = b / (2.0 - b);
    let both = a * b / (1.0 - (1.0 - a) * (1.0 - b));
    (fast + slow - 2.0 * both).sqrt()
}
