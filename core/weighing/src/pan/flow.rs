//! A pour on the pan: from its start to its settled value.

use crate::limits::{
    ADDED_G, BASE_GAP_S, BASE_SPAN_S, BURST_G_PER_S, BURST_SHARE, EMPTY_G, END_FLOW_G_PER_S,
    END_SHARE, LEAN_BEFORE_S, LET_GO_G, LET_GO_PAUSE_S, LET_GO_S, LIFT_HOLD_S, PASSED_RISE_G,
    PASSED_SIGMA_G, PRESS_G, PRESS_MAX_S, PRESS_S, RESUME_SEEN_S, SETTLE_HALF_OPEN_S,
    SETTLE_HALF_S, SPLASH_G, STEEP_PERIOD_S, TIPPED_S, TROUGH_SPAN_S,
};
use crate::settle::Settled;
use crate::time::Instant;
use crate::units::{Grams, GramsPerSecond};

use super::super::estimator::Line;
use super::super::settle::{Settle, Settling};
use super::changes::{Move, Swings};
use super::lean::Lean;
use super::start::held;
use super::{Pan, PanEvents, Pouring, State, estimators, settled_of};

/// A flow under way.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Flow {
    pub(super) base: Grams,
    base_variance: f32,
    /// What had come by the time it was seen to begin.
    at_first: Grams,
    began: Instant,
    peak: GramsPerSecond,
    pub(super) clean: bool,
    /// Since when samples lie outside the clip on one side, and on which.
    pub(super) outside: Option<(Instant, bool)>,
    /// Since when the flow looks ended.
    ending: Option<Instant>,
    /// Since when it looks alive again.
    again: Option<Instant>,
    /// The base as it was at first, and the most that has come onto it.
    origin: Grams,
    came: f32,
    /// Since when what had come is gone as it came.
    gone: Option<Instant>,
    /// Since when the pan looks empty.
    empty: Option<Instant>,
    /// What leans on the pan.
    pub(super) lean: Lean,
    /// The flow has ended, and this settles.
    pub(super) settle: Option<Settle>,
    /// When it came alive again, and what the pan carried just before.
    resumed: Option<(Instant, Grams)>,
    swings: Swings,
}

impl State {
    /// The flow under way, or just ended; worked on in place, since every sample passes here.
    pub(super) const fn flow(&mut self) -> Option<&mut Flow> {
        match self {
            Self::Pouring(flow) => Some(flow),
            Self::Warming { .. } | Self::Still | Self::Moving(_) => None,
        }
    }
}

impl Flow {
    const fn new(
        base: Grams,
        base_variance: f32,
        at_first: Grams,
        began: Instant,
        clean: bool,
    ) -> Self {
        Self {
            base,
            base_variance,
            at_first,
            began,
            peak: GramsPerSecond::ZERO,
            clean,
            outside: None,
            ending: None,
            again: None,
            origin: base,
            came: 0.0,
            gone: None,
            empty: None,
            lean: Lean::NONE,
            settle: None,
            resumed: None,
            swings: Swings::NONE,
        }
    }
}

impl Pan {
    pub(super) fn begin_pour(&mut self, at: Instant, period_s: f32, events: &mut PanEvents) {
        let (base, variance) = self.base(at);
        let (base, base_variance) = self.before_drip(base, variance);
        self.dripping = None;
        let clean = at.seconds_since(self.last_abrupt) > 1.0;
        let at_first = self.guide.line().mass - base;
        self.state = State::Pouring(Flow::new(base, base_variance, at_first, at, clean));
        events.pour_started = true;
        events.pouring = self.pouring(at, period_s);
    }

    /// The pour under way.
    pub(super) fn pouring(&self, at: Instant, period_s: f32) -> Option<Pouring> {
        let flow = match &self.state {
            State::Pouring(flow) => flow,
            State::Warming { .. } | State::Still | State::Moving(_) => return None,
        };
        let led = flow.lean.line(at);
        let line = led.unwrap_or(self.guide.line());
        let (fast, guide) = estimators(period_s);
        let age = self.filter_delay * period_s;
        Some(Pouring {
            at,
            line: Line {
                mass: line.mass - flow.base,
                flow: line.flow,
            },
            jerk: led.unwrap_or(self.fast.line()).flow,
            lag_s: age + 2.0 * guide.tau_s,
            jerk_lag_s: age + 2.0 * fast.tau_s,
            seconds: at.seconds_since(flow.began),
            clean: flow.clean,
        })
    }

