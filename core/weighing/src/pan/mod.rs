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

mod aside;
mod changes;
mod doubt;
mod events;
mod flow;
mod lean;
mod standing;
mod start;
mod wander;
mod zero;

use crate::limits::{
    ABRUPT_FLOW_S, ABRUPT_G, CLIP_FLOW_S, CLIP_G, DISCARD_S, EMPTY_G, FAST_TAU_S,
    FILTER_DELAY_PERIODS, GUIDE_TAU_S, HUMP_PERIOD_S, INITIAL_ZERO_G, KNOCKED_S, LEVEL_TAU_S,
    NOISE_G, NOISE_START_G, POUR_RISE_G_PER_S, SHOWN_G, TAU_PERIODS, WANDER_CALM_S, WARY_S,
};
use crate::time::Instant;
use crate::units::{Grams, GramsPerSecond};

use super::estimator::{Estimator, EstimatorState, Line};
use super::settle::{Body, Settle, Settling};
use super::window::Window;
use changes::{Change, Move};
pub use events::{Expectation, PanEvents, Pouring, settled_of};
use flow::Flow;
use start::{Onset, Sight, Start};
use wander::Wander;
use zero::Slow;

#[derive(Clone, Copy, Debug, PartialEq)]
#[expect(
    clippy::large_enum_variant,
    reason = "there is one pan, worked on in place, and no heap to put the flow on"
)]
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
    slow: Slow,
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
            slow: Slow::new(),
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
        self.slow.held = held;
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
        self.slow.came = Grams::ZERO;
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
        self.first_zero(events);
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
        let calm_s = at.seconds_since(self.last_abrupt);
        let standing_s = at.seconds_since(self.level_since);
        let seen = self.onset(at, (last, raw), calm_s, period_s);
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
        let rise = (raw - self.level) * (interval / tau).min(0.5);
        self.level += rise;
        if self.is_loaded() {
            self.creep(rise, standing_s, interval);
        }
        if calm_s.min(standing_s) > WANDER_CALM_S {
            self.wander.rest(at, raw);
        } else {
            self.wander.disturb();
        }
        if let Some(settle) = &mut self.dripping {
            let noise = self.wander.noise();
            let base = settle.base;
            events.settling = settle.look(&self.window, at, period_s, noise);
            if let Some(settling) = events.settling {
                self.slow.came = self.level - base - settled_of(settling).mass;
            }
            if matches!(events.settling, Some(Settling::Steady(_))) {
                self.dripping = None;
            }
        } else if !self.is_loaded() {
            self.track_zero(at, interval);
        }
    }

    /// What begins with this sample of a resting pan, if anything.
    fn onset(
        &mut self,
        at: Instant,
        (last, raw): (Grams, Grams),
        calm_s: f32,
        period_s: f32,
    ) -> Onset {
        let (fast, guide) = (self.fast.line(), self.guide.line());
        if self.start.is_idle(fast, guide, self.level, period_s) {
            return Onset::Nothing;
        }
        self.start.seen(&Sight {
            at,
            raw,
            last,
            fast,
            guide,
            level: self.level,
            noise: self.noise,
            wander: self.wander.cautious(),
            calm_s,
            touched: calm_s < WARY_S,
            at_once: self.expectation.at_once && !self.trails(at),
            knocked: self.last_bump > Instant::ZERO && at.seconds_since(self.last_bump) < KNOCKED_S,
            period_s,
        })
    }

    fn empty(&mut self, at: Instant, raw: Grams, events: &mut PanEvents) {
        events.lifted = true;
        events.dripped = self.take_drip();
        self.forget_strays();
        self.dripping = None;
        self.restart(at, raw);
        self.stand(at, raw);
    }

    fn move_on(&mut self, at: Instant, raw: Grams, was_pouring: bool) {
        self.state = State::Moving(Move::new(at, self.level, raw, was_pouring));
    }

    /// Applies what a move turned out to be.
    fn apply(&mut self, change: Change, at: Instant, level: Grams, events: &mut PanEvents) {
        let (came, left) = (self.slow.came, self.slow.left);
        match change {
            Change::Placed => {
                self.forget_strays();
                self.dripping = None;
                self.stand(at, level);
                events.placed = Some(self.gross());
            }
            Change::Lifted => self.empty(at, level, events),
            Change::Added(grams) => {
                self.dripping = None;
                self.stand(at, level);
                self.slow.came = came;
                self.stray(grams);
                events.added = Some(grams);
            }
            Change::Removed(grams) => {
                self.dripping = None;
                if self.only_strays_left(level, grams) {
                    events.left = self.slow.left - left;
                    self.empty(at, level, events);
                } else {
                    self.stand(at, level);
                    self.slow.came = came;
                    events.removed = Some(grams);
                }
            }
            Change::Pressed | Change::Bumped | Change::Nothing => {
                self.stand(at, level);
                self.slow.came = came;
                events.pressed = change == Change::Pressed;
                events.bumped = change == Change::Bumped;
            }
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
