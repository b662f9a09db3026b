//! Steps too small to be seen: a few drops.
//!
//! Nobody waits for them. The next thing that happens closes them, and they are recorded as asked
//! for, with an uncertainty as large as themselves.

use crate::limits::UNSEEN_G;
use crate::output::{Outputs, PourRecord, Settled, Verdict};

use super::drink::Build;
use super::step::Open;
use super::turn::Turn;

impl Build<'_> {
    /// The open step is too small to be seen.
    pub(super) fn is_unseen(&self) -> bool {
        match &self.open {
            Some(Open::Pour(step)) => step.count.is_none() && step.pour.judge().target.0 < UNSEEN_G,
            Some(Open::Ice { .. } | Open::Work { .. } | Open::Strain) | None => false,
        }
    }

    /// The next thing happens: the unseen step is taken as done.
    pub(super) fn assume(&mut self, turn: &mut Turn<'_>) {
        self.record_assumed(turn.out);
        if let Some(Open::Pour(step)) = &self.open {
            let target = step.pour.judge().target;
            self.take_for(Settled {
                mass: target,
                sigma: target,
            });
        }
        self.advance(turn);
    }

    /// So much came of the open step, good or not.
    pub(super) fn take_for(&mut self, poured: Settled) {
        if let Some(Open::Pour(step)) = self.open {
            self.keep(&step, poured);
            self.assumed = Some(PourRecord {
                poured,
                verdict: Verdict::Good,
                ..step.record()
            });
        }
    }

    /// Records it, once no other record is told in the same moment.
    pub(super) fn record_assumed(&mut self, out: &mut Outputs) {
        if out.poured.is_none() {
            out.poured = self.assumed.take();
        }
    }
}
