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
mod doubt;
mod flow;
mod standing;
mod start;
mod wander;

use crate::limits::{
    ABRUPT_FLOW_S, ABRUPT_G, CLIP_FLOW_S, CLIP_G, DISCARD_S, EMPTY_G, FAST_TAU_S,
    FILTER_DELAY_PERIODS, GUIDE_TAU_S, HUMP_PERIOD_S, INITIAL_ZERO_G, KNOCKED_S, LEVEL_TAU_S,
    NOISE_G, NOISE_START_G, POUR_RISE_G_PER_S, SHOWN_G, TAU_PERIODS, WANDER_CALM_S, WARY_S,
};
use crate::output::Settled;
use crate::time::Instant;
use crate::units::{Grams, GramsPerSecond};

use super::estimator::{Estimator, EstimatorState, Line};
use super::settle::{Body, Settle, Settling};
use super::window::Window;
use changes::{Change, Move};
use flow::Flow;
use start::{Onset, Sight, Start};
use wander::Wander;

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
    /// What stands on the pan is being stirred: told once a stir.
    pub stirred: bool,
    /// Something came at once.
    pub added: Option<Grams>,
    /// Something was taken out of what stands on the pan.
    pub removed: Option<Grams>,
    /// Liquid has begun to land.
    pub pour_started: bool,
    /// The pour under way, if any.
    pub pouring: Option<Pouring>,
    /// Something came or went and is not still yet.
    pub moving: bool,
    /// A settled value.
    pub settling: Option<Settling>,
}

/// What is to be expected of a pour.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Expectation {
    /// How the liquid drips.
    pub body: Body,
    /// The flow is meant to end now: the stop was cued, or there was none to cue.
    pub stopping: bool,
    /// Once so much of this pour has landed, a flow that begins anew is the next pour, grams;
    /// `None` where it can only be more of the same.
    pub passes: Option<Grams>,
    /// It comes at once: a dash, a spoon, a whole thing. What rises is believed sooner.
    pub at_once: bool,
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
    /// How far the flow of the line looks back, seconds: the converter's delay and two memories.
    pub lag_s: f32,
    /// The same of the fast line.
    pub jerk_lag_s: f32,
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
    /// Liquid lands; settling, once the flow has ended.
    Pouring(Flow),
}