    pub(super) fn pour(&mut self, at: Instant, raw: Grams, period_s: f32, events: &mut PanEvents) {
        if self.taken_away(at, raw, period_s, events) || self.is_stirred(at, raw, events) {
            return;
        }
        if self.leant_on(at, raw, period_s, events) {
            events.pouring = self.pouring(at, period_s);
            return;
        }
        self.absorb_step(at, raw, period_s, events);
        if let Some(next) = self.passes_on(at, period_s, events) {
            self.state = State::Pouring(next);
            events.pouring = self.pouring(at, period_s);
            return;
        }
        let Some(flow) = self.state.flow() else {
            return;
        };
        let (fast, guide) = (self.fast.line().flow, self.guide.line().flow);
        // The peak follows the eased flow down, or a trickle after an ease would look like an end.
        flow.peak = GramsPerSecond(guide.0.max(flow.peak.0 + (guide.0 - flow.peak.0) * 0.02));
        let floor = (END_SHARE * flow.peak.0).max(END_FLOW_G_PER_S.min(0.5 * flow.peak.0));
        if fast.0 < floor {
            let since = *flow.ending.get_or_insert(at);
            if at.seconds_since(since) >= 2.0 * period_s.min(0.02) {
                flow.again = None;
                let body = self.expectation.body;
                flow.settle = Some(Settle::new(flow.base, flow.base_variance, since, body));
            }
        } else {
            flow.ending = None;
        }
        events.pouring = self.pouring(at, period_s);
    }

    pub(super) fn settle(
        &mut self,
        at: Instant,
        raw: Grams,
        period_s: f32,
        events: &mut PanEvents,
    ) {
        if self.taken_away(at, raw, period_s, events) || self.is_stirred(at, raw, events) {
            return;
        }
        if self.leant_on(at, raw, period_s, events) {
            events.pouring = self.pouring(at, period_s);
            return;
        }
        self.absorb_step(at, raw, period_s, events);
        let Some(flow) = self.state.flow() else {
            return;
        };
        let alive = self.fast.line().flow.0 > 1.5 * END_FLOW_G_PER_S
            && self.guide.line().flow.0 > END_FLOW_G_PER_S;
        if alive {
            let since = *flow.again.get_or_insert(at);
            if at.seconds_since(since) >= 0.05_f32.max(period_s) {
                let paused = flow.ending.map_or(0.0, |end| since.seconds_since(end));
                let began = flow.began.seconds_since(self.level_since);
                if paused > LET_GO_PAUSE_S && began < LET_GO_S {
                    // The hand let go of the glass only then: the pour begins now.
                    let gap = at.seconds_since(since) + BASE_GAP_S;
                    let span = (paused - BASE_GAP_S).min(BASE_SPAN_S);
                    if let Some(mean) = self.window.mean(at, gap, span)
                        && (mean.mass - flow.base).0 < LET_GO_G
                    {
                        let variance = self.wander.noise().of_mean(span);
                        *flow = Flow::new(mean.mass, variance, Grams::ZERO, since, true);
                        events.pouring = self.pouring(at, period_s);
                        return;
                    }
                }
                if self.expectation.passes.is_some() {
                    // What the pan carried between the two flows.
                    let gap_s = at.seconds_since(since) + RESUME_SEEN_S;
                    let mean = self.window.mean(at, gap_s, TROUGH_SPAN_S);
                    let trough = mean.map_or(self.guide.line().mass, |mean| mean.mass);
                    flow.resumed = Some((since, trough));
                }
                flow.ending = None;
                flow.again = None;
                flow.settle = None;
                if paused > LEAN_BEFORE_S {
                    flow.lean.unsettle();
                }
                events.pouring = self.pouring(at, period_s);
                return;
            }
        } else {
            flow.again = None;
        }
        let half = if self.expectation.stopping {
            SETTLE_HALF_S
        } else {
            SETTLE_HALF_OPEN_S
        };
        let noise = self.wander.noise();
        let Some(settle) = &mut flow.settle else {
            return;
        };
        settle.base = flow.base;
        settle.patient(half);
        if !self.doubted && !flow.lean.is_open() {
            events.settling = settle.look(&self.window, at, period_s, noise);
        }
        let known = events.settling.map(|known| (settled_of(known).mass, *flow));
        events.pouring = self.pouring(at, period_s);
        if let Some((mass, flow)) = known {
            self.land(mass, &flow, at, period_s, events);
        }
    }

    /// The flow that has ended amounts to `mass`.
    fn land(
        &mut self,
        mass: Grams,
        flow: &Flow,
        at: Instant,
        period_s: f32,
        events: &mut PanEvents,
    ) {
        self.stand(at, flow.base + mass);
        if mass.0 < -ADDED_G {
            // It had begun on top of a push that has gone since.
            (events.settling, events.pouring) = (None, None);
            events.void = true;
            events.removed = Some(-mass);
            return;
        }
        self.dripping = flow.settle;
        let ended = flow.ending.unwrap_or(flow.began);
        if self.came_at_once(flow, mass, ended, at, period_s) {
            events.burst = true;
            self.stray(mass);
        }
    }

    /// So much, in until `ended`, came quicker than liquid flows.
    fn came_at_once(
        &self,
        flow: &Flow,
        mass: Grams,
        ended: Instant,
        at: Instant,
        period_s: f32,
    ) -> bool {
        if mass.0 < SPLASH_G {
            return false;
        }
        // The filter draws out by three periods what came at once.
        let lasted = (ended.seconds_since(flow.began) - 3.0 * period_s).max(0.0);
        let quick = lasted < TIPPED_S && mass.0 > SPLASH_G + BURST_G_PER_S * lasted;
        // The middle half of the rise, by the samples themselves.
        let rise_s = self
            .window
            .rise_s(at, flow.base + mass * 0.25, flow.base + mass * 0.75);
        let steep = 0.5 * mass.0 > BURST_G_PER_S * (rise_s - 0.75 * period_s).max(0.0);
        // A stream may have been seen late: alone, how long it lasted proves nothing.
        let at_once = steep && (quick || period_s > STEEP_PERIOD_S);
        at_once || flow.at_first.0 > BURST_SHARE * mass.0
    }

