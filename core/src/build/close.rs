//! When a pour step is closed.

use crate::limits::{KEPT_AFTER_G, NOTICE_S, OFFER_S, TRICKLE_S};
use crate::output::{Fix, Verdict};
use crate::spec::Reading;
use crate::time::Instant;
use crate::units::Grams;
use crate::weigh::pan::PanEvents;
use crate::weigh::settle::Settling;

use super::drink::{Build, Notice};
use super::step::Open;
use super::turn::Turn;

impl Build<'_> {
    /// Ice is to come and cannot be here so soon: what lands is the end of the pour before.
    pub(super) fn awaits_ice(&self, now: Instant) -> bool {
        let dry = matches!(self.open, Some(Open::Ice { so_far, .. }) if so_far == Grams::ZERO);
        dry && now.seconds_since(self.opened) < TRICKLE_S
    }

    /// The pour step is done when it was judged and asks for nothing more.
    pub(super) fn close_pour(&mut self, events: &PanEvents, turn: &mut Turn<'_>) {
        // Before anything else: a step is large, and every sample passes here.
        let told = events.settling.is_some() || events.added.is_some();
        if !told {
            return;
        }
        let Some(Open::Pour(mut step)) = self.open else {
            return;
        };
        if step.pour.is_flowing() {
            return;
        }
        match step.counted(step.pour.poured().mass) {
            Some((done, of)) if done < of => return,
            Some(_) => step.pour.close(turn.crew, turn.out),
            None => {}
        }
        let Some(judged) = step.pour.verdict() else {
            return;
        };
        if self.tipping && step.count.is_none() && step.pour.poured().mass.0 < KEPT_AFTER_G {
            // The hand that takes hold of the vessel leans on the pan.
            step.pour.void();
            self.open = Some(Open::Pour(step));
            return;
        }
        self.keep_over_pour(turn);
        if step.pour.wants_more() && step.count.is_none() {
            return;
        }
        if judged.verdict == Verdict::Over && step.pour.judge().speaks_up(&judged) {
            if self.pour_jointly(&step, turn) {
                return;
            }
            // After the last step the vessel is lifted to be served: nothing is taken up any more.
            let more = self.more_to_come();
            let fix = self
                .offer(&step, &judged)
                .filter(|fix| more || matches!(fix, Fix::TipOut(_)));
            let offered = fix.is_some() && more;
            let shown_s = if offered { OFFER_S } else { NOTICE_S };
            self.notice = Some(Notice {
                liquid: step.name,
                error: Reading::of_mass(judged.error, step.grams_per_ml, step.amount.unit),
                until: turn.now.offset(shown_s),
                fix: matches!(fix, Some(Fix::Grow(_))),
            });
            self.tipping = offered && matches!(fix, Some(Fix::TipOut(_)));
            turn.out.fix = fix;
        }
        self.record_closing(turn);
        self.closing = Some(step);
        self.closed_steady = matches!(events.settling, Some(Settling::Steady(_)));
        self.advance(turn);
    }
}
