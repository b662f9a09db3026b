//! What still lands after the stop cue, learned per hand and bottle.
//!
//! `overrun = drips + delay q`, `q` the flow when the cue sounded. Both follow a Kalman filter
//! whose state is constant but for a slow drift of the hand; a residual counts at most
//! [`OVERRUN_CLIP_SIGMAS`] of its expected spread. Residuals that jump twice to the same side are
//! taken for another hand: the uncertainty goes back to the population's, so that the next pours
//! teach quickly. A term in `q^2` instead of the learned `drips` was tried: eased pours all end at
//! about the same flow and cannot tell it, while a thread differs from bottle to bottle.

use heapless::Vec;
use serde::{Deserialize, Serialize};

use crate::limits::{
    DRIPS_BOUNDS_G, DRIPS_SD_G, DRIPS_THICK_G, DRIPS_THIN_G, EASE_FLOW_G_PER_S, EASE_FOLLOWED_S,
    EASE_HALF_S, EASE_HEDGE_G, EASE_HEDGE_POURS, EASE_LATE_LEAD_S, EASE_LATE_S, EASE_LEAD_S,
    EASE_TOLD_S, EASED_AT_MOST, EASED_FIRST, EASED_FORGIVEN, EASED_G_PER_S, EASED_LEARN,
    EASED_NOT_SHARE, EASED_SHARE, EASED_START_SHARE, GENTLY_LAG_S, GENTLY_MARGIN, HABITS,
    OVERRUN_BOUNDS_S, OVERRUN_CLIP_SIGMAS, OVERRUN_DRIFT_S, OVERRUN_JUMP, OVERRUN_SCATTER,
    OVERRUN_SD_S, OVERRUN_THICK_S, OVERRUN_THIN_S, USUAL_LEARN, USUAL_MOST_G_PER_S,
    USUAL_START_G_PER_S,
};
use crate::spec::LiquidId;
use crate::units::{Grams, GramsPerSecond, deviation};
use crate::weigh::settle::Body;

use super::control::Stopped;

/// Whose habit it is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Owner {
    /// The hand, where one was named.
    pub hand: Option<u8>,
    /// The bottle, where it is known.
    pub liquid: Option<LiquidId>,
}

