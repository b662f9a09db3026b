//! What a move turned out to be, once the pan is still again.

use crate::limits::{
    ADDED_G, BUMP_G, BUMP_GAP_S, EMPTY_G, LIFT_HOLD_S, POUR_RISE_MAX_G_PER_S, PRESS_DIP_SHARE,
    PRESS_G, PRESS_MAX_S, PRESS_S, START_FLOW_G_PER_S, STILL_G, STILL_HALF_S, STILL_SWING_G,
    TIPPED_S,
};
use crate::time::Instant;
use crate::units::Grams;

use super::super::window::Halves;
use super::{Pan, PanEvents};

/// A move under way.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Move {
    began: Instant,
    from: Grams,
    highest: Grams,
    lowest: Grams,
    /// When the reading last stood well away from the level before.
    away: Instant,
    empty: Option<Instant>,
    rising: Option<Instant>,
    was_pouring: bool,
}

/// What a move was.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) enum Change {
    Placed,
    Lifted,
    Added(Grams),
    Removed(Grams),
    Pressed,
    Bumped,
    Nothing,
}

impl Move {
    pub(super) const fn new(at: Instant, from: Grams, raw: Grams, was_pouring: bool) -> Self {
        Self {
            began: at,
            from,
            highest: raw,
            lowest: raw,
            away: at,
            empty: None,
            rising: None,
            was_pouring,
        }
    }
}

impl Pan {
    /// One more sample of a move.
    pub(super) fn moved(
        &mut self,
        mut change: Move,
        at: Instant,
        raw: Grams,
        period_s: f32,
        events: &mut PanEvents,
    ) {
        change.highest = Grams(change.highest.0.max(raw.0));
        change.lowest = Grams(change.lowest.0.min(raw.0));
        if (raw - change.from).abs().0 > BUMP_G {
            change.away = at;
        }
        let was_loaded = (change.from - self.zero).0 >= EMPTY_G;
        if was_loaded && (raw - self.zero).0 < EMPTY_G {
            let since = *change.empty.get_or_insert(at);
            if at.seconds_since(since) >= LIFT_HOLD_S.max(period_s) {
                self.empty(at, raw, events);
                return;
            }
        } else {
            change.empty = None;
        }
        if was_loaded && !change.was_pouring && self.pours(&mut change, at) {
            self.level = change.from;
            self.begin_pour(at, period_s, events);
            return;
        }
        self.state = super::State::Moving(change);
        if at.seconds_since(change.began) < STILL_HALF_S {
            return;
        }
        if let Some(level) = self.stillness(at, period_s) {
            let told = self.classify(change, at, level);
            // No flow takes anything away: the pour under way had been a push.
            events.void |= change.was_pouring && matches!(told, Change::Removed(_));
            self.apply(told, at, level, events);
        }
    }

    /// What began abruptly has been rising steadily for longer than anything tipped in: a pour.
    fn pours(&self, change: &mut Move, at: Instant) -> bool {
        let flow = self.guide.line().flow.0;
        let rising = flow > 2.0 * START_FLOW_G_PER_S
            && flow < POUR_RISE_MAX_G_PER_S
            && (self.guide.line().mass - change.from).0 > 0.0
            && at.seconds_since(self.last_abrupt) > 0.1;
        if !rising {
            change.rising = None;
            return false;
        }
        at.seconds_since(*change.rising.get_or_insert(at)) > TIPPED_S
    }

    /// The level, when two neighbouring half-windows agree and the samples do not swing.
    pub(super) fn stillness(&self, at: Instant, period_s: f32) -> Option<Grams> {
        let half = STILL_HALF_S.max(2.0 * period_s);
        let Halves { older, newer } = self.window.halves(at, half)?;
        let noise = self.noise().0;
        let swing = STILL_SWING_G + 3.0 * noise;
        let still = newer.count >= 2
            && (newer.mass - older.mass).abs().0 <= STILL_G + noise
            && newer.variance.max(older.variance) <= swing * swing / 4.0;
        still.then_some(newer.mass)
    }

    fn classify(&mut self, change: Move, at: Instant, level: Grams) -> Change {
        let delta = level - change.from;
        let was_loaded = (change.from - self.zero).0 >= EMPTY_G;
        let is_loaded = (level - self.zero).0 >= EMPTY_G;
        if !was_loaded && is_loaded {
            return Change::Placed;
        }
        if was_loaded && !is_loaded {
            return Change::Lifted;
        }
        let same = ADDED_G + 3.0 * self.noise().0.min(0.1);
        if delta.0 > same && was_loaded {
            return Change::Added(delta);
        }
        if delta.0 < -same && was_loaded {
            return Change::Removed(-delta);
        }
        let lasted = change.away.seconds_since(change.began);
        let push = change.highest - change.from;
        let dip = change.from - change.lowest;
        let only_pushed = dip.0 < PRESS_DIP_SHARE * push.0;
        if (PRESS_S..PRESS_MAX_S).contains(&lasted) && push.0 >= PRESS_G && only_pushed {
            return Change::Pressed;
        }
        let peak = push.0.max(dip.0);
        if peak >= BUMP_G && lasted < PRESS_S {
            let again = at.seconds_since(self.last_bump) < BUMP_GAP_S;
            self.last_bump = at;
            if !again {
                return Change::Bumped;
            }
        }
        Change::Nothing
    }
}
