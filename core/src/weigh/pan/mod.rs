//! What happens on the pan: placed, lifted, pressed, bumped, added, pour begun, settled.
//!
//! ```text
//!             +--------- still again ---------+
//!             v                               |
//! Warming -> Still -- abrupt or falling --> Moving
//!             |  ^                            ^
//!  rising     |  | landed                     | taken away, struck
//!             v  |                            |
//!          Pouring <-- flow again --> Settling
//! ```
//!
//! Everything is relative to the level before it; the zero only tells an empty pan from a loaded
//! one. The momentum of a jet stands in for the liquid in the air (both equal `Q v / g`), so while
//! a stream is steady the reading *is* what has left the bottle; when it ends the reading falls
//! back. Neither a peak nor that fall means anything here: a pour ends by its flow, and is judged
//! once it has settled.

mod changes;
mod disturbed;
mod start;
mod warming;

use crate::limits::{
    ABRUPT_FLOW_S, ABRUPT_G, CLIP_FLOW_S, CLIP_G, EMPTY_G, END_FLOW_G_PER_S, END_SHARE, FAST_TAU_S,
    GUIDE_TAU_S, INITIAL_ZERO_G, LEVEL_TAU_S, NOISE_G, NOISE_START_G, POUR_RISE_G_PER_S,
    SETTLE_HALF_OPEN_S, SETTLE_HALF_S, TAU_PERIODS,
};
use crate::output::Settled;
use crate::time::Instant;
use crate::units::{Grams, GramsPerSecond};

use super::estimator::{Estimator, EstimatorState, Line};
use super::settle::{Body, Settle, Settling};
use super::window::Window;
use changes::Move;
use start::Start;

/// What one sample told.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct PanEvents {
    /// The pan was emptied.
    pub lifted: bool,
    /// Something was set down; what the pan carries now.
    pub placed: Option<Grams>,
    /// A hand rested on the pan.
    pub pressed: bool,
    /// A knock.
    pub bumped: bool,
    /// Something came at once.
    pub added: Option<Grams>,
    /// Something was taken out of what stands on the pan.
    pub removed: Option<Grams>,
    /// Liquid has begun to land.
    pub pour_started: bool,
    /// The pour under way, if any.
    pub pouring: Option<Pouring>,
    /// The flow has ended (the pour may still settle).
    pub flow_ended: bool,
    /// A settled value.
    pub settling: Option<Settling>,
}

/// What is to be expected of a pour.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Expectation {
    /// How the liquid drips.
    pub body: Body,
    /// The flow is meant to end now: the stop was cued, or there was none to cue.
    pub stopping: bool,
}

/// A pour as it stands.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Pouring {
    /// When this was true: the sample's own time, not when it was read.
    pub at: Instant,
    /// What has landed since the pour began, and its flow.
    pub line: Line,
    /// The flow of the fast line: noisier, sooner.
    pub jerk: GramsPerSecond,
    /// Seconds since the pour was seen to begin.
    pub seconds: f32,
    /// Nothing knocked, fell in or leaned on the pan so far.
    pub clean: bool,
}

#[derive(Clone, Copy, Debug, PartialEq)]
enum State {
    /// Thrown away after power-up, then looking for a first zero.
    Warming { since: Option<Instant> },
    /// Nothing happens; `loaded` or empty.
    Still,
    /// Something came or went and is not still yet.
    Moving(Move),
    /// Liquid lands.
    Pouring(Flow),
    /// The flow has ended.
    Settling(Flow, Settle),
}

/// A flow under way.
#[derive(Clone, Copy, Debug, PartialEq)]
struct Flow {
    base: Grams,
    base_variance: f32,
    began: Instant,
    peak: GramsPerSecond,
    clean: bool,
    /// Since when samples lie outside the clip on one side, and on which.
    outside: Option<(Instant, bool)>,
    /// Since when the flow looks ended.
    ending: Option<Instant>,
    /// Since when it looks alive again.
    again: Option<Instant>,
    /// Since when the pan looks empty.
    empty: Option<Instant>,
}

/// The pan.
#[derive(Debug)]
pub struct Pan {
    state: State,
    fast: EstimatorState,
    guide: EstimatorState,
    window: Window,
    start: Start,
    /// A landed pour that may still drip.
    dripping: Option<Settle>,
    expectation: Expectation,
    level: Grams,
    level_since: Instant,
    zero: Grams,
    noise_variance: f32,
    last: Option<(Instant, Grams)>,
    last_abrupt: Instant,
    last_bump: Instant,
}

impl Pan {
    /// A pan that has seen nothing yet.
    #[must_use]
    pub const fn new() -> Self {
        Self {
            state: State::Warming { since: None },
            fast: EstimatorState::EMPTY,
            guide: EstimatorState::EMPTY,
            window: Window::new(),
            start: Start::new(),
            dripping: None,
            expectation: Expectation {
                body: Body::Unknown,
                stopping: false,
            },
            level: Grams::ZERO,
            level_since: Instant::ZERO,
            zero: Grams::ZERO,
            noise_variance: NOISE_START_G * NOISE_START_G,
            last: None,
            last_abrupt: Instant::ZERO,
            last_bump: Instant::ZERO,
        }
    }

