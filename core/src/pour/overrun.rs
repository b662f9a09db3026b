//! What still lands after the stop cue, learned per hand and bottle.
//!
//! `overrun = drips + k1 q + k2 q^2`, `q` the flow when the cue sounded. `k1` and `k2` follow a
//! Kalman filter whose state is constant but for a slow drift of the hand; a residual counts at
//! most [`OVERRUN_CLIP_SIGMAS`] of its expected spread. Residuals that jump twice to the same
//! side are taken for another hand: the uncertainty goes back to the population's, so that the
//! next pours teach quickly.

use heapless::Vec;

use crate::limits::{
    DRIPS_THICK_G, DRIPS_THIN_G, EASED_G_PER_S, EASED_LEARN, EASED_NOT_SHARE, EASED_SHARE,
    EASED_START_SHARE, HABITS, OVERRUN_BOUNDS_S, OVERRUN_CLIP_SIGMAS, OVERRUN_DRIFT_S,
    OVERRUN_JUMP, OVERRUN_SCATTER, OVERRUN_SD_S, OVERRUN_SQUARE, OVERRUN_THICK_S, OVERRUN_THIN_S,
    USUAL_LEARN,
};
use crate::spec::LiquidId;
use crate::units::{Grams, GramsPerSecond};
use crate::weigh::settle::Body;

/// Whose habit it is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Owner {
    /// The hand, where one was named.
    pub hand: Option<u8>,
    /// The bottle, where it is known.
    pub liquid: Option<LiquidId>,
}

/// What is known of one hand with one bottle.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Habit {
    drips: f32,
    k1: f32,
    k2: f32,
    p11: f32,
    p12: f32,
    p22: f32,
    eased: f32,
    /// The flow before any ease; zero until it is known.
    usual: f32,
    /// Flow after an ease over the flow before it.
    share: f32,
    jumps: i8,
    pours: u16,
}

impl Habit {
    /// The population's habit with a liquid of this body.
    #[must_use]
    pub const fn population(body: Body) -> Self {
        let (drips, k1) = match body {
            Body::Thick => (DRIPS_THICK_G, OVERRUN_THICK_S),
            Body::Thin | Body::Unknown => (DRIPS_THIN_G, OVERRUN_THIN_S),
        };
        Self {
            drips,
            k1,
            k2: OVERRUN_SQUARE.0,
            p11: OVERRUN_SD_S * OVERRUN_SD_S,
            p12: 0.0,
            p22: OVERRUN_SQUARE.1 * OVERRUN_SQUARE.1,
            eased: EASED_G_PER_S,
            usual: 0.0,
            share: EASED_START_SHARE,
            jumps: 0,
            pours: 0,
        }
    }

    /// What will still land when the stop is cued at this flow.
    #[must_use]
    pub fn overrun(&self, flow: GramsPerSecond) -> Grams {
        let q = flow.0.max(0.0);
        Grams(self.drips + q * (self.k1 + self.k2 * q).max(0.0))
    }

    /// The flow to expect after an ease from this flow.
    #[must_use]
    pub fn eased(&self, flow: GramsPerSecond) -> GramsPerSecond {
        if self.share > EASED_NOT_SHARE {
            return flow * self.share.min(1.0);
        }
        GramsPerSecond(self.eased.min(EASED_SHARE * flow.0))
    }

    /// The flow this hand usually pours with; zero until it is known.
    #[must_use]
    pub const fn usual(&self) -> GramsPerSecond {
        GramsPerSecond(self.usual)
    }

    /// What is remembered of it over a power cut: its figures in grams and seconds, and the
    /// residuals that jumped to one side.
    #[must_use]
    pub const fn figures(&self) -> ([f32; 9], i8) {
        let figures = [
            self.drips, self.k1, self.k2, self.p11, self.p12, self.p22, self.eased, self.usual,
            self.share,
        ];
        (figures, self.jumps)
    }

    /// The same taken up again.
    #[must_use]
    pub const fn of_figures(figures: [f32; 9], jumps: i8, pours: u16) -> Self {
        let [drips, k1, k2, p11, p12, p22, eased, usual, share] = figures;
        Self {
            drips,
            k1,
            k2,
            p11,
            p12,
            p22,
            eased,
            usual,
            share,
            jumps,
            pours,
        }
    }