    /// The pour was complete when it paused, and what flows now is the next one: the first is told
    /// as far as it can be known, and the second begins from there.
    fn passes_on(&self, at: Instant, period_s: f32, events: &mut PanEvents) -> Option<Flow> {
        let State::Pouring(flow) = &self.state else {
            return None;
        };
        let (again, trough) = flow.resumed?;
        let passed = trough - flow.base;
        let risen = self.guide.line().mass - trough;
        if passed < self.expectation.passes? || risen.0 < PASSED_RISE_G {
            return None;
        }
        if self.came_at_once(flow, passed, again, at, period_s) {
            // Something leans on the pan, and not quite still.
            return None;
        }
        events.settling = Some(Settling::Landed(Settled {
            mass: passed,
            sigma: Grams(PASSED_SIGMA_G),
        }));
        events.pour_started = true;
        let variance = flow.base_variance + PASSED_SIGMA_G * PASSED_SIGMA_G;
        Some(Flow::new(trough, variance, Grams::ZERO, again, false))
    }

    /// What rose to begin with was a spoon: a stream never falls; true when so.
    fn is_stirred(&mut self, at: Instant, raw: Grams, events: &mut PanEvents) -> bool {
        let rate = self.guide.line().flow.0;
        let Some(flow) = self.state.flow() else {
            return false;
        };
        let began = flow.began;
        let _told_later = flow.swings.follow(rate, at.seconds_since(began));
        if !flow.swings.begun() {
            return false;
        }
        let change = Move::new(began, self.level, raw, false).swinging(flow.swings);
        self.state = State::Moving(change);
        events.settling = Some(Settling::Landed(Settled {
            mass: Grams::ZERO,
            sigma: Grams(PASSED_SIGMA_G),
        }));
        true
    }

    /// The vessel was lifted or struck hard while liquid was landing; true when so.
    fn taken_away(
        &mut self,
        at: Instant,
        raw: Grams,
        period_s: f32,
        events: &mut PanEvents,
    ) -> bool {
        let Some(flow) = self.state.flow() else {
            return false;
        };
        let reading = raw - self.zero;
        if reading.0 < EMPTY_G {
            let since = *flow.empty.get_or_insert(at);
            if at.seconds_since(since) >= LIFT_HOLD_S.max(period_s) {
                self.empty(at, raw, events);
                return true;
            }
        } else {
            flow.empty = None;
        }
        flow.came = flow.came.max((self.guide.line().mass - flow.origin).0);
        let off = (raw - flow.origin).abs().0;
        let back = flow.came > SPLASH_G && off < 1.0 + 0.05 * flow.came;
        if held(&mut flow.gone, back, at, 0.1_f32.max(period_s)) {
            // All of it: somebody had leant on the pan.
            events.void = true;
            let lasted = at.seconds_since(flow.began);
            events.pressed = flow.came >= PRESS_G && (PRESS_S..PRESS_MAX_S).contains(&lasted);
            self.level = flow.origin;
            self.move_on(at, raw, true);
            return true;
        }
        let base = flow.bare_base();
        // Far below what stood there before the pour: it is on its way up, or rebounds from a blow.
        if raw.0 < base.0 - (20.0 + 0.1 * (base - self.zero).0)
            && flow.empty.is_none()
            && !flow.lean.is_surging()
        {
            self.level = base;
            self.move_on(at, raw, true);
            return true;
        }
        false
    }

    /// Something fell in, was put down or leans on the pan during the pour: samples stay outside
    /// the clip on one side. The lines and the base move by it together, so that the pour goes on.
    fn absorb_step(&mut self, at: Instant, raw: Grams, period_s: f32, events: &mut PanEvents) {
        let line = self.guide.line();
        let off = raw - line.mass;
        let clip = self.clip();
        let Some(flow) = self.state.flow() else {
            return;
        };
        if off.abs() < clip {
            flow.outside = None;
            return;
        }
        flow.clean = false;
        let above = off.0 > 0.0;
        match flow.outside {
            Some((since, side)) if side == above => {
                if at.seconds_since(since) >= 0.12_f32.max(3.0 * period_s) {
                    flow.outside = None;
                    let landed = line.mass - flow.base;
                    // A push may have been taken for the beginning of a pour.
                    if landed.0 > SPLASH_G && !self.expectation.at_once {
                        flow.step(since, off, landed);
                    } else {
                        flow.base += off;
                        if off.0 > ADDED_G {
                            events.added = Some(off);
                        }
                    }
                    self.guide.shift(off);
                    self.fast.restart(raw);
                }
            }
            Some(_) | None => flow.outside = Some((at, above)),
        }
    }
}
