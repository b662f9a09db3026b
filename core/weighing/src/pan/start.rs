//! When liquid begins to land, and from which level it counts.

use crate::limits::{
    BASE_GAP_S, BASE_SPAN_S, BUMP_G, BUMP_G_S, DASH_HOLD_S, FALL_G, HUMP_BACK, HUMP_GOES_ON,
    HUMP_PERIOD_S, HUMP_RISE_G, HUMP_RISES, HUMP_SIGMAS, JERK_FLOW_G_PER_S, JERK_SEEN_S,
    JERK_STAYS_S, POUR_RISE_MAX_G_PER_S, SLOW_DASH_G, SLOW_START_HOLD_S, SLOW_START_RISE_G,
    SLOW_START_SIGMAS, SLOW_START_WANDERS, START_CALM_S, START_FLOW_G_PER_S, START_FLOW_SIGMAS,
    START_HOLD_S, START_RISE_G, START_SIGMAS, START_SMALL_G, SWELL_G_PER_S, SWELL_MOST_G, SWELL_S,
    SWELL_SHARE, TOUCH_G, TOUCH_S, TOUCH_SHARE, TRICKLE_S, WARY_RISE_S,
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
    /// When it last rose as fast as only liquid or a hand does.
    jerked: Option<Instant>,
    standing: Option<Instant>,
    falling: Option<Instant>,
    hump: Hump,
}

/// A rise seen by a slow converter: its samples spread a knock over three of them, and the first
/// two of these rise just as a pour does.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
struct Hump {
    /// The sample before it.
    foot: Grams,
    top: Grams,
    /// Samples since then, and how many of them rose, without a break.
    age: u8,
    rises: u8,
    /// The last two rises, grams, the later one first.
    steps: (f32, f32),
}

/// What the beginning of something turned out to be.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) enum Onset {
    Nothing,
    Pour,
    /// It rose so high and fell back, or stays there, at once: no stream does.
    Touch(Grams),
}

/// A resting pan's sample and what the lines make of it.
#[derive(Clone, Copy, Debug)]
pub(super) struct Sight {
    pub(super) at: Instant,
    pub(super) raw: Grams,
    /// The sample before.
    pub(super) last: Grams,
    pub(super) fast: Line,
    pub(super) guide: Line,
    pub(super) level: Grams,
    pub(super) noise: f32,
    /// Variance of a resting reading about the true level, g^2.
    pub(super) wander: f32,
    /// Seconds since anything abrupt.
    pub(super) calm_s: f32,
    /// Something abrupt happened just before.
    pub(super) touched: bool,
    /// What is offered comes at once.
    pub(super) at_once: bool,
    /// The bench was knocked lately.
    pub(super) knocked: bool,
    pub(super) period_s: f32,
}

impl Start {
    pub(super) const fn new() -> Self {
        Self {
            rising: None,
            creeping: None,
            jerked: None,
            standing: None,
            falling: None,
            hump: Hump {
                foot: Grams::ZERO,
                top: Grams::ZERO,
                age: 0,
                rises: 0,
                steps: (0.0, 0.0),
            },
        }
    }

