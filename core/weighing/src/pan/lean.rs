//! What presses on the pan in the middle of a pour: a hand on the rim, or a thing that falls in.
//!
//! A stream swells; a hand is there at once. What rises above the line of a while ago faster than
//! a flow does is watched until the reading follows that line again: the base moves by what came,
//! and the line goes on as before. What goes again as it came, soon after, was never liquid, and
//! the base is what it was. What stays is told, and remembered for as long as the flow is: once it is
//! taken off again, the base is what it was.

use crate::limits::{
    ADDED_G, BURST_G_PER_S, LEAN_AFTER_S, LEAN_BACK, LEAN_BEFORE_S, LEAN_FLOW_S, LEAN_G,
    LEAN_GONE_S, LEAN_MOST_S, LEAN_STILL, LEAN_STILL_S, SPLASH_G, TIPPED_S,
};
use crate::time::Instant;
use crate::units::Grams;

use super::super::estimator::{EstimatorState, Line};
use super::super::window::Halves;
use super::flow::Flow;
use super::{Pan, PanEvents};

/// What came on top of a flow and is not known to stay.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub(super) struct Lean {
    /// The guiding line a while ago, and lately.
    lines: [Option<Known>; 2],
    /// The flow has been steady since then.
    steady: Option<Instant>,
    surge: Option<Surge>,
    load: Option<Load>,
}

/// A line as it was.
#[derive(Clone, Copy, Debug, PartialEq)]
struct Known {
    at: Instant,
    state: EstimatorState,
}

impl Known {
    /// Where it leads.
    fn line(&self, at: Instant) -> Line {
        let Line { flow, .. } = self.state.line();
        let mass = self.state.line().at(at.seconds_since(self.at));
        Line { mass, flow }
    }
}

/// Something comes or goes now.
#[derive(Clone, Copy, Debug, PartialEq)]
struct Surge {
    since: Instant,
    before: Known,
}

/// What lies or leans on the pan, by how far it has moved the base.
#[derive(Clone, Copy, Debug, PartialEq)]
struct Load {
    /// When it came; [`Load::TOLD`] once that is told.
    since: Instant,
    base: Grams,
    /// What had landed when it came.
    landed: Grams,
}

impl Load {
    /// After everything else.
    const TOLD: Instant = Instant::from_micros(u64::MAX);

    fn is_told(&self) -> bool {
        self.since == Self::TOLD
    }
}

impl Lean {
    pub(super) const NONE: Self = Self {
        lines: [None, None],
        steady: None,
        surge: None,
        load: None,
    };

    /// It is not known yet whether it stays.
    pub(super) fn is_open(&self) -> bool {
        self.load.is_some_and(|load| !load.is_told())
    }

    /// Something comes or goes now.
    pub(super) const fn is_surging(&self) -> bool {
        self.surge.is_some()
    }

    /// The flow begins anew.
    pub(super) const fn unsettle(&mut self) {
        self.steady = None;
        self.lines = [None, None];
    }

    /// Where the flow leads while something comes or goes.
    pub(super) fn line(&self, at: Instant) -> Option<Line> {
        self.surge.map(|surge| surge.before.line(at))
    }
}

impl Flow {
    /// The base without what may go again.
    pub(super) fn bare_base(&self) -> Grams {
        self.lean.load.map_or(self.base, |load| load.base)
    }

    /// The reading has moved by `off` at once, with so much landed by `since`.
    pub(super) fn step(&mut self, since: Instant, off: Grams, landed: Grams) {
        let base = self.base + off;
        if let Some(load) = self.lean.load {
            let (least, share) = LEAN_BACK;
            let near = least.max(share * (self.base - load.base).0);
            let left = base - load.base;
            if left.0 < near {
                self.lean.load = None;
                // Less than before: what had leant there before the pour went, too.
                self.base = if left.0 > -near { load.base } else { base };
                return;
            }
        }
        if off.0 > ADDED_G && !self.lean.is_open() {
            self.lean.load = Some(Load {
                since,
                base: self.base,
                landed,
            });
        }
        self.base = base;
    }

