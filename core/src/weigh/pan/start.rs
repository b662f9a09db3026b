//! When liquid begins to land, and from which level it counts.

use crate::limits::{
    BASE_GAP_S, BASE_SPAN_S, FALL_G, POUR_RISE_MAX_G_PER_S, SLOW_START_FLOW_G_PER_S,
    SLOW_START_HOLD_S, SLOW_START_RISE_G, START_CALM_S, START_FLOW_G_PER_S, START_HOLD_S,
    START_RISE_G, START_SIGMAS,
};
use crate::time::Instant;
use crate::units::Grams;

use super::super::estimator::Line;
use super::{Pan, State};

/// What looks like a start, or a fall, and since when.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub(super) struct Start {
    rising: Option<Instant>,
    creeping: Option<Instant>,
    falling: Option<Instant>,
}

impl Start {
    pub(super) const fn new() -> Self {
        Self {
            rising: None,
            creeping: None,
            falling: None,
        }
    }

    /// Liquid has begun to land.
    pub(super) fn seen(
        &mut self,
        at: Instant,
        fast: Line,
        guide: Line,
        level: Grams,
        noise: Grams,
        calm_s: f32,
    ) -> bool {
        let threshold = START_RISE_G + START_SIGMAS * noise.0;
        let rising = (fast.mass - level).0 > threshold
            && fast.flow.0 > START_FLOW_G_PER_S + 6.0 * noise.0
            && fast.flow.0 < POUR_RISE_MAX_G_PER_S
            && calm_s > START_CALM_S;
        let creeping = (guide.mass - level).0 > SLOW_START_RISE_G
            && guide.flow.0 > SLOW_START_FLOW_G_PER_S
            && calm_s > START_CALM_S;
        held(&mut self.rising, rising, at, START_HOLD_S)
            || held(&mut self.creeping, creeping, at, SLOW_START_HOLD_S)
    }

    /// The level is being left downwards.
    pub(super) fn falling(&mut self, at: Instant, fast: Line, level: Grams, noise: Grams) -> bool {
        let falling = (fast.mass - level).0 < -(FALL_G + 3.0 * noise.0);
        held(&mut self.falling, falling, at, 0.06)
    }
}

/// True once `now` has held for `seconds`.
pub(super) fn held(since: &mut Option<Instant>, now: bool, at: Instant, seconds: f32) -> bool {
    if !now {
        *since = None;
        return false;
    }
    at.seconds_since(*since.get_or_insert(at)) >= seconds
}

impl Pan {
    /// The level a pour seen at `at` counts from, and its variance.
    pub(super) fn base(&self, at: Instant) -> (Grams, f32) {
        if matches!(self.state, State::Moving(_)) {
            // What began abruptly has been landing for a while: the window holds some of it.
            return (self.level, self.settled_noise(8));
        }
        let seen = self.start.rising.or(self.start.creeping).unwrap_or(at);
        let gap = at.seconds_since(seen) + BASE_GAP_S;
        let standing = at.seconds_since(self.level_since) - gap;
        match self.window.mean(at, gap, BASE_SPAN_S.min(standing)) {
            Some(mean) if mean.count >= 4 => (mean.mass, self.settled_noise(mean.count)),
            Some(_) | None => (self.level, self.settled_noise(8)),
        }
    }
}