    /// What is to be expected of the liquid and the hand from now on.
    pub fn expect(&mut self, expectation: Expectation) {
        self.expectation = expectation;
    }

    /// What stands on the pan, above zero.
    #[must_use]
    pub fn gross(&self) -> Grams {
        self.level - self.zero
    }

    /// The reading now, above zero.
    #[must_use]
    pub fn reading(&self) -> Grams {
        self.fast.line().mass - self.zero
    }

    /// Something stands on the pan.
    #[must_use]
    pub fn is_loaded(&self) -> bool {
        self.gross().0 >= EMPTY_G
    }

    /// The pan has warmed up and nothing moves on it.
    #[must_use]
    pub fn is_still(&self) -> bool {
        matches!(self.state, State::Still)
    }

    /// Rms noise of a sample.
    #[must_use]
    pub fn noise(&self) -> Grams {
        Grams(libm::sqrtf(self.noise_variance))
    }

    /// Takes the present reading of an empty pan as zero; false when something stands on it or
    /// it is not still.
    pub fn zero_now(&mut self) -> bool {
        let free = self.is_still() && self.gross().abs().0 < INITIAL_ZERO_G;
        if free {
            self.zero = self.level;
        }
        free
    }

    /// Takes a sample that belongs to `at`; `period_s` is the converter's period.
    pub fn sample(&mut self, at: Instant, raw: Grams, period_s: f32) -> PanEvents {
        let mut events = PanEvents::default();
        let Some((last_at, last_raw)) = self.last.replace((at, raw)) else {
            self.restart(at, raw);
            return events;
        };
        let interval = at.seconds_since(last_at).clamp(0.0, 1.0);
        self.window.push(at, raw);
        let flow = self.guide.line().flow.0.max(0.0);
        let limit =
            ABRUPT_G + 5.0 * self.noise().0 + POUR_RISE_G_PER_S * interval + ABRUPT_FLOW_S * flow;
        let abrupt = (raw - last_raw).abs().0 > limit;
        if abrupt {
            self.last_abrupt = at;
        }
        self.estimate(interval, raw, period_s);
        match self.state {
            State::Warming { since } => self.warm(since, at, period_s, &mut events),
            State::Still => self.rest(at, raw, interval, abrupt, period_s, &mut events),
            State::Moving(change) => self.moved(change, at, raw, period_s, &mut events),
            State::Pouring(flow) => self.pour(flow, at, raw, period_s, &mut events),
            State::Settling(flow, settle) => {
                self.settle(flow, settle, at, raw, period_s, &mut events);
            }
        }
        events
    }

    fn estimate(&mut self, interval: f32, raw: Grams, period_s: f32) {
        let fast = Estimator {
            tau_s: FAST_TAU_S.max(TAU_PERIODS.0 * period_s),
        };
        let guide = Estimator {
            tau_s: GUIDE_TAU_S.max(TAU_PERIODS.1 * period_s),
        };
        let expected = self.fast.line().at(interval);
        let innovation = raw - expected;
        if matches!(self.state, State::Moving(_) | State::Warming { .. }) {
            fast.update(&mut self.fast, interval, raw);
            guide.update(&mut self.guide, interval, raw);
            return;
        }
        // The glide toward the noise floor is slow: two seconds of quiet samples.
        if matches!(self.state, State::Still) && innovation.abs() < self.noise() * 4.0 {
            let share = (interval / 2.0).min(0.2);
            self.noise_variance += (innovation.0 * innovation.0 - self.noise_variance) * share;
            self.noise_variance = self
                .noise_variance
                .clamp(NOISE_G.0 * NOISE_G.0, NOISE_G.1 * NOISE_G.1);
        }
        let clip = self.clip();
        let cut = |line: Line| {
            let expected = line.at(interval);
            expected + Grams((raw - expected).0.clamp(-clip.0, clip.0))
        };
        let (fast_sample, guide_sample) = (cut(self.fast.line()), cut(self.guide.line()));
        fast.update(&mut self.fast, interval, fast_sample);
        guide.update(&mut self.guide, interval, guide_sample);
    }

    /// How far a sample may pull.
    fn clip(&self) -> Grams {
        Grams(CLIP_G + CLIP_FLOW_S * self.guide.line().flow.0.abs() + 4.0 * self.noise().0)
    }

    fn restart(&mut self, at: Instant, raw: Grams) {
        self.fast.restart(raw);
        self.guide.restart(raw);
        self.window.clear();
        self.window.push(at, raw);
    }

    fn stand(&mut self, at: Instant, level: Grams) {
        self.state = State::Still;
        self.level = level;
        self.level_since = at;
        self.start = Start::new();
    }

