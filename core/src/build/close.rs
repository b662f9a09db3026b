//! When a pour step is closed.

use crate::limits::NOTICE_S;
use crate::output::{Fix, Outputs, Verdict};
use crate::pour::Crew;
use crate::time::Instant;
use crate::weigh::pan::PanEvents;

use super::drink::Build;
use super::step::Open;

impl Build<'_> {
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
        self.advance(now, crew, out);
    }
}
