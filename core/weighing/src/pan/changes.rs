//! What a move turned out to be, once the pan is still again.

use crate::limits::{
    ADDED_G, BUMP_CALM_S, BUMP_GAP_S, BUMP_SHIFT_G, EMPTY_G, HAND_SWING_G, JERK_G, LIFT_HOLD_S,
    OPEN_NECK_G_PER_S, POUR_FOOT_G, POUR_RISE_MAX_G_PER_S, PRESS_DIP_SHARE, PRESS_G, PRESS_MAX_S,
    PRESS_S, START_FLOW_G_PER_S, STILL_G, STILL_HALF_S, STILL_SWING_G, STIR_BEGUN_SWINGS,
    STIR_FLOW_G_PER_S, STIR_SWING_S, STIR_SWINGS, TIPPED_S,
};
use crate::time::Instant;
use crate::units::Grams;

use super::super::window::Halves;
use super::start::least_bump_g;
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
    /// It rose as a jerk of liquid might; what stays of it is liquid from so much on, grams.
    jerk_g: Option<f32>,
    swings: Swings,
}

/// Swings of a spoon, up and down in turn.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub(super) struct Swings {
    up: bool,
    count: u8,
    /// Seconds since the move began, at the last turn.
    turned_s: f32,
}

impl Swings {
    pub(super) const NONE: Self = Self {
        up: false,
        count: 0,
        turned_s: 0.0,
    };

    /// Up and down often enough that it is no stream.
    pub(super) const fn begun(&self) -> bool {
        self.count >= STIR_BEGUN_SWINGS
    }

    /// A spoon that swings is slow enough to look still where it turns.
    fn going_on(&self, moved_s: f32) -> bool {
        self.count > 2 && moved_s - self.turned_s < STIR_SWING_S.1
    }

