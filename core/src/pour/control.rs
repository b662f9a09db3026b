//! Cues for one pour, placed between conversions.

use crate::limits::{
    BUILD_UP_S, EASE_BLEND_S, EASE_DOUBTED_S, EASE_FLOW_G_PER_S, EASE_FOLLOWED_S, EASE_HALF_S,
    EASE_HEDGE_G, EASE_IGNORED_SHARE, EASE_KNOWN_S, EASE_LEAST_S, EASE_UNSEEN_S, EASE_WAITED_S,
    FREEZE_S, FULL_AFTER_S, GENTLY_SEEN_S, PLAN_AFTER_S, PLAN_FLOW_G_PER_S, PLAN_OFF_S,
    RAMP_AFTER_STOP_S, RAMP_S, RAMP_TAU_S,
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
    /// The flow before any ease, where the stream had built up by then.
    pub full: Option<GramsPerSecond>,
    /// How it stood when the ease was cued, if it was.
    pub ease: Option<EaseCue>,
    /// The stream was still building up or the hand still easing: the flow that was measured then
    /// is none that came.
    pub changing: bool,
    /// The ease was shown before liquid came.
    pub gently: bool,
}

/// What was known when the ease was cued.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct EaseCue {
    /// When it was cued.
    pub at: Instant,
    /// What had landed by then.
    pub mass: Grams,
    /// The flow then.
    pub flow: GramsPerSecond,
}

#[derive(Clone, Copy, Debug, PartialEq)]
enum Ease {
    /// Not cued yet, and may be.
    Open,
    /// Cued.
    Cued(EaseCue),
    /// Not for this pour.
    Never,
}

/// The guide of one pour.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Control {
    target: Grams,
    habit: Habit,
    ease: Ease,
    /// When the ease is due, and the flow it is planned with.
    ease_at: Option<(Instant, GramsPerSecond)>,
    stop_at: Option<Instant>,
    stopped: Option<Stopped>,
    ramp: Option<f32>,
    /// The flow before any ease, once the stream has built up.
    full: Option<GramsPerSecond>,
    /// How far the flow looks back.
    lag_s: f32,
    /// The ease was shown before liquid came.
    gently: bool,
    /// It is to be told once more, when liquid comes.
    ease_due: bool,
    /// The line at the time of its last sample.
    seen: Option<(Instant, Line)>,
}

