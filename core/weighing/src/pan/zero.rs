//! The zero of an empty pan, and what comes onto a loaded one too slowly for a pour.
//!
//! A loaded pan is never zeroed. What its level gained since it was last known is followed no
//! faster than the cell can creep and wander; once more than that has come it is a drip, kept
//! until a pour counts from before it, or the vessel goes.

use crate::limits::{
    CREEP_G_PER_S, CREEP_SHARE, CREEP_TAU_S, DRIP_G, DRIP_LATE_G, DRIP_SIGMA_G, DRIP_WANDERS,
    INITIAL_ZERO_G, ZERO_BELOW_S, ZERO_TRACK_BAND_G, ZERO_TRACK_G_PER_S,
};
use crate::time::Instant;
use crate::units::Grams;

use super::{Pan, PanEvents};

/// What zero and level are held against.
#[derive(Clone, Copy, Debug)]
pub(super) struct Slow {
    /// The zero stays where it is.
    pub(super) held: bool,
    /// No empty pan has been seen since power-up.
    unzeroed: bool,
    /// What has come slowly since the level was last known.
    pub(super) came: Grams,
    /// What came at once onto the load: all of it, and the last.
    pub(super) strays: (Grams, Grams),
    /// What was left behind by a lifted vessel and is taken for zero.
    pub(super) left: Grams,
}

impl Slow {
    pub(super) const fn new() -> Self {
        Self {
            held: false,
            unzeroed: true,
            came: Grams::ZERO,
            strays: (Grams::ZERO, Grams::ZERO),
            left: Grams::ZERO,
        }
    }
}

impl Pan {
    /// The first level after power-up: zero, or something stands there.
    pub(super) fn first_zero(&mut self, events: &mut PanEvents) {
        if self.level.abs().0 < INITIAL_ZERO_G {
            self.set_zero();
        } else {
            events.placed = Some(self.gross());
        }
    }

    fn set_zero(&mut self) {
        self.zero = self.level;
        self.slow.unzeroed = false;
        self.slow.left = Grams::ZERO;
    }

    /// Follows an empty, quiet pan, slowly enough that no drip is lost. A pan cannot carry less
    /// than nothing: one that does was zeroed with a hand, a puddle or a towel on it.
    pub(super) fn track_zero(&mut self, at: Instant, interval: f32) {
        let off = self.level - self.zero;
        let below = off.0 < -ZERO_TRACK_BAND_G;
        let may = !self.slow.held || self.slow.left.0 > 0.0;
        let first = self.slow.unzeroed || below;
        if may && first && self.level.abs().0 < INITIAL_ZERO_G {
            let quiet = self.level_since.max(self.last_abrupt);
            if at.seconds_since(quiet) >= ZERO_BELOW_S
                && let Some(mean) = self.window.mean(at, 0.0, ZERO_BELOW_S / 2.0)
            {
                self.level = mean.mass;
                self.set_zero();
            }
            return;
        }
        if !self.slow.held && off.abs().0 < ZERO_TRACK_BAND_G {
            let most = ZERO_TRACK_G_PER_S * interval;
            self.zero += off.within(Grams(most));
        }
    }

    /// The level of a loaded pan, `standing_s` old, has risen by `rise` while nothing happened.
    pub(super) fn creep(&mut self, rise: Grams, standing_s: f32, interval: f32) {
        self.slow.came += rise;
        if self.has_dripped(self.slow.came) {
            return;
        }
        let share = CREEP_SHARE * CREEP_TAU_S / (CREEP_TAU_S + standing_s);
        let most = (CREEP_G_PER_S + share * self.gross().0.max(0.0)) * interval;
        self.slow.came -= self.slow.came.within(Grams(most));
    }

    /// More has come than creep and draught explain.
    fn has_dripped(&self, came: Grams) -> bool {
        // Late drops are of the pour before.
        let late = if self.dripping.is_some() {
            DRIP_LATE_G
        } else {
            0.0
        };
        let over = came.0 - DRIP_G - late;
        over > 0.0 && over * over > DRIP_WANDERS * DRIP_WANDERS * self.wander.cautious()
    }

    /// Where a pour counts from that stands on `base` as it begins: what dripped before is of it.
    pub(super) fn before_drip(&mut self, base: Grams, variance: f32) -> (Grams, f32) {
        let known = self.level - core::mem::take(&mut self.slow.came);
        if self.has_dripped(base - known) {
            return (known, variance + DRIP_SIGMA_G * DRIP_SIGMA_G);
        }
        (base, variance)
    }

    /// What dripped since the level was last known, once.
    pub fn take_drip(&mut self) -> Option<Grams> {
        let came = core::mem::take(&mut self.slow.came);
        self.has_dripped(came).then_some(came)
    }
}