    /// What one more sample makes of it.
    pub(super) fn seen(&mut self, sight: &Sight) -> Onset {
        let &Sight {
            at,
            raw,
            last,
            fast,
            level,
            noise,
            calm_s,
            touched,
            knocked,
            period_s,
            ..
        } = sight;
        let sparse = period_s > HUMP_PERIOD_S;
        let least_rises = if touched || knocked {
            HUMP_RISES.1
        } else {
            HUMP_RISES.0
        };
        if sparse && let Some(top) = self.hump.back(sight) {
            return Onset::Touch(top - level);
        }
        if sparse && (raw - self.hump.foot).0 > self.hump.most() * period_s {
            return Onset::Touch(raw - level);
        }
        let rising = fast.flow.0 > START_FLOW_G_PER_S.0 + START_FLOW_SIGMAS.0 * noise
            && fast.flow.0 < POUR_RISE_MAX_G_PER_S
            && calm_s > START_CALM_S;
        let high = fast.mass - level;
        let risen_s = held_s(&mut self.rising, rising, at);
        // A stream swells; a finger that leans on the rim is there at once.
        let average = high.0 / (risen_s + START_HOLD_S);
        let flat = risen_s < TOUCH_S && fast.flow.0 < TOUCH_SHARE * average;
        if !sparse
            && !sight.at_once
            && risen_s > SWELL_S
            && (high.0 > SWELL_MOST_G || high.0 > TOUCH_G && flat)
        {
            return Onset::Touch(high);
        }
        let swells =
            high.0 < START_SMALL_G || risen_s > SWELL_S && fast.flow.0 > SWELL_SHARE * average;
        let begun = risen_s >= if touched { WARY_RISE_S } else { START_HOLD_S }
            && (sparse || swells)
            && high.0 > START_RISE_G + START_SIGMAS * noise
            && fast.flow.0 > START_FLOW_G_PER_S.1 + START_FLOW_SIGMAS.1 * noise
            && (raw - fast.mass).0 > -START_SIGMAS * noise
            && (sparse || (last - level).0 > START_RISE_G)
            && (!sparse || self.hump.rises >= least_rises && self.hump.goes_on());
        let dashed = !sparse
            && sight.at_once
            && risen_s >= DASH_HOLD_S
            && high.0 > START_RISE_G + START_SIGMAS * noise;
        if begun || dashed || self.creeps(sight) || !sparse && self.stays(sight) {
            Onset::Pour
        } else {
            Onset::Nothing
        }
    }

    /// Nothing was begun, and nothing of this sample could begin: nearly all of a resting pan's.
    /// A slow converter's samples all count.
    pub(super) fn is_idle(&self, fast: Line, guide: Line, level: Grams, period_s: f32) -> bool {
        let slow = START_FLOW_G_PER_S.0.min(JERK_FLOW_G_PER_S);
        period_s <= HUMP_PERIOD_S
            && fast.flow.0 <= slow
            && (guide.mass - level).0 <= SLOW_START_RISE_G.0
            && self.rising.is_none()
            && self.creeping.is_none()
            && self.jerked.is_none()
            && self.standing.is_none()
    }

    /// A dash: up at once, as no draught pushes, and there it stays.
    fn stays(&mut self, sight: &Sight) -> bool {
        let &Sight { at, noise, .. } = sight;
        let calm = sight.calm_s > START_CALM_S;
        if calm && sight.fast.flow.0 > JERK_FLOW_G_PER_S + START_FLOW_SIGMAS.0 * noise {
            self.jerked.get_or_insert(at);
        } else if self
            .jerked
            .is_some_and(|jerked| at.seconds_since(jerked) > JERK_SEEN_S)
        {
            self.jerked = None;
        }
        let high = (sight.fast.mass - sight.level).0;
        let stands = self.jerked.is_some() && calm && high > START_RISE_G + START_SIGMAS * noise;
        held(&mut self.standing, stands, at, JERK_STAYS_S)
    }

    /// A slow flow, told from a draught by how far the pan wanders when it rests.
    fn creeps(&mut self, sight: &Sight) -> bool {
        let rise = (sight.guide.mass - sight.level).0;
        let least = SLOW_START_RISE_G.0 + SLOW_START_SIGMAS * sight.noise;
        let above = rise - least;
        let enough = if sight.at_once {
            SLOW_DASH_G
        } else {
            SLOW_START_RISE_G.1
        };
        // A fall has a negative square.
        let wanders = SLOW_START_WANDERS * SLOW_START_WANDERS * sight.wander;
        let creeping =
            (rise > enough || above * above.abs() > wanders) && sight.calm_s > START_CALM_S;
        let hold_s = if sight.touched || sight.knocked {
            SLOW_START_HOLD_S.1
        } else {
            SLOW_START_HOLD_S.0
        };
        held(&mut self.creeping, creeping, sight.at, hold_s)
    }

