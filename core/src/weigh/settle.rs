//! The settled value of a pour: early, amended, final.
//!
//! The statistic is the difference of two neighbouring half-windows of [`SETTLE_HALF_S`]. Slosh is
//! taken to lie within 2 to 10 Hz and nothing more is assumed of it. The statistic is armed once
//! the flow has fallen (see [`super::pan`]), so the fall of the jet force is behind it.

use crate::limits::{
    AMEND_G, DRIP_THICK_S, DRIP_THIN_S, DRIP_UNKNOWN_S, LATE_DROP_G, LATE_THREAD_G, SETTLE_G,
    SETTLE_HALF_S, SIGMA_FLOOR_G, SIGMA_SHARE, STEADY_SPAN_S,
};
use crate::output::Settled;
use crate::time::Instant;
use crate::units::Grams;

use super::window::{Halves, Window};

/// What blurs a reading, g^2.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Noise {
    /// Variance of one entry of the window.
    pub sample: f32,
    /// Variance of any mean of them about the true level, however many: draughts.
    pub wander: f32,
}

/// How a liquid drips after the stop.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub enum Body {
    /// Not known.
    #[default]
    Unknown,
    /// Spirits, wines, juices.
    Thin,
    /// Syrups.
    Thick,
}

impl Body {
    /// How long after the flow drips may still come, seconds.
    #[must_use]
    pub const fn drip_s(self) -> f32 {
        match self {
            Self::Unknown => DRIP_UNKNOWN_S,
            Self::Thin => DRIP_THIN_S,
            Self::Thick => DRIP_THICK_S,
        }
    }

    const fn late(self) -> Grams {
        match self {
            Self::Thin => Grams(LATE_DROP_G),
            Self::Unknown | Self::Thick => Grams(LATE_THREAD_G),
        }
    }
}

/// A value that has become known.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Settling {
    /// First.
    Landed(Settled),
    /// It has changed since.
    Amended(Settled),
    /// Nothing more comes.
    Steady(Settled),
}

/// One pour on its way to a settled value.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Settle {
    /// The level before the pour.
    pub base: Grams,
    base_variance: f32,
    /// When the flow ended.
    ended: Instant,
    body: Body,
    half_s: f32,
    told: Option<Settled>,
    checked: Instant,
}

/// Between two looks for an amendment, seconds.
const LOOK_S: f32 = 0.1;
/// An unsettled pour is told after this all the same, with the sigma it has, seconds.
const PATIENCE_S: f32 = 3.0;

impl Settle {
    /// A pour on top of `base` whose flow ended at `ended`.
    #[must_use]
    pub const fn new(base: Grams, base_variance: f32, ended: Instant, body: Body) -> Self {
        Self {
            base,
            base_variance,
            ended,
            body,
            half_s: SETTLE_HALF_S,
            told: None,
            checked: ended,
        }
    }

    /// Compares half-windows of this length, seconds, for the first value.
    pub fn patient(&mut self, half_s: f32) {
        self.half_s = half_s;
    }

    /// The last value told.
    #[must_use]
    pub const fn told(&self) -> Option<Settled> {
        self.told
    }

    /// Looks at the samples up to `at`; what has become known, if anything.
    pub fn look(
        &mut self,
        window: &Window,
        at: Instant,
        period_s: f32,
        noise: Noise,
    ) -> Option<Settling> {
        match self.told {
            None => self.first(window, at, period_s, noise),
            Some(told) => {
                if at.seconds_since(self.checked) < LOOK_S {
                    return None;
                }
                self.checked = at;
                self.later(window, at, period_s, noise, told)
            }
        }
    }

    fn first(
        &mut self,
        window: &Window,
        at: Instant,
        period_s: f32,
        noise: Noise,
    ) -> Option<Settling> {
        let half = self.half_s.max(2.0 * period_s);
        let since = at.seconds_since(self.ended);
        if since < 2.0 * half {
            return None;
        }
        let Halves { older, newer } = window.halves(at, half)?;
        let difference = (newer.mass - older.mass).0;
        let sampled = noise.sample / f32::from(newer.count);
        let spread = libm::sqrtf(sampled + noise.sample / f32::from(older.count));
        let variance = sampled + noise.wander;
        if difference.abs() > SETTLE_G + 1.5 * spread && since < PATIENCE_S {
            return None;
        }
        let late = self.body.late().0;
        let settled = self.settled(
            newer.mass,
            variance + 0.25 * difference * difference + late * late,
        );
        self.told = Some(settled);
        self.checked = at;
        Some(Settling::Landed(settled))
    }

    fn later(
        &mut self,
        window: &Window,
        at: Instant,
        period_s: f32,
        noise: Noise,
        told: Settled,
    ) -> Option<Settling> {
        let over = at.seconds_since(self.ended) >= self.body.drip_s();
        let half = if over {
            STEADY_SPAN_S
        } else {
            STEADY_SPAN_S / 2.0
        }
        .max(2.0 * period_s);
        let Halves { older, newer } = window.halves(at, half)?;
        let sampled = noise.sample / f32::from(newer.count);
        let spread = libm::sqrtf(sampled + noise.sample / f32::from(older.count));
        let variance = sampled + noise.wander;
        if (newer.mass - older.mass).abs().0 > SETTLE_G + 2.0 * spread {
            return None;
        }
        if over {
            let settled = self.settled(newer.mass, variance);
            self.told = Some(settled);
            return Some(Settling::Steady(settled));
        }
        let late = self.body.late().0;
        let settled = self.settled(newer.mass, variance + 0.25 * late * late);
        let change = (settled.mass - told.mass).abs().0;
        if change < AMEND_G || change < 2.0 * libm::sqrtf(variance + self.base_variance) {
            return None;
        }
        self.told = Some(settled);
        Some(Settling::Amended(settled))
    }

    fn settled(&self, reading: Grams, variance: f32) -> Settled {
        let mass = reading - self.base;
        let share = SIGMA_SHARE * mass.0;
        let sigma = libm::sqrtf(
            variance + self.base_variance + SIGMA_FLOOR_G * SIGMA_FLOOR_G + share * share,
        );
        Settled {
            mass,
            sigma: Grams(sigma),
        }
    }
}
