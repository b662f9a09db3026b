//! Cues for one pour, placed between conversions.

use crate::limits::{
    BUILD_UP_S, EASE_DOUBTED_S, EASE_FLOW_G_PER_S, EASE_FOLLOWED_S, EASE_HALF_S, EASE_HEDGE_G,
    EASE_HEDGE_POURS, EASE_IGNORED_SHARE, EASE_KNOWN_S, EASE_LEAD_S, EASE_LEAST_S, FREEZE_S,
    PLAN_AFTER_S, PLAN_FLOW_G_PER_S, RAMP_AFTER_STOP_S, RAMP_S, RAMP_TAU_S,
};
use crate::time::Instant;
use crate::units::{Grams, GramsPerSecond};
use crate::weigh::estimator::Line;
use crate::weigh::pan::Pouring;

use super::overrun::Habit;

/// A cue that is due.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Call {
    /// Slower.
    Ease,
    /// Stop.
    Stop,
}

/// What was known when the stop was cued; the rest is overrun.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Stopped {
    /// When it was cued.
    pub at: Instant,
    /// What had landed by then.
    pub mass: Grams,
    /// The flow then.
    pub flow: GramsPerSecond,
    /// The flow when the ease was cued, if it was.
    pub before_ease: Option<GramsPerSecond>,
}

#[derive(Clone, Copy, Debug, PartialEq)]
enum Ease {
    /// Not cued yet, and may be.
    Open,
    /// Cued, at this flow.
    Cued(Instant, GramsPerSecond),
    /// Not for this pour.
    Never,
}

/// The guide of one pour.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Control {
    target: Grams,
    habit: Habit,
    ease: Ease,
    ease_at: Option<Instant>,
    stop_at: Option<Instant>,
    stopped: Option<Stopped>,
    ramp: Option<f32>,
    /// How far the flow looks back.
    lag_s: f32,
    /// The line at the time of its last sample.
    seen: Option<(Instant, Line)>,
}

impl Control {
    /// Guides to `target` with what is known of the hand.
    #[must_use]
    pub const fn new(target: Grams, habit: Habit) -> Self {
        Self {
            target,
            habit,
            ease: Ease::Open,
            ease_at: None,
            stop_at: None,
            stopped: None,
            ramp: None,
            lag_s: 0.0,
            seen: None,
        }
    }

    /// What is to land.
    #[must_use]
    pub const fn target(&self) -> Grams {
        self.target
    }

    /// What has landed by `now`, as far as the samples tell.
    #[must_use]
    pub fn mass(&self, now: Instant) -> Grams {
        self.seen.map_or(Grams::ZERO, |(at, line)| {
            if line.flow.0 > PLAN_FLOW_G_PER_S && self.stopped.is_none() {
                line.at(now.seconds_since(at).clamp(0.0, 0.4))
            } else {
                line.mass
            }
        })
    }

    /// The flow when the ease was cued.
    const fn flow_before_ease(&self) -> Option<GramsPerSecond> {
        match self.ease {
            Ease::Cued(_, flow) => Some(flow),
            Ease::Open | Ease::Never => None,
        }
    }

    /// The ease was cued.
    #[must_use]
    pub const fn is_eased(&self) -> bool {
        matches!(self.ease, Ease::Cued(..))
    }

    /// What was known at the stop cue, once it has sounded.
    #[must_use]
    pub const fn stopped(&self) -> Option<Stopped> {
        self.stopped
    }

    /// Progress of the ramp, while it runs.
    #[must_use]
    pub const fn ramp(&self) -> Option<f32> {
        self.ramp
    }

    /// When the next cue is due.
    #[must_use]
    pub fn deadline(&self) -> Option<Instant> {
        if self.stopped.is_some() {
            return None;
        }
        Instant::sooner(self.ease_at, self.stop_at)
    }

    /// Takes the pour as it stands and plans its cues.
    pub fn follow(&mut self, now: Instant, pouring: &Pouring) {
        let before = self.seen.replace((pouring.at, pouring.line));
        self.lag_s = pouring.lag_s;
        let interval = before.map_or(0.0, |(at, _)| pouring.at.seconds_since(at));
        if self.stopped.is_some() || pouring.seconds < PLAN_AFTER_S {
            return;
        }
        let flow = self.building_up(pouring);
        let known = !self.is_easing(now) && flow.0 > PLAN_FLOW_G_PER_S;
        let near = |at: Instant| at.seconds_since(now) < FREEZE_S;
        if known && self.stop_at.is_some_and(near) {
            return;
        }
        let remaining = self.target - pouring.line.at(now.seconds_since(pouring.at));
        if flow.0 < PLAN_FLOW_G_PER_S {
            self.ease_at = None;
            // Filled by drops, or by somebody who stopped in time: no cue is owed below the target.
            self.stop_at = (remaining.0 <= 0.0).then_some(now);
            return;
        }
        let (first, then) = self.forecast(now, flow, pouring.jerk, pouring.jerk_lag_s);
        let after = remaining - first - self.habit.overrun(then);
        let stop = now.offset((after.0 / then.0).clamp(0.0, 60.0));
        self.stop_at = Some(match self.stop_at {
            // A hand reads the end of the ramp off its slope: it must not jitter.
            Some(planned) if self.ramp.is_some() => {
                planned.offset(stop.seconds_since(planned) * (interval / RAMP_TAU_S).min(1.0))
            }
            Some(_) | None => stop,
        });
        self.plan_ease(now, remaining, flow);
    }