    /// Follows the flow; true when there are just enough to be a stir.
    pub(super) fn follow(&mut self, flow: f32, moved_s: f32) -> bool {
        if flow.abs() < STIR_FLOW_G_PER_S || self.up == (flow > 0.0) {
            return false;
        }
        let lasted = moved_s - self.turned_s;
        self.up = flow > 0.0;
        self.turned_s = moved_s;
        if lasted > STIR_SWING_S.1 {
            self.count = 0;
        } else if lasted > STIR_SWING_S.0 {
            self.count = self.count.saturating_add(1);
            return self.count == STIR_SWINGS;
        }
        false
    }
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
            jerk_g: None,
            swings: Swings::NONE,
        }
    }

    /// It has pushed as far as `top` above the level before.
    pub(super) fn reached(mut self, top: Grams, sparse: bool) -> Self {
        self.highest = self.from + top;
        // It may be an open neck: it rises on then.
        self.rising = (!sparse).then_some(self.began);
        self.jerk_g = Some(if sparse { ADDED_G } else { JERK_G.0 });
        self
    }

    /// It has been swinging like this since it began.
    pub(super) const fn swinging(mut self, swings: Swings) -> Self {
        self.swings = swings;
        self
    }

    fn peak_g(&self) -> f32 {
        (self.highest - self.from)
            .0
            .max((self.from - self.lowest).0)
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
        let least = least_bump_g(period_s, self.noise);
        if (raw - change.from).abs().0 > least {
            if self.knocked_again(&change, at, period_s, least) {
                events.bumped = true;
                change = Move::new(at, change.from, raw, change.was_pouring);
            }
            change.away = at;
        }
        change.highest = Grams(change.highest.0.max(raw.0));
        change.lowest = Grams(change.lowest.0.min(raw.0));
        let moved_s = at.seconds_since(change.began);
        events.stirred = change.swings.follow(self.guide.line().flow.0, moved_s);
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
        if was_loaded && !change.was_pouring && self.pours(&mut change, at, period_s) {
            self.level = change.from;
            self.begin_pour(at, period_s, events);
            return;
        }
        self.state = super::State::Moving(change);
        if moved_s < STILL_HALF_S || change.swings.going_on(moved_s) {
            return;
        }
        if let Some(level) = self.stillness(at, period_s, change.from) {
            let stays = (level - change.from).0;
            let noise = 3.0 * self.noise.min(0.1);
            if was_loaded
                && change.jerk_g.is_some_and(|least| stays > least + noise)
                && stays < JERK_G.1
            {
                self.level = change.from;
                self.begin_pour(at, period_s, events);
                return;
            }
            let told = self.classify(change, level, least);
            // No flow takes anything away: the pour under way had been a push.
            events.void |= change.was_pouring && matches!(told, Change::Removed(_));
            self.apply(told, at, level, events);
        }
    }

    /// What has rung and died down is struck once more before the pan is still.
    fn knocked_again(&self, change: &Move, at: Instant, period_s: f32, least: f32) -> bool {
        at.seconds_since(change.away) > BUMP_CALM_S.max(2.5 * period_s)
            && at.seconds_since(change.began) > BUMP_GAP_S
            && change.away.seconds_since(change.began) < PRESS_S
            && change.peak_g() >= least
            && self
                .window
                .mean(at, period_s.max(0.03), BUMP_CALM_S.max(2.0 * period_s))
                .is_some_and(|mean| (mean.mass - change.from).abs().0 < BUMP_SHIFT_G)
    }

    /// What began abruptly has been rising steadily for longer than anything tipped in: a pour.
    fn pours(&self, change: &mut Move, at: Instant, period_s: f32) -> bool {
        let flow = self.guide.line().flow.0;
        let height = (self.guide.line().mass - change.from).0;
        let foot = POUR_FOOT_G + 2.0 * OPEN_NECK_G_PER_S * period_s;
        let rising = flow > 4.0 * START_FLOW_G_PER_S.0
            && change.swings.count < 2
            && flow < POUR_RISE_MAX_G_PER_S
            && height > 0.0
            && (change.rising.is_some() || height < foot)
            && (at.seconds_since(self.last_abrupt) > 0.1
                || change.jerk_g.is_some() && self.last_abrupt == change.began);
        if !rising {
            change.rising = None;
            return false;
        }
        at.seconds_since(*change.rising.get_or_insert(at)) > TIPPED_S
            && height > 0.5 * TIPPED_S * flow
    }

    /// The level, when two neighbouring half-windows agree and the samples do not swing.
    pub(super) fn stillness(&self, at: Instant, period_s: f32, from: Grams) -> Option<Grams> {
        let half = STILL_HALF_S.max(2.0 * period_s);
        let Halves { older, newer } = self.window.halves(at, half)?;
        let noise = self.noise().0;
        let leant_on = (newer.mass - from).0 >= PRESS_G;
        let swing = if leant_on {
            2.0 * HAND_SWING_G
        } else {
            STILL_SWING_G
        } + 3.0 * noise;
        let still = newer.count >= 2
            && (newer.mass - older.mass).abs().0 <= STILL_G + noise
            && newer.variance.max(older.variance) <= swing * swing / 4.0;
        still.then_some(newer.mass)
    }

    fn classify(&mut self, change: Move, level: Grams, least: f32) -> Change {
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
        if change.swings.count >= STIR_SWINGS {
            return Change::Nothing;
        }
        let lasted = change.away.seconds_since(change.began);
        let push = change.highest - change.from;
        let dip = change.from - change.lowest;
        let only_pushed = dip.0 < PRESS_DIP_SHARE * push.0;
        if (PRESS_S..PRESS_MAX_S).contains(&lasted) && push.0 >= PRESS_G && only_pushed {
            return Change::Pressed;
        }
        let rings = !only_pushed && lasted < PRESS_MAX_S && change.swings.count < STIR_SWINGS / 3;
        if change.peak_g() >= least && (lasted < PRESS_S || rings) {
            let again = change.began.seconds_since(self.last_bump) < BUMP_GAP_S;
            self.last_bump = change.began;
            if !again {
                return Change::Bumped;
            }
        }
        Change::Nothing
    }
}