impl Control {
    /// Guides to `target` with what is known of the hand; `gently` where it was told to pour
    /// slowly before liquid came.
    #[must_use]
    pub const fn new(target: Grams, habit: Habit, gently: bool) -> Self {
        Self {
            target,
            habit,
            ease: Ease::Open,
            ease_at: None,
            stop_at: None,
            stopped: None,
            ramp: None,
            full: None,
            lag_s: 0.0,
            gently,
            ease_due: false,
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

    /// The ease was cued.
    #[must_use]
    pub const fn is_eased(&self) -> bool {
        matches!(self.ease, Ease::Cued(_))
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
        Instant::sooner(self.ease_at.map(|(at, _)| at), self.stop_at)
    }

    /// Takes the pour as it stands and plans its cues.
    pub fn follow(&mut self, now: Instant, pouring: &Pouring) {
        let before = self.seen.replace((pouring.at, pouring.line));
        self.lag_s = pouring.lag_s;
        let interval = before.map_or(0.0, |(at, _)| pouring.at.seconds_since(at));
        if self.stopped.is_some() || (pouring.seconds < PLAN_AFTER_S && self.habit.usual().0 <= 0.0)
        {
            return;
        }
        if self.gently {
            self.begin_gently(pouring);
        }
        let flow = self.building_up(pouring);
        // Planned from the sample's own time: what has come since then is part of the forecast.
        let remaining = self.target - pouring.line.mass;
        if flow.0 < PLAN_FLOW_G_PER_S {
            self.ease_at = None;
            // Filled by drops, or by somebody who stopped in time: no cue is owed below the target.
            self.stop_at = (remaining.0 <= 0.0).then_some(now);
            return;
        }
        if pouring.seconds > FULL_AFTER_S {
            self.see_full(now, flow);
        }
        let age = now.seconds_since(pouring.at);
        let (first, then) = self.forecast(flow, pouring, age);
        let after = remaining - first - self.habit.overrun(then);
        let mut stop = pouring.at.offset((after.0 / then.0).clamp(0.0, 60.0));
        if let (Ease::Cued(cue), true) = (self.ease, self.habit.eases()) {
            // Two cues at once confuse; and a hand that is easing pours little meanwhile.
            stop = stop.max(cue.at.offset(EASE_LEAST_S));
        }
        self.stop_at = Some(match self.stop_at {
            Some(planned) => planned.offset(self.correction(now, planned, stop, interval)),
            None => stop,
        });
        self.plan_ease(now, remaining, flow, pouring.at);
    }

    /// A hand told beforehand eases as soon as it has tilted the bottle.
    fn begin_gently(&mut self, pouring: &Pouring) {
        match &mut self.ease {
            Ease::Open => {
                let at = pouring.at.offset(-pouring.seconds - GENTLY_SEEN_S);
                let flow = GramsPerSecond(self.habit.usual().0.max(pouring.jerk.0));
                let mass = Grams::ZERO;
                self.ease = Ease::Cued(EaseCue { at, mass, flow });
                self.ease_due = true;
            }
            // Until a hand can have followed, the flow it would have come to shows.
            Ease::Cued(cue) if pouring.at.seconds_since(cue.at) < EASE_FOLLOWED_S => {
                cue.flow = GramsPerSecond(cue.flow.0.max(pouring.jerk.0));
            }
            Ease::Cued(_) | Ease::Never => {}
        }
    }

    /// By how much the planned stop moves, seconds, now that it would be at `stop`.
    ///
    /// A hand reads the end of the ramp off its slope: it must not jitter. A plan that is off by
    /// more than noise is no jitter, and is put right at once.
    fn correction(&self, now: Instant, planned: Instant, stop: Instant, interval: f32) -> f32 {
        let off = stop.seconds_since(planned);
        if off.abs() > PLAN_OFF_S || self.is_easing(now) {
            off
        } else if planned.seconds_since(now) < FREEZE_S {
            0.0
        } else if self.ramp.is_some() {
            off * (interval / RAMP_TAU_S).min(1.0)
        } else {
            off
        }
    }

    /// Until a hand can have followed an ease it pours as before.
    fn see_full(&mut self, now: Instant, flow: GramsPerSecond) {
        match &mut self.ease {
            Ease::Cued(_) if self.gently => return,
            Ease::Cued(cue) if now.seconds_since(cue.at) < EASE_UNSEEN_S => cue.flow = flow,
            Ease::Cued(_) if self.habit.eases() => return,
            Ease::Cued(_) | Ease::Open | Ease::Never => {}
        }
        self.full = Some(flow);
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
            Ease::Cued(cue) if self.habit.eases() => {
                now.seconds_since(cue.at) < EASE_KNOWN_S + EASE_BLEND_S + self.lag_s
            }
            Ease::Cued(_) | Ease::Open | Ease::Never => false,
        }
    }

    /// What still comes above the eased flow, and the flow from then on.
    ///
    /// A hand that eases is expected to; one that pours as before for too long is taken not to
    /// have heard. The measured flow takes over gradually, because the line behind it looks back
    /// by two of its memories. Both are reckoned at the time of the sample.
    fn forecast(
        &self,
        flow: GramsPerSecond,
        pouring: &Pouring,
        age: f32,
    ) -> (Grams, GramsPerSecond) {
        let Ease::Cued(cue) = self.ease else {
            return (Grams::ZERO, flow);
        };
        if !self.habit.eases() {
            // What is measured is what comes.
            return (Grams::ZERO, flow);
        }
        let since = pouring.at.seconds_since(cue.at);
        let eased = self.habit.eased(cue.flow);
        if since < EASE_FOLLOWED_S {
            let more = (EASE_HALF_S - since).max(0.0);
            return ((cue.flow - eased).during(more), eased);
        }
        let unheard = since > EASE_DOUBTED_S + pouring.jerk_lag_s - age
            && pouring.jerk.0 > EASE_IGNORED_SHARE * cue.flow.0;
        if unheard {
            let too_much = if since < EASE_WAITED_S {
                EASE_HEDGE_G
            } else {
                0.0
            };
            return (Grams(-too_much), flow);
        }
        let known = EASE_KNOWN_S + self.lag_s - age;
        let measured = ((since - known) / EASE_BLEND_S).clamp(0.0, 1.0);
        (Grams::ZERO, eased + (flow - eased) * measured)
    }

    fn plan_ease(&mut self, now: Instant, remaining: Grams, flow: GramsPerSecond, at: Instant) {
        self.ease_at = None;
        if self.ease != Ease::Open || flow.0 < EASE_FLOW_G_PER_S {
            return;
        }
        let needed = self.habit.ease_needs(flow, self.lag_s);
        let ease_at = at.offset(((remaining - needed).0 / flow.0).clamp(0.0, 60.0));
        if ease_at > now {
            self.ease_at = Some((ease_at, flow));
            return;
        }
        // Too late for the full lead: still worth it while the hand has time to follow.
        let remaining = remaining - flow.during(now.seconds_since(at));
        let eased = self.habit.eased(flow);
        let first = flow.during(EASE_HALF_S) + self.habit.overrun(eased);
        let left = EASE_HALF_S + (remaining - first).0 / eased.0;
        if left >= EASE_LEAST_S {
            self.ease_at = Some((now, flow));
        } else if self.full.is_some() {
            self.ease = Ease::Never;
        }
    }

    /// The cue due at `now`, if any; the stop wins.
    pub fn call(&mut self, now: Instant) -> Option<Call> {
        if self.stopped.is_some() {
            self.run_ramp(now);
            return None;
        }
        let (mass, flow) = self
            .seen
            .map_or((Grams::ZERO, GramsPerSecond::ZERO), |(at, line)| {
                (line.at(now.seconds_since(at).clamp(0.0, 0.6)), line.flow)
            });
        if self.stop_at.is_some_and(|at| at <= now) {
            self.stopped = Some(Stopped {
                at: now,
                mass,
                flow,
                full: self.full,
                ease: match self.ease {
                    Ease::Cued(cue) => Some(cue),
                    Ease::Open | Ease::Never => None,
                },
                changing: (self.full.is_none() && !self.gently) || self.is_easing(now),
                gently: self.gently,
            });
            self.ease_at = None;
            self.run_ramp(now);
            return Some(Call::Stop);
        }
        if core::mem::take(&mut self.ease_due) {
            return Some(Call::Ease);
        }
        if let Some((at, flow)) = self.ease_at
            && at <= now
        {
            self.ease = Ease::Cued(EaseCue {
                at: now,
                mass,
                flow,
            });
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
