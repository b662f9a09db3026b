//! The first seconds after power-up.

use crate::limits::{DISCARD_S, INITIAL_ZERO_G};
use crate::time::Instant;

use super::{Pan, PanEvents, State};

impl Pan {
    pub(super) fn warm(
        &mut self,
        since: Option<Instant>,
        at: Instant,
        period_s: f32,
        events: &mut PanEvents,
    ) {
        let Some(since) = since else {
            self.state = State::Warming { since: Some(at) };
            return;
        };
        let seconds = at.seconds_since(since);
        if seconds < DISCARD_S {
            return;
        }
        let Some(level) = self
            .stillness(at, period_s)
            .or_else(|| (seconds > 4.0 * DISCARD_S).then_some(self.guide.line().mass))
        else {
            return;
        };
        self.stand(at, level);
        if level.abs().0 < INITIAL_ZERO_G {
            self.zero = level;
        } else {
            events.placed = Some(self.gross());
        }
    }
}