/// The pan.
#[derive(Debug)]
pub struct Pan {
    state: State,
    fast: EstimatorState,
    guide: EstimatorState,
    window: Window,
    start: Start,
    wander: Wander,
    /// A landed pour that may still drip.
    dripping: Option<Settle>,
    expectation: Expectation,
    zero_held: bool,
    doubted: bool,
    /// Delay of the converter's filter, periods.
    filter_delay: f32,
    level: Grams,
    level_since: Instant,
    zero: Grams,
    noise_variance: f32,
    noise: f32,
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
            wander: Wander::new(),
            dripping: None,
            expectation: Expectation {
                body: Body::Unknown,
                stopping: false,
                passes: None,
                at_once: false,
            },
            zero_held: false,
            doubted: false,
            filter_delay: FILTER_DELAY_PERIODS,
            level: Grams::ZERO,
            level_since: Instant::ZERO,
            zero: Grams::ZERO,
            noise_variance: NOISE_START_G * NOISE_START_G,
            noise: NOISE_START_G,
            last: None,
            last_abrupt: Instant::ZERO,
            last_bump: Instant::ZERO,
        }
    }

    /// The filter of the converter delays by so many periods.
    pub const fn set_filter_delay(&mut self, periods: f32) {
        self.filter_delay = periods;
    }

    /// What is to be expected of the liquid and the hand from now on.
    pub fn prepare(&mut self, expectation: Expectation) {
        self.expectation = expectation;
    }

    /// Holds the zero where it is, or lets it be tracked again.
    pub fn hold_zero(&mut self, held: bool) {
        self.zero_held = held;
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

    /// The same for whoever looks: the level while the reading keeps to it, so that it is quiet.
    #[must_use]
    pub fn shown(&self) -> Grams {
        let reading = self.fast.line().mass;
        let near = (reading - self.level).abs() < Grams(SHOWN_G) + self.noise() * 2.0;
        let shown = if near && self.is_still() {
            self.level
        } else {
            reading
        };
        shown - self.zero
    }

    /// How fast the reading rises now.
    #[must_use]
    pub fn flow(&self) -> GramsPerSecond {
        self.guide.line().flow
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
    pub const fn noise(&self) -> Grams {
        Grams(self.noise)
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
            self.take_up(at, raw);
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
            State::Still => self.rest(at, (last_raw, raw), interval, abrupt, period_s, &mut events),
            State::Moving(change) => self.moved(change, at, raw, period_s, &mut events),
            State::Pouring(Flow { settle: None, .. }) => {
                self.pour(at, raw, period_s, &mut events);
            }
            State::Pouring(Flow { .. }) => self.settle(at, raw, period_s, &mut events),
        }
        events.moving = matches!(self.state, State::Moving(_));
        events
    }

    fn estimate(&mut self, interval: f32, raw: Grams, period_s: f32) {
        let (fast, guide) = estimators(period_s);
        let expected = self.fast.line().at(interval);
        let innovation = raw - expected;
        if matches!(self.state, State::Moving(_) | State::Warming { .. }) {
            fast.update(&mut self.fast, interval, raw);
            guide.update(&mut self.guide, interval, raw);
            return;
        }
        // The glide toward the noise floor is slow: two seconds of quiet samples.
        if matches!(self.state, State::Still)
            && !self.doubted
            && innovation.abs() < self.noise() * 4.0
        {
            let share = (interval / 2.0).min(0.2);
            self.noise_variance += (innovation.0 * innovation.0 - self.noise_variance) * share;
            self.noise_variance = self
                .noise_variance
                .clamp(NOISE_G.0 * NOISE_G.0, NOISE_G.1 * NOISE_G.1);
            // One step of Heron's rule: the variance moves slowly, so this follows its root.
            self.noise = 0.5 * (self.noise + self.noise_variance / self.noise);
        }
        let clip = self.clip();
        let cut = |line: Line| {
            let expected = line.at(interval);
            expected + (raw - expected).within(clip)
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

    fn warm(&mut self, since: Option<Instant>, at: Instant, period_s: f32, events: &mut PanEvents) {
        let Some(since) = since else {
            self.state = State::Warming { since: Some(at) };
            return;
        };
        let seconds = at.seconds_since(since);
        if seconds < DISCARD_S {
            return;
        }
        let Some(level) = self
            .stillness(at, period_s, self.guide.line().mass)
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

    fn rest(
        &mut self,
        at: Instant,
        (last, raw): (Grams, Grams),
        interval: f32,
        abrupt: bool,
        period_s: f32,
        events: &mut PanEvents,
    ) {
        if abrupt {
            self.move_on(at, raw, false);
            return;
        }
        if self.doubted {
            return;
        }
        let seen = self.start.seen(&Sight {
            at,
            raw,
            last,
            fast: self.fast.line(),
            guide: self.guide.line(),
            level: self.level,
            noise: self.noise,
            wander: self.wander.cautious(),
            calm_s: at.seconds_since(self.last_abrupt),
            touched: at.seconds_since(self.last_abrupt) < WARY_S,
            at_once: self.expectation.at_once,
            knocked: self.last_bump > Instant::ZERO && at.seconds_since(self.last_bump) < KNOCKED_S,
            period_s,
        });
        match seen {
            Onset::Pour if self.is_loaded() => {
                self.begin_pour(at, period_s, events);
                return;
            }
            Onset::Touch(top) => {
                self.last_abrupt = at;
                let change = Move::new(at, self.level, raw, false);
                self.state = State::Moving(change.reached(top, period_s > HUMP_PERIOD_S));
                return;
            }
            Onset::Pour | Onset::Nothing => {}
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
        if at.seconds_since(self.level_since.max(self.last_abrupt)) > WANDER_CALM_S {
            self.wander.rest(at, raw);
        } else {
            self.wander.disturb();
        }
        if let Some(settle) = &mut self.dripping {
            let noise = self.wander.noise();
            events.settling = settle.look(&self.window, at, period_s, noise);
            if matches!(events.settling, Some(Settling::Steady(_))) {
                self.dripping = None;
            }
        } else if !self.is_loaded() && !self.zero_held {
            self.track_zero(interval);
        }
    }

    fn empty(&mut self, at: Instant, raw: Grams, events: &mut PanEvents) {
        events.lifted = true;
        self.dripping = None;
        self.restart(at, raw);
        self.stand(at, raw);
    }

    fn move_on(&mut self, at: Instant, raw: Grams, was_pouring: bool) {
        self.state = State::Moving(Move::new(at, self.level, raw, was_pouring));
    }

    /// Applies what a move turned out to be.
    fn apply(&mut self, change: Change, at: Instant, level: Grams, events: &mut PanEvents) {
        match change {
            Change::Placed => {
                self.dripping = None;
                self.stand(at, level);
                events.placed = Some(self.gross());
            }
            Change::Lifted => self.empty(at, level, events),
            Change::Added(grams) => {
                self.dripping = None;
                self.stand(at, level);
                events.added = Some(grams);
            }
            Change::Removed(grams) => {
                self.dripping = None;
                self.stand(at, level);
                events.removed = Some(grams);
            }
            Change::Pressed => {
                self.stand(at, level);
                events.pressed = true;
            }
            Change::Bumped => {
                self.stand(at, level);
                events.bumped = true;
            }
            Change::Nothing => self.stand(at, level),
        }
        self.fast.restart(level);
        self.guide.restart(level);
    }
}

impl Default for Pan {
    fn default() -> Self {
        Self::new()
    }
}

/// The fast and the guiding line at this period.
fn estimators(period_s: f32) -> (Estimator, Estimator) {
    (
        Estimator {
            tau_s: FAST_TAU_S.max(TAU_PERIODS.0 * period_s),
        },
        Estimator {
            tau_s: GUIDE_TAU_S.max(TAU_PERIODS.1 * period_s),
        },
    )
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