    fn rest(
        &mut self,
        at: Instant,
        raw: Grams,
        interval: f32,
        abrupt: bool,
        period_s: f32,
        events: &mut PanEvents,
    ) {
        if abrupt {
            self.move_on(at, raw, false);
            return;
        }
        if self.is_loaded() {
            let calm = at.seconds_since(self.last_abrupt);
            let (fast, guide) = (self.fast.line(), self.guide.line());
            if self
                .start
                .seen(at, fast, guide, self.level, self.noise(), calm)
            {
                self.begin_pour(at, events);
                return;
            }
        }
        if self
            .start
            .falling(at, self.fast.line(), self.level, self.noise())
        {
            self.move_on(at, raw, false);
            return;
        }
        // Creep and draught are followed quickly, what might be a slow pour slowly.
        let away = (self.fast.line().mass - self.level).abs().0;
        let tau = if away < 0.15 {
            LEVEL_TAU_S
        } else {
            3.0 * LEVEL_TAU_S
        };
        self.level += (raw - self.level) * (interval / tau).min(0.5);
        if let Some(settle) = &mut self.dripping {
            events.settling = settle.look(&self.window, at, period_s, self.noise_variance);
            if matches!(events.settling, Some(Settling::Steady(_))) {
                self.dripping = None;
            }
        } else if !self.is_loaded() {
            self.track_zero(interval);
        }
    }

    fn begin_pour(&mut self, at: Instant, events: &mut PanEvents) {
        self.dripping = None;
        let (base, base_variance) = self.base(at);
        self.state = State::Pouring(Flow {
            base,
            base_variance,
            began: at,
            peak: GramsPerSecond::ZERO,
            clean: at.seconds_since(self.last_abrupt) > 1.0,
            outside: None,
            ending: None,
            again: None,
            empty: None,
        });
        events.pour_started = true;
        events.pouring = self.pouring(at);
    }

    /// The pour under way.
    fn pouring(&self, at: Instant) -> Option<Pouring> {
        let flow = match &self.state {
            State::Pouring(flow) | State::Settling(flow, _) => flow,
            State::Warming { .. } | State::Still | State::Moving(_) => return None,
        };
        let line = self.guide.line();
        Some(Pouring {
            at,
            line: Line {
                mass: line.mass - flow.base,
                flow: line.flow,
            },
            jerk: self.fast.line().flow,
            seconds: at.seconds_since(flow.began),
            clean: flow.clean,
        })
    }

    fn pour(
        &mut self,
        mut flow: Flow,
        at: Instant,
        raw: Grams,
        period_s: f32,
        events: &mut PanEvents,
    ) {
        if self.taken_away(&mut flow, at, raw, period_s, events) {
            return;
        }
        self.absorb_step(&mut flow, at, raw, period_s, events);
        let (fast, guide) = (self.fast.line().flow, self.guide.line().flow);
        // The peak follows the eased flow down, or a trickle after an ease would look like an end.
        flow.peak = GramsPerSecond(guide.0.max(flow.peak.0 + (guide.0 - flow.peak.0) * 0.02));
        let floor = (END_SHARE * flow.peak.0).max(END_FLOW_G_PER_S.min(0.5 * flow.peak.0));
        if fast.0 < floor {
            let since = *flow.ending.get_or_insert(at);
            if at.seconds_since(since) >= 2.0 * period_s.min(0.02) {
                events.flow_ended = true;
                flow.again = None;
                let settle =
                    Settle::new(flow.base, flow.base_variance, since, self.expectation.body);
                self.state = State::Settling(flow, settle);
                events.pouring = self.pouring(at);
                return;
            }
        } else {
            flow.ending = None;
        }
        self.state = State::Pouring(flow);
        events.pouring = self.pouring(at);
    }

    fn settle(
        &mut self,
        mut flow: Flow,
        mut settle: Settle,
        at: Instant,
        raw: Grams,
        period_s: f32,
        events: &mut PanEvents,
    ) {
        if self.taken_away(&mut flow, at, raw, period_s, events) {
            return;
        }
        self.absorb_step(&mut flow, at, raw, period_s, events);
        settle.base = flow.base;
        let alive = self.fast.line().flow.0 > 1.5 * END_FLOW_G_PER_S
            && self.guide.line().flow.0 > END_FLOW_G_PER_S;
        if alive {
            let since = *flow.again.get_or_insert(at);
            if at.seconds_since(since) >= 0.05_f32.max(period_s) {
                flow.ending = None;
                flow.again = None;
                self.state = State::Pouring(flow);
                events.pouring = self.pouring(at);
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
        settle.patient(half);
        let known = settle.look(&self.window, at, period_s, self.noise_variance);
        self.state = State::Settling(flow, settle);
        events.pouring = self.pouring(at);
        if let Some(known) = known {
            events.settling = Some(known);
            let (Settling::Landed(settled)
            | Settling::Amended(settled)
            | Settling::Steady(settled)) = known;
            self.stand(at, flow.base + settled.mass);
            self.dripping = Some(settle);
        }
    }

    fn settled_noise(&self, count: u16) -> f32 {
        self.noise_variance / f32::from(count.max(1))
    }
}

impl Default for Pan {
    fn default() -> Self {
        Self::new()
    }
}

/// The value a settling carries.
#[must_use]
pub const fn settled_of(settling: Settling) -> Settled {
    match settling {
        Settling::Landed(settled) | Settling::Amended(settled) | Settling::Steady(settled) => {
            settled
        }
    }
}
