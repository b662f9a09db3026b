//! The settled value of a pour: early, amended, final.
//!
//! The statistic is the difference of two neighbouring half-windows. They grow with the time since the
//! flow ended, from [`SETTLE_HALF_S`] to [`SETTLE_HALF_MOST_S`], and nothing is told before noise and
//! tail leave no more than [`SETTLE_QUIET_G`] in what they give together (`Blend`), or that has not come
//! true within [`SETTLE_QUIET_MOST_S`]. It is armed once the flow has fallen (see [`super::pan`]), so the
//! fall of the jet force is behind it; where the halves disagreed once, a thread or drops are about, and
//! they must agree for [`SETTLE_HOLD_S`].
//!
//! What passes, of slosh taken to lie within 2 to 10 Hz and nothing more: a mean over 0.2 s passes
//! at most 0.21 of a 4.5 Hz swing and 0.1 of a 9 Hz one, where slosh acts on the cell; of a 2.4 Hz
//! one, felt off the centre, 0.66, and over 0.4 s 0.04.
//!
//! Each value is what had landed when it was told, not what is still to drip, and its sigma is
//! about that. The sigma is made of: noise from sample to sample and draught, both learned at rest
//! ([`Noise`]), in this mean and in the level before; what the tail may have brought unseen; what the
//! samples scatter by beyond that noise, so that a knock just now widens it; and [`POUR_FLOOR_G`] and
//! [`SIGMA_SHARE`].

use serde::{Deserialize, Serialize};

use crate::limits::{
    AMEND_G, DRAUGHT_FADES_PER_S, DRAUGHT_LEAST_SHARE, DRIP_THICK_S, DRIP_THIN_S, DRIP_UNKNOWN_S,
    DROPS_FADE_S, POUR_FLOOR_G, SCATTER_SHARE, SETTLE_APART_S, SETTLE_DRAUGHT_SHARE, SETTLE_G,
    SETTLE_HALF_MOST_S, SETTLE_HALF_S, SETTLE_HOLD_S, SETTLE_LOUD_G, SETTLE_PERIODS,
    SETTLE_QUIET_G, SETTLE_QUIET_MOST_S, SETTLE_SPREADS, SIGMA_SHARE, STEADY_SPAN_S, TAIL_THICK,
    TAIL_THIN, TAIL_UNKNOWN, THREAD_FADES_S,
};
use crate::time::Instant;
use crate::units::{Grams, deviation};

use super::window::{Halves, Window};

/// A settled mass with its standard uncertainty.
#[derive(Clone, Copy, Debug, Default, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub struct Settled {
    /// What has landed since the pour began.
    pub mass: Grams,
    /// One standard deviation of it.
    pub sigma: Grams,
}

/// What blurs a reading.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Noise {
    /// Variance of a mean over one second by what differs from sample to sample, g^2 s.
    pub white: f32,
    /// Variance of any short mean about the true level: draughts, g^2.
    pub draught: f32,
}

impl Noise {
    /// Variance of a mean over `span_s`, g^2: a draught forgets itself within a second or so.
    #[must_use]
    pub fn of_mean(self, span_s: f32) -> f32 {
        self.white / span_s + self.draught * faded(span_s)
    }
}

/// What is left of a draught's variance in a mean over `span_s`.
fn faded(span_s: f32) -> f32 {
    (1.0 - DRAUGHT_FADES_PER_S * span_s).max(DRAUGHT_LEAST_SHARE)
}

/// Loud, as a variance.
const LOUD: f32 = SETTLE_LOUD_G * SETTLE_LOUD_G;

/// What the samples of two halves scatter by adds to the variance of the mean of one that noise
/// alone makes, g^2: slosh, a knock that rings on, a drop striking.
fn excess(halves: &Halves, white: f32) -> f32 {
    let Halves { older, newer } = halves;
    let scatter = SCATTER_SHARE * (older.variance + newer.variance) / f32::from(newer.count);
    (scatter - white).max(0.0)
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

    const fn tail(self) -> Tail {
        let (mean, scatter, thread) = match self {
            Self::Unknown => TAIL_UNKNOWN,
            Self::Thin => TAIL_THIN,
            Self::Thick => TAIL_THICK,
        };
        Tail {
            drops: (mean, scatter),
            thread,
        }
    }
}

/// What still comes after the flow.
#[derive(Clone, Copy, Debug, PartialEq)]
struct Tail {
    /// Mean of drops, grams per second, and what they scatter, g^2/s.
    drops: (f32, f32),
    /// Flow of a thread when the pour ends, grams per second, one standard deviation.
    thread: f32,
}

/// What it brings from one half-window to the next: mean, grams, and variance, g^2.
#[derive(Clone, Copy, Debug, PartialEq)]
struct Brought {
    mean: f32,
    variance: f32,
}