    /// The flow to plan with while the stream may still be building up.
    fn building_up(&self, pouring: &Pouring) -> GramsPerSecond {
        let measured = pouring.line.flow;
        if pouring.seconds > BUILD_UP_S || self.is_eased() {
            return measured;
        }
        let missing = (self.habit.usual() - measured).0.max(0.0);
        measured + GramsPerSecond(missing * (1.0 - pouring.seconds / BUILD_UP_S))
    }

    /// The hand is following an ease, and the measured flow lags behind it.
    fn is_easing(&self, now: Instant) -> bool {
        match self.ease {
            Ease::Cued(at, _) => now.seconds_since(at) < EASE_KNOWN_S + self.lag_s,
            Ease::Open | Ease::Never => false,
        }
    }

    /// What still comes at the flow before an ease, and the flow from then on.
    ///
    /// Until the hand has had time to follow, it is expected to; a hand that then still pours as
    /// before is one of those that never ease. The measured flow takes over gradually, because
    /// the line behind it looks back by two of its memories.
    fn forecast(
        &self,
        now: Instant,
        flow: GramsPerSecond,
        jerk: GramsPerSecond,
        jerk_lag_s: f32,
    ) -> (Grams, GramsPerSecond) {
        let Ease::Cued(at, before) = self.ease else {
            return (Grams::ZERO, flow);
        };
        let since = now.seconds_since(at);
        let known = EASE_KNOWN_S + self.lag_s;
        let eased = self.habit.eased(before);
        if since < EASE_FOLLOWED_S {
            let more = (EASE_HALF_S - since).max(0.0);
            return ((before - eased).during(more), eased);
        }
        let doubted = self.habit.pours() < EASE_HEDGE_POURS && since > EASE_DOUBTED_S + jerk_lag_s;
        if doubted && jerk.0 > EASE_IGNORED_SHARE * before.0 {
            return (Grams::ZERO, flow);
        }
        if since >= known {
            return (Grams::ZERO, flow);
        }
        // While the jet weakens its fading force makes the flow look smaller than it is.
        let flow = GramsPerSecond(flow.0.min(jerk.0).max(0.5 * eased.0));
        let measured = (since - EASE_FOLLOWED_S) / (known - EASE_FOLLOWED_S);
        (Grams::ZERO, eased + (flow - eased) * measured)
    }

    fn plan_ease(&mut self, now: Instant, remaining: Grams, flow: GramsPerSecond) {
        self.ease_at = None;
        if self.ease != Ease::Open || flow.0 < EASE_FLOW_G_PER_S {
            return;
        }
        let eased = self.habit.eased(flow);
        let first = flow.during(EASE_HALF_S) + self.habit.overrun(eased);
        let mut needed = first + eased.during(EASE_LEAD_S + self.lag_s - EASE_HALF_S);
        if self.habit.pours() < EASE_HEDGE_POURS {
            let unheard = flow.during(EASE_FOLLOWED_S) + self.habit.overrun(flow);
            needed = Grams(needed.0.max(unheard.0 - EASE_HEDGE_G));
        }
        let ease_in = (remaining - needed).0 / flow.0;
        if ease_in > 0.0 {
            self.ease_at = Some(now.offset(ease_in.min(60.0)));
            return;
        }
        // Too late for the full lead: still worth it while the hand has time to follow.
        let left = EASE_HALF_S + (remaining - first).0 / eased.0;
        if left >= EASE_LEAST_S {
            self.ease_at = Some(now);
        } else {
            self.ease = Ease::Never;
        }
    }

    /// The cue due at `now`, if any; the stop wins.
    pub fn call(&mut self, now: Instant) -> Option<Call> {
        if self.stopped.is_some() {
            self.run_ramp(now);
            return None;
        }
        if self.stop_at.is_some_and(|at| at <= now) {
            let (mass, flow) = self
                .seen
                .map_or((Grams::ZERO, GramsPerSecond::ZERO), |(at, line)| {
                    (line.at(now.seconds_since(at).clamp(0.0, 0.6)), line.flow)
                });
            self.stopped = Some(Stopped {
                at: now,
                mass,
                flow,
                before_ease: self.flow_before_ease(),
            });
            self.ease_at = None;
            self.run_ramp(now);
            return Some(Call::Stop);
        }
        if self.ease_at.is_some_and(|at| at <= now) {
            let flow = self
                .seen
                .map_or(GramsPerSecond::ZERO, |(_, line)| line.flow);
            self.ease = Ease::Cued(now, flow);
            self.ease_at = None;
            return Some(Call::Ease);
        }
        self.run_ramp(now);
        None
    }

    /// The ramp runs up to the moment the hand is to move; it never runs back.
    fn run_ramp(&mut self, now: Instant) {
        let stop = self.stopped.map(|stopped| stopped.at).or(self.stop_at);
        let Some(stop) = stop else {
            self.ramp = None;
            return;
        };
        if self.is_easing(now) && self.stopped.is_none() {
            // The flow is about to fall and the stop to move away with it.
            return;
        }
        let left = stop.offset(RAMP_AFTER_STOP_S).seconds_since(now);
        if left <= 0.0 {
            self.ramp = None;
        } else if left < RAMP_S || self.ramp.is_some() {
            let progress = (1.0 - left / RAMP_S).clamp(0.0, 1.0);
            self.ramp = Some(self.ramp.map_or(progress, |before| before.max(progress)));
        }
    }
}