    /// What has stayed for long enough is told; what has sunk away was a hand.
    fn tell_load(&mut self, at: Instant, line: Line, events: &mut PanEvents) {
        let Some(load) = &mut self.lean.load else {
            return;
        };
        if at.seconds_since(load.since) < LEAN_GONE_S {
            return;
        }
        let came = self.base - load.base;
        if (line.mass - self.base).0 < load.landed.0 - 0.5 * came.0 {
            self.base = load.base;
            self.lean.load = None;
        } else {
            load.since = Load::TOLD;
            events.added = (came.0 > ADDED_G).then_some(came);
        }
    }
}

impl Pan {
    /// One more sample of a flow. True while something comes or goes on top of it: nothing else
    /// can be said of the flow meanwhile.
    pub(super) fn leant_on(
        &mut self,
        at: Instant,
        raw: Grams,
        period_s: f32,
        events: &mut PanEvents,
    ) -> bool {
        let state = self.guide;
        if self.expectation.at_once {
            return false;
        }
        let Some(flow) = self.state.flow() else {
            return false;
        };
        if let Some(surge) = flow.lean.surge {
            return self.follow_surge(surge, at, period_s);
        }
        let steady = *flow.lean.steady.get_or_insert(at);
        let [older, newer] = &mut flow.lean.lines;
        let before = *older;
        let span = LEAN_BEFORE_S.max(2.0 * period_s);
        if newer
            .as_ref()
            .is_none_or(|newer| at.seconds_since(newer.at) >= span)
        {
            *older = newer.replace(Known { at, state });
        }
        // Most samples lie where the line leads, and what came is gone again or told.
        if flow.lean.load.is_some() {
            flow.tell_load(at, state.line(), events);
        } else if (raw - state.line().mass).abs().0 < 0.5 * LEAN_G {
            return false;
        }
        let Some(before) = before else {
            return false;
        };
        let line = before.line(at);
        let off = (raw - line.mass).0;
        let settled =
            at.seconds_since(steady) > LEAN_AFTER_S && line.mass > flow.base + Grams(SPLASH_G);
        let comes = settled && off > LEAN_G + LEAN_FLOW_S * line.flow.0.max(0.0);
        // A line that rises faster than liquid was pulled along by what came.
        let goes = line.flow.0 < BURST_G_PER_S
            && flow
                .lean
                .load
                .is_some_and(|load| off < -0.5 * (flow.base - load.base).0);
        if !comes && !goes {
            return false;
        }
        flow.clean = false;
        flow.outside = None;
        flow.lean.surge = Some(Surge { since: at, before });
        true
    }

    /// Until the reading follows the line again.
    fn follow_surge(&mut self, surge: Surge, at: Instant, period_s: f32) -> bool {
        let lasted = at.seconds_since(surge.since);
        let half = LEAN_STILL_S.max(period_s);
        let before = surge.before.line(at);
        let Some(Halves { older, newer }) = self.window.halves(at, half) else {
            return true;
        };
        let off = newer.mass - surge.before.line(at.offset(-0.5 * half)).mass;
        let drifts = (newer.mass - older.mass - before.flow.during(half)).abs().0;
        let (least, share) = LEAN_STILL;
        let still = lasted >= half && drifts < least + share * off.abs().0;
        let late = lasted > LEAN_MOST_S.max(8.0 * period_s);
        if !still && !late {
            return true;
        }
        let Some(flow) = self.state.flow() else {
            return false;
        };
        flow.lean.surge = None;
        flow.lean.unsettle();
        // A bottle that opens goes on rising.
        if !still && off.0 > 0.0 && off.0 < 2.0 * LEAN_G + BURST_G_PER_S * TIPPED_S {
            return false;
        }
        if off.0 < LEAN_G && flow.lean.load.is_none() {
            // A knock has rung.
            return false;
        }
        if off.abs().0 > 0.5 * LEAN_G {
            let landed = surge.before.state.line().mass - flow.base;
            flow.step(surge.since, off, landed);
        }
        let mut state = surge.before.state;
        let mass = newer.mass + before.flow.during(0.5 * half);
        state.shift(mass - state.line().mass);
        let known = Some(Known { at, state });
        flow.lean.lines = [known, known];
        flow.lean.steady = Some(at.offset(-LEAN_AFTER_S));
        (self.fast, self.guide) = (state, state);
        false
    }
}