impl Tail {
    /// Within `half_s`, `age_s` after the flow.
    fn within(self, half_s: f32, age_s: f32) -> Brought {
        let drops = half_s * libm::expf(-age_s / DROPS_FADE_S);
        let thread = self.thread * half_s * libm::expf(-age_s / THREAD_FADES_S);
        Brought {
            mean: self.drops.0 * drops,
            variance: self.drops.1 * drops + thread * thread,
        }
    }
}

/// What stands there now, out of two halves `o` and `n`: `n + c (n - o) + (1/2 - c) m`.
///
/// Between the two the tail brought `T`, of mean `m` and variance `t`; by now it has brought half of
/// that since the middle of the newer half. Each half has the variance `w` by noise. Then the least
/// variance is at `c = (t/2 - w) / (2 w + t)`: without a tail `c = -1/2`, the mean of both halves; where
/// the tail outweighs the noise `c = 1/2`, and the line through both is followed to its end.
#[derive(Clone, Copy, Debug, PartialEq)]
struct Blend {
    c: f32,
    mean: f32,
    /// Of what is told, g^2; and what of it the tail makes.
    variance: f32,
    by_tail: f32,
}

impl Blend {
    fn of(white: f32, tail: Brought) -> Self {
        let c = (0.5 * tail.variance - white) / (2.0 * white + tail.variance);
        let by_tail = tail.variance * (c - 0.5) * (c - 0.5);
        Self {
            c,
            mean: tail.mean,
            variance: white * ((1.0 + c) * (1.0 + c) + c * c) + by_tail,
            by_tail,
        }
    }

    /// What is to be added to the newer half.
    fn now(self, difference: f32) -> f32 {
        self.c * difference + (0.5 - self.c) * self.mean
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
    /// When it was last looked at for an amendment; before the first value, last not settled.
    checked: Instant,
}

/// Between two looks for an amendment, seconds.
const LOOK_S: f32 = 0.1;
/// An unsettled pour is told after this all the same, with the sigma it has, seconds.
const PATIENCE_S: f32 = 3.0;

impl Settle {
    /// Of a liquid that trails a thread.
    pub(super) const fn is_thick(&self) -> bool {
        matches!(self.body, Body::Thick)
    }

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

    /// Nothing that was read of this pour before `at` counts: it settles from then on.
    pub fn begin_again(&mut self, at: Instant) {
        self.ended = at;
        self.checked = at;
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
        let since = at.seconds_since(self.ended);
        let least = self.half_s.max(SETTLE_PERIODS * period_s);
        let half = (0.5 * (since - SETTLE_APART_S))
            .min(SETTLE_HALF_MOST_S)
            .max(least);
        if since < 2.0 * half {
            return None;
        }
        let white = noise.white / half;
        let tail = self.body.tail().within(half, since - half);
        let line = Blend::of(white, tail);
        let enough = SETTLE_QUIET_G * SETTLE_QUIET_G + SETTLE_DRAUGHT_SHARE * noise.draught;
        if line.variance > enough && since < SETTLE_QUIET_MOST_S {
            return None;
        }
        let halves = window.halves(at, half)?;
        let more = excess(&halves, white);
        let difference = (halves.newer.mass - halves.older.mass).0;
        let spread = 2.0 * (white + more) + noise.draught;
        if more > LOUD || difference.abs() > SETTLE_G + SETTLE_SPREADS * deviation(spread) {
            self.checked = at;
            if since < PATIENCE_S {
                return None;
            }
        } else if self.checked > self.ended && at.seconds_since(self.checked) < SETTLE_HOLD_S {
            return None;
        }
        // Halves that agree have seen off half of what the tail might have brought.
        let own = line.variance - 0.5 * line.by_tail;
        let variance = own + more + noise.draught * faded(half);
        let settled = self.settled(halves.newer.mass + Grams(line.now(difference)), variance);
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
        let halves = window.halves(at, half)?;
        let more = excess(&halves, noise.white / half);
        let Halves { older, newer } = halves;
        let spread = 2.0 * (noise.white / half + more + noise.draught);
        if more > LOUD || (newer.mass - older.mass).abs().0 > SETTLE_G + 2.0 * deviation(spread) {
            return None;
        }
        if over {
            let both = (older.mass + newer.mass) * 0.5;
            let settled = self.settled(both, noise.of_mean(2.0 * half) + 0.5 * more);
            self.told = Some(settled);
            return Some(Settling::Steady(settled));
        }
        let variance = noise.of_mean(half) + more;
        let settled = self.settled(newer.mass, variance);
        let change = (settled.mass - told.mass).abs().0;
        if change < AMEND_G || change < 2.0 * deviation(variance + self.base_variance) {
            return None;
        }
        self.told = Some(settled);
        Some(Settling::Amended(settled))
    }

    fn settled(&self, reading: Grams, variance: f32) -> Settled {
        let mass = reading - self.base;
        let share = SIGMA_SHARE * mass.0;
        let sigma =
            deviation(variance + self.base_variance + POUR_FLOOR_G * POUR_FLOOR_G + share * share);
        Settled {
            mass,
            sigma: Grams(sigma),
        }
    }
}
