//! Where one pour ends and the next begins: the next bottle hard on the heels of the one before,
//! and two bottles at once.

use crate::limits::{JOINT_AFTER_S, JOINT_LEAST_G, JOINT_SPLIT};
use crate::output::{PourRecord, Settled, Verdict};
use crate::pour::{Band, Judge};
use crate::units::Grams;
use crate::view::Next;
use crate::weigh::pan::{PanEvents, settled_of};

use super::drink::Build;
use super::step::{self, Open, PourStep};
use super::turn::Turn;

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
    pub(super) fn pass_on(&mut self, events: &PanEvents, gross: Grams, turn: &mut Turn<'_>) {
        let flowing = PanEvents {
            settling: None,
            ..*events
        };
        self.keep_over_pour(turn);
        if let (Some(Open::Pour(step)), Some(settling)) = (&mut self.open, events.settling) {
            step.pour.pass(settled_of(settling), turn.crew, turn.out);
            self.closing = Some(*step);
            self.advance(turn);
        }
        self.late(&flowing, turn);
        self.work(&flowing, gross, turn);
    }

    /// Two bottles were poured at once: the stop was passed over at full flow, and what is in is
    /// this step's and the next one's together. Judges the sum and records both; how it is split
    /// nobody weighed. `false`, and nothing recorded, where it is not so.
    pub(super) fn pour_jointly(&mut self, step: &PourStep<'s>, turn: &mut Turn<'_>) -> bool {
        let next = self.held.number.saturating_add(1);
        if step.pour.went_on_s() < JOINT_AFTER_S || step.count.is_some() || next >= self.drink.steps
        {
            return false;
        }
        let opened = step::open(
            &self.sheet,
            self.held.id,
            next,
            self.held.portion,
            turn.crew,
        );
        let Ok(Ok(Open::Pour(other))) = opened else {
            return false;
        };
        let (one, more) = (step.pour.judge().target, other.pour.judge().target);
        let both = Judge::new(one + more, step.grams_per_ml, Band::Mode(turn.crew.mode));
        let sum = both.judge(step.pour.poured());
        if other.count.is_some() || more.0 < JOINT_LEAST_G || sum.verdict != Verdict::Good {
            return false;
        }
        turn.out.verdict = Some(sum);
        self.record_closing(turn);
        self.record_assumed(turn.out);
        let sigma = Grams(JOINT_SPLIT * one.0.min(more.0));
        let mut record = |step: &PourStep<'s>, target: Grams| {
            let poured = Settled {
                mass: sum.poured.mass * (target.0 / (one + more).0),
                sigma,
            };
            self.keep(step, poured);
            PourRecord {
                poured,
                verdict: sum.verdict,
                ..step.record()
            }
        };
        turn.out.poured = Some(record(step, one));
        self.assumed = Some(record(&other, more));
        self.held.number = next;
        self.advance(turn);
        true
    }
}
