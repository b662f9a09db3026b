//! When a pour step is closed.

use crate::limits::{NOTICE_S, TRICKLE_S};
use crate::output::{Fix, Outputs, Verdict};
use crate::pour::Crew;
use crate::time::Instant;
use crate::units::Grams;
use crate::weigh::pan::PanEvents;
use crate::weigh::settle::Settling;

use super::drink::Build;
use super::step::Open;

impl Build<'_> {
    /// Ice is to come and cannot be here so soon: what lands is the end of the pour before.
    pub(super) fn awaits_ice(&self, now: Instant) -> bool {
        let dry = matches!(self.open, Some(Open::Ice { so_far, .. }) if so_far == Grams::ZERO);
        dry && now.seconds_since(self.opened) < TRICKLE_S
    }

    /// The pour step is done when it was judged and asks for nothing more.
    pub(super) fn close_pour(
        &mut self,
        now: Instant,
        events: &PanEvents,
        crew: &mut Crew,
        out: &mut Outputs,
    ) {
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
            Some(_) => step.pour.close(crew, out),
            None => {}
        }
        let Some(judged) = step.pour.verdict() else {
            return;
        };
        if step.pour.wants_more() && step.count.is_none() {
            return;
        }
        if judged.verdict == Verdict::Over && step.pour.judge().speaks_up(&judged) {
            if let Some(other) = self.poured_jointly(&step, &judged, crew) {
                self.record_jointly(step, other, now, crew, out);
                return;
            }
            self.notice = Some((step, now.offset(NOTICE_S)));
            if self.tally.poured_g() == 0.0 {
                out.fix = Some(Fix::TipOut(judged.error));
            }
        }
        self.closing = Some(step);
        self.closed_steady = matches!(events.settling, Some(Settling::Steady(_)));
        self.advance(now, crew, out);
    }
}