    /// The level is being left downwards.
    pub(super) fn falling(&mut self, at: Instant, fast: Line, level: Grams, noise: Grams) -> bool {
        let falling = (fast.mass - level).0 < -(FALL_G + 3.0 * noise.0);
        held(&mut self.falling, falling, at, 0.06)
    }
}

impl Hump {
    /// How far above the level a pour can stand by now, grams for each second of the period.
    fn most(&self) -> f32 {
        match self.rises {
            0 | 1 => SWELL_G_PER_S.0,
            2 => SWELL_G_PER_S.1,
            3 => SWELL_G_PER_S.2,
            _ => f32::INFINITY,
        }
    }

    /// What was set down is there at once, and the filter's last rise is a small one.
    fn goes_on(&self) -> bool {
        self.steps.0 > HUMP_GOES_ON * self.steps.1
    }

    /// The top it has fallen back from.
    fn back(&mut self, sight: &Sight) -> Option<Grams> {
        let &Sight {
            raw, last, noise, ..
        } = sight;
        let step = (raw - last).0;
        let rose = step > HUMP_RISE_G + HUMP_SIGMAS * noise;
        let (before, _) = self.steps;
        self.steps = (step, before);
        if self.age == 0 || self.age > 3 && self.rises < self.age {
            *self = Self {
                foot: last,
                top: raw,
                age: u8::from(rose),
                rises: u8::from(rose),
                steps: self.steps,
            };
            return None;
        }
        if rose && self.rises == self.age {
            self.rises = self.rises.saturating_add(1);
        }
        self.age = self.age.saturating_add(1);
        self.top = Grams(self.top.0.max(raw.0));
        let height = self.top - self.foot;
        let back = height.0 > least_bump_g(sight.period_s, noise)
            && (raw - self.foot).0 < HUMP_BACK * height.0;
        back.then_some(self.top)
    }
}

/// The least peak of a knock that is told: what a slow converter leaves of it is its momentum
/// over a period.
pub(super) fn least_bump_g(period_s: f32, noise: f32) -> f32 {
    (BUMP_G_S / period_s).min(BUMP_G).max(5.0 * noise)
}

/// For how long `now` has held, seconds.
fn held_s(since: &mut Option<Instant>, now: bool, at: Instant) -> f32 {
    if !now {
        *since = None;
        return -1.0;
    }
    at.seconds_since(*since.get_or_insert(at))
}

/// True once `now` has held for `seconds`.
pub(super) fn held(since: &mut Option<Instant>, now: bool, at: Instant, seconds: f32) -> bool {
    held_s(since, now, at) >= seconds
}

/// The level before is worth a mean over so long where the window holds too little of it, seconds.
const SHORT_BASE_S: f32 = 0.2;

impl Pan {
    /// The level a pour seen at `at` counts from, and its variance.
    pub(super) fn base(&self, at: Instant) -> (Grams, f32) {
        let noise = self.wander.noise();
        if matches!(self.state, State::Moving(_)) {
            // What began abruptly has been landing for a while: the window holds some of it.
            return (self.level, noise.of_mean(SHORT_BASE_S));
        }
        let Start {
            rising,
            creeping,
            jerked,
            ..
        } = self.start;
        let seen = [rising, creeping, jerked]
            .into_iter()
            .flatten()
            .min()
            .unwrap_or(at);
        let gap = at.seconds_since(seen) + BASE_GAP_S;
        let standing = at.seconds_since(self.level_since) - gap;
        let span = BASE_SPAN_S.min(standing);
        match self.window.mean(at, gap, span) {
            Some(mean) if mean.count >= 4 => (mean.mass, noise.of_mean(span)),
            Some(_) | None => (self.level, noise.of_mean(SHORT_BASE_S)),
        }
    }

    /// The thread of a syrup may still be falling, which comes at once where it breaks.
    pub(super) fn trails(&self, at: Instant) -> bool {
        self.dripping.is_some_and(|settle| settle.is_thick())
            && at.seconds_since(self.level_since) < TRICKLE_S
    }
}