    /// Pours that have taught it.
    #[must_use]
    pub const fn pours(&self) -> u16 {
        self.pours
    }

    /// Learns from a clean pour: the flow at the cue, what landed after it, and the flow at the
    /// ease cue where there was one.
    pub fn learn(
        &mut self,
        flow: GramsPerSecond,
        overrun: Grams,
        before_ease: Option<GramsPerSecond>,
    ) {
        let q = flow.0;
        if !(q > 0.0 && q < 100.0 && overrun.0.is_finite()) {
            return;
        }
        let (h1, h2) = (q, q * q);
        let residual = overrun.0 - self.overrun(flow).0;
        let (timing, weighing) = (OVERRUN_SCATTER.0 * q, OVERRUN_SCATTER.1);
        let scatter = timing * timing + weighing * weighing;
        self.p11 += OVERRUN_DRIFT_S * OVERRUN_DRIFT_S;
        let (g1, g2) = (self.p11 * h1 + self.p12 * h2, self.p12 * h1 + self.p22 * h2);
        let spread = h1 * g1 + h2 * g2 + scatter;
        let sigma = libm::sqrtf(spread);
        let surprise = residual / sigma;
        self.notice_jump(surprise);
        let pulled = surprise.clamp(-OVERRUN_CLIP_SIGMAS, OVERRUN_CLIP_SIGMAS) * sigma;
        self.k1 = (self.k1 + g1 / spread * pulled).clamp(OVERRUN_BOUNDS_S.0, OVERRUN_BOUNDS_S.1);
        self.k2 += g2 / spread * pulled;
        self.p11 -= g1 * g1 / spread;
        self.p12 -= g1 * g2 / spread;
        self.p22 -= g2 * g2 / spread;
        if let Some(before) = before_ease
            && before.0 > q * 0.5
        {
            self.share += EASED_LEARN * (q / before.0 - self.share);
            self.eased += EASED_LEARN * (q - self.eased);
        }
        let before = before_ease.map_or(q, |flow| flow.0);
        self.usual += if self.pours == 0 {
            before
        } else {
            USUAL_LEARN * (before - self.usual)
        };
        self.pours = self.pours.saturating_add(1);
    }

    fn notice_jump(&mut self, surprise: f32) {
        let (pours, sigmas) = OVERRUN_JUMP;
        self.jumps = if surprise > sigmas {
            self.jumps.max(0).saturating_add(1)
        } else if surprise < -sigmas {
            self.jumps.min(0).saturating_sub(1)
        } else {
            0
        };
        if self.jumps.unsigned_abs() >= pours {
            self.jumps = 0;
            self.p11 = OVERRUN_SD_S * OVERRUN_SD_S;
            self.p12 = 0.0;
        }
    }
}

/// The habits of the house; the one used longest ago gives way.
#[derive(Debug)]
pub struct Habits {
    entries: Vec<(Owner, Habit), HABITS>,
}

impl Habits {
    /// Nobody has poured yet.
    #[must_use]
    pub const fn new() -> Self {
        Self {
            entries: Vec::new(),
        }
    }

    /// The habit of `owner`, the population's where it is not known yet.
    #[must_use]
    pub fn of(&self, owner: Owner, body: Body) -> Habit {
        self.entries
            .iter()
            .find(|(known, _)| *known == owner)
            .map_or(Habit::population(body), |(_, habit)| *habit)
    }

    /// What is known, in the order in which it was last learned.
    #[must_use]
    pub fn known(&self) -> &[(Owner, Habit)] {
        &self.entries
    }

    /// Keeps `habit` for `owner`.
    pub fn keep(&mut self, owner: Owner, habit: Habit) {
        let is_known = self.entries.iter().any(|(known, _)| *known == owner);
        // Taken out on the way: moving all the others at once would bring in a routine of 1.6 KB.
        let mut oldest_goes = self.entries.is_full() && !is_known;
        self.entries
            .retain(|(known, _)| *known != owner && !core::mem::take(&mut oldest_goes));
        // There is room: the oldest was dropped above.
        let _ = self.entries.push((owner, habit));
    }
}

impl Default for Habits {
    fn default() -> Self {
        Self::new()
    }
}