/// What is known of one hand with one bottle.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct Habit {
    /// What lands whatever the flow, grams.
    drips: f32,
    /// Seconds of the flow that still land.
    delay: f32,
    /// Variance of the delay (s^2), its covariance with the drips (s g), variance of the drips
    /// (g^2).
    p11: f32,
    p12: f32,
    p22: f32,
    /// The flow after an ease, g/s.
    eased: f32,
    /// The flow before any ease, g/s; zero until it is known.
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
        let (drips, delay) = match body {
            Body::Thick => (DRIPS_THICK_G, OVERRUN_THICK_S),
            Body::Thin | Body::Unknown => (DRIPS_THIN_G, OVERRUN_THIN_S),
        };
        Self {
            drips,
            delay,
            p11: OVERRUN_SD_S * OVERRUN_SD_S,
            p12: 0.0,
            p22: DRIPS_SD_G * DRIPS_SD_G,
            eased: EASED_G_PER_S,
            usual: 0.0,
            share: EASED_START_SHARE,
            jumps: 0,
            pours: 0,
        }
    }

    /// Its values are such as pours can teach; one from outside may be anything.
    #[must_use]
    pub fn is_sound(&self) -> bool {
        let Self {
            drips,
            delay,
            p11,
            p12,
            p22,
            eased,
            usual,
            share,
            jumps: _,
            pours: _,
        } = *self;
        let is_within = |value: f32, (least, most): (f32, f32)| value >= least && value <= most;
        is_within(drips, DRIPS_BOUNDS_G)
            && is_within(delay, OVERRUN_BOUNDS_S)
            && is_within(p11, (0.0, 1.0))
            && is_within(p22, (0.0, 1.0))
            // A covariance beyond its two variances would make the next lesson a wild one.
            && p12 * p12 <= p11 * p22
            && is_within(eased, (0.0, USUAL_MOST_G_PER_S))
            && is_within(usual, (0.0, USUAL_MOST_G_PER_S))
            && is_within(share, (0.0, 1.0))
    }

    /// Seconds of the flow that still land after the stop cue.
    #[must_use]
    pub const fn delay_s(&self) -> f32 {
        self.delay
    }

    /// What lands after the stop cue whatever the flow.
    #[must_use]
    pub const fn drips(&self) -> Grams {
        Grams(self.drips)
    }

    /// What will still land when the stop is cued at this flow.
    #[must_use]
    pub fn overrun(&self, flow: GramsPerSecond) -> Grams {
        let q = flow.0.max(0.0);
        Grams(self.drips + q * self.delay)
    }

    /// The flow to expect after an ease from this flow.
    #[must_use]
    pub fn eased(&self, flow: GramsPerSecond) -> GramsPerSecond {
        if !self.eases() {
            return flow * self.share.min(1.0);
        }
        GramsPerSecond(self.eased.min(EASED_SHARE * flow.0))
    }

    /// What is still to come at this flow when an ease is cued with its full lead; `lag_s` is how
    /// far the measured flow looks back.
    ///
    /// While it is not known whether the hand eases, one that does not must still be stopped in
    /// time.
    #[must_use]
    pub fn ease_needs(&self, flow: GramsPerSecond, lag_s: f32) -> Grams {
        let eased = self.eased(flow);
        let first = flow.during(EASE_HALF_S) + self.overrun(eased);
        let in_time = eased.during(EASE_LEAD_S + lag_s - EASE_HALF_S);
        let late = flow.during(EASE_LATE_S) + eased.during(EASE_LATE_LEAD_S);
        let needed = first.0 + in_time.0.max(late.0);
        if self.pours >= EASE_HEDGE_POURS {
            return Grams(needed);
        }
        let unheard = flow.during(EASE_FOLLOWED_S) + self.overrun(flow);
        Grams(needed.max(unheard.0 - EASE_HEDGE_G))
    }

    /// A pour to `target` would be eased as soon as liquid is seen: better said beforehand.
    #[must_use]
    pub fn begins_gently(&self, target: Grams) -> bool {
        let usual = if self.usual > 0.0 {
            GramsPerSecond(self.usual)
        } else {
            GramsPerSecond(USUAL_START_G_PER_S)
        };
        self.eases()
            && usual.0 > EASE_FLOW_G_PER_S
            && target < self.ease_needs(usual * GENTLY_MARGIN, GENTLY_LAG_S)
    }

    /// It eases when it is asked to.
    #[must_use]
    pub fn eases(&self) -> bool {
        self.share <= EASED_NOT_SHARE
    }

    /// The flow this hand usually pours with; zero until it is known.
    #[must_use]
    pub const fn usual(&self) -> GramsPerSecond {
        GramsPerSecond(self.usual)
    }

    /// Pours that have taught it.
    #[must_use]
    pub const fn pours(&self) -> u16 {
        self.pours
    }

    /// Learns from a clean pour: how it stood at the stop cue, and what landed after that.
    ///
    /// A stop cued while the flow was changing tells how this hand begins, and nothing of how it
    /// ends.
    pub fn learn(&mut self, stopped: &Stopped, overrun: Grams) {
        let q = stopped.flow.0;
        if !(q > 0.0 && q < 100.0 && overrun.0.is_finite()) {
            return;
        }
        let before = stopped.ease.map_or(q, |cue| cue.flow.0);
        // While the flow changes, what came after the stop tells of it better than the line does.
        let told = (overrun.0 - self.drips).max(0.0) / self.delay;
        let followed = stopped.gently && told < EASED_AT_MOST * self.eased;
        // A pour that began gently tells nothing of the flow it would have come to.
        if !followed {
            let full = stopped.full.map_or(told, |flow| flow.0);
            let gain = if self.usual > 0.0 { USUAL_LEARN } else { 1.0 };
            self.usual += gain * (full.min(USUAL_MOST_G_PER_S) - self.usual);
        }
        // The first pours tell more of a hand than what is usual.
        let share_gain = EASED_LEARN.max(1.0 / (EASED_FIRST + f32::from(self.pours)));
        self.pours = self.pours.saturating_add(1);
        if !stopped.changing {
            self.learn_overrun(q, overrun);
        }
        let Some(cue) = stopped.ease else {
            // Nobody is given up for good.
            self.share -= (self.share - EASED_START_SHARE) * EASED_FORGIVEN;
            return;
        };
        let share = if !stopped.changing {
            self.eased += EASED_LEARN * (q.min(EASED_SHARE * before) - self.eased);
            Some(q / before)
        } else if stopped.gently {
            Some(if followed {
                (told / before).min(EASED_SHARE)
            } else {
                1.0
            })
        } else {
            // What came since the ease tells whether it was followed at all.
            let eased_s = stopped.at.seconds_since(cue.at) + self.delay - EASE_HALF_S;
            let came = stopped.mass + overrun - cue.mass - cue.flow.during(EASE_HALF_S);
            (eased_s > EASE_TOLD_S).then(|| came.0 / (before * eased_s))
        };
        if let Some(share) = share {
            self.share += share_gain * (share.clamp(0.0, 1.0) - self.share);
        }
    }

    fn learn_overrun(&mut self, q: f32, overrun: Grams) {
        let residual = overrun.0 - self.overrun(GramsPerSecond(q)).0;
        let (timing, weighing) = (OVERRUN_SCATTER.0 * q, OVERRUN_SCATTER.1);
        let scatter = timing * timing + weighing * weighing;
        self.p11 += OVERRUN_DRIFT_S * OVERRUN_DRIFT_S;
        let (g1, g2) = (self.p11 * q + self.p12, self.p12 * q + self.p22);
        let spread = q * g1 + g2 + scatter;
        let sigma = deviation(spread);
        let surprise = residual / sigma;
        self.notice_jump(surprise);
        let pulled = surprise.clamp(-OVERRUN_CLIP_SIGMAS, OVERRUN_CLIP_SIGMAS) / sigma;
        let within = |value: f32, (least, most): (f32, f32)| value.clamp(least, most);
        self.delay = within(self.delay + g1 * pulled, OVERRUN_BOUNDS_S);
        self.drips = within(self.drips + g2 * pulled, DRIPS_BOUNDS_G);
        self.p11 -= g1 * g1 / spread;
        self.p12 -= g1 * g2 / spread;
        self.p22 -= g2 * g2 / spread;
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

    /// Forgets everything.
    pub fn forget(&mut self) {
        self.entries.clear();
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
