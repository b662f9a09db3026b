//! Where one pour ends and the next begins: the next bottle hard on the heels of the one before,
//! and two bottles at once.

use crate::limits::{JOINT_AFTER_S, JOINT_LEAST_G, JOINT_SPLIT};
use crate::output::{Judgement, Outputs, PourRecord, Settled, Verdict};
use crate::pour::{Band, Crew, Judge};
use crate::time::Instant;
use crate::units::Grams;
use crate::view::Next;
use crate::weigh::pan::{PanEvents, settled_of};

use super::drink::Build;
use super::step::{self, Open, PourStep};

impl<'s> Build<'s> {
    /// From how much on a new flow is the next bottle: where the next step is a liquid at all.
    pub(super) fn passes(&self, step: &PourStep<'s>) -> Option<Grams> {
        match self.next {
            Next::Liquid(_) if step.count.is_none() => step.pour.passes(),
            _ => None,
        }
    }

    /// The next bottle flows before this pour has settled: it is closed with what is known, and
    /// the flow is the next step's.
    pub(super) fn pass_on(
        &mut self,
        now: Instant,
        events: &PanEvents,
        gross: Grams,
        crew: &mut Crew,
        out: &mut Outputs,
    ) {
        let flowing = PanEvents {
            settling: None,
            ..*events
        };
        if let (Some(Open::Pour(step)), Some(settling)) = (&mut self.open, events.settling) {
            step.pour.pass(settled_of(settling), crew, out);
            self.closing = Some(*step);
            self.advance(now, crew, out);
        }
        self.late(now, &flowing, crew, out);
        self.work(now, &flowing, gross, crew, out);
    }

    /// Two bottles were poured at once: the stop was passed over at full flow, and what is in is
    /// this step's and the next one's together.
    pub(super) fn poured_jointly(
        &self,
        step: &PourStep<'s>,
        judged: &Judgement,
        crew: &Crew,
    ) -> Option<PourStep<'s>> {
        if step.pour.went_on_s() < JOINT_AFTER_S || step.count.is_some() {
            return None;
        }
        let next = self.number.saturating_add(1);
        if next >= self.drink.steps {
            return None;
        }
        let Ok(Ok(Open::Pour(other))) = step::open(&self.sheet, self.id, next, crew) else {
            return None;
        };
        let more = other.pour.judge().target;
        let sum = joint_judge(step, &other, crew).judge(judged.poured);
        let joint =
            other.count.is_none() && more.0 >= JOINT_LEAST_G && sum.verdict == Verdict::Good;
        joint.then_some(other)
    }

    /// Judges the sum; how it is split nobody weighed.
    pub(super) fn record_jointly(
        &mut self,
        step: PourStep<'s>,
        other: PourStep<'s>,
        now: Instant,
        crew: &mut Crew,
        out: &mut Outputs,
    ) {
        let sum = step.pour.poured();
        let judged = joint_judge(&step, &other, crew).judge(sum);
        out.verdict = Some(judged);
        let (one, more) = (step.pour.judge().target, other.pour.judge().target);
        let sigma = Grams(JOINT_SPLIT * one.0.min(more.0));
        let share = |target: Grams| Settled {
            mass: sum.mass * (target.0 / (one + more).0),
            sigma,
        };
        self.record_closing(crew, out);
        self.record_assumed(out);
        let record = |step: &PourStep<'s>, target| PourRecord {
            poured: share(target),
            verdict: judged.verdict,
            ..step.record()
        };
        self.tally.pour(&step.composition, share(one));
        self.tally.pour(&other.composition, share(more));
        self.assumed = Some(record(&other, more));
        out.poured = Some(record(&step, one));
        self.number = self.number.saturating_add(1);
        self.advance(now, crew, out);
    }
}

/// How two steps are judged as one.
fn joint_judge(one: &PourStep<'_>, other: &PourStep<'_>, crew: &Crew) -> Judge {
    let target = one.pour.judge().target + other.pour.judge().target;
    Judge::new(target, one.grams_per_ml, Band::Mode(crew.mode))
}
