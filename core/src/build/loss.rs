//! A pour weighed by what the bottle on the pan lost while it was away.
//!
//! In prep a large vessel may stand elsewhere and the bottle on the pan: it is lifted, poured
//! from, and set back. What is missing is the pour; where that is too little, the panel says how
//! much more, and the same is done again. What is set down after a pour that is done is the next
//! bottle, whatever it weighs. A bottle put back as it was, and anything that comes back heavier,
//! is no pour.

use crate::limits::{LOSS_LEAST_G, LOSS_OVER_G};
use crate::units::Grams;
use crate::weigh::pan::PanEvents;

use super::drink::{Build, Phase};
use super::step::Open;
use super::turn::Turn;

impl Build<'_> {
    /// What was lifted is back as `placed`, or something else is. Apart from what every sample passes
    /// through.
    #[cold]
    #[inline(never)]
    pub(super) fn take_loss(&mut self, placed: Grams, turn: &mut Turn<'_>) {
        self.held.phase = Phase::Working;
        let lost = self.held.gross - placed;
        let fresh = core::mem::take(&mut self.changes_bottle);
        let Some(Open::Pour(step)) = &mut self.open else {
            return;
        };
        let most = step.pour.judge().target + Grams(LOSS_OVER_G);
        if fresh || lost < Grams(LOSS_LEAST_G) || lost > most {
            step.pour.reweigh(placed - self.held.gross);
            return;
        }
        let number = self.held.number;
        step.pour.lose(lost, turn.out);
        let told = PanEvents {
            added: Some(lost),
            ..PanEvents::default()
        };
        self.close_pour(&told, turn);
        // What went elsewhere is not to be tipped out of this.
        self.tipping = false;
        turn.out.fix = None;
        if let Some(notice) = &mut self.notice {
            notice.fix = false;
        }
        self.changes_bottle = number != self.held.number;
    }
}
