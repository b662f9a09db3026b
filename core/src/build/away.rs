//! A vessel that leaves the pan and comes back.

use crate::limits::{LOST_SIGMA_G, SAME_VESSEL};
use crate::output::{Outputs, Settled};
use crate::time::Instant;
use crate::units::Grams;
use crate::view::Next;

use super::drink::{Build, Phase};
use super::step::Open;
use super::turn::Turn;

impl Build<'_> {
    /// The vessel leaves the pan.
    pub(super) fn leave(&mut self, gross: Grams, turn: &mut Turn<'_>) {
        self.held.gross = gross;
        self.held.left = turn.now;
        self.held.reminded = false;
        while self.is_unseen() {
            self.assume(turn);
            if self.open.is_none() {
                self.gone = true;
                self.finish(turn);
                return;
            }
        }
        if let Some(Open::Ice { so_far, .. }) = self.open
            && so_far.0 > 0.0
            && matches!(self.next, Next::Work(_))
        {
            self.advance(turn);
        }
        if let Some(Open::Pour(step)) = &mut self.open
            && self.tipping
            && !step.pour.was_jolt()
            && step.pour.has_begun()
        {
            // The next bottle was poured: the over-pour is kept.
            self.tipping = false;
            self.record_closing(turn);
        }
        match &mut self.open {
            Some(Open::Work { work, seconds }) => {
                if self.held.iced.is_some() {
                    self.held.tally.work(*work);
                }
                self.held.phase = Phase::Away {
                    work: *work,
                    since: turn.now,
                    seconds: *seconds,
                };
            }
            Some(Open::Strain) => self.held.phase = Phase::Glass,
            Some(Open::Pour(step)) => {
                if !step.pour.was_jolt() && step.pour.is_flowing() {
                    step.pour.interrupt();
                }
                self.held.phase = Phase::Astray;
            }
            Some(Open::Ice { .. }) | None => self.held.phase = Phase::Astray,
        }
    }

    /// The vessel is back in the middle of a step. What came in before it was lifted is weighed
    /// by difference: the lift itself hides the last of a flow.
    pub(super) fn reweigh(&mut self, placed: Grams, out: &mut Outputs) {
        let more = placed - self.held.gross;
        if let Some(Open::Pour(step)) = &mut self.open {
            let lighter = more.0 < 0.0 && !step.pour.explains(more);
            step.pour.reweigh(more);
            if lighter && self.held.tally.lose(-more) {
                out.lost = Some(Settled {
                    mass: -more,
                    sigma: Grams(LOST_SIGMA_G),
                });
            }
        }
    }

    /// Something is set down while the vessel was away.
    pub(super) fn come_back(&mut self, placed: Grams, turn: &mut Turn<'_>) {
        let same = self.is_same(placed);
        self.held.phase = Phase::Working;
        self.advance(turn);
        if matches!(self.open, Some(Open::Strain)) {
            if same {
                self.held.phase = Phase::Glass;
            } else {
                self.start_straining(turn.crew.serve);
            }
        }
    }

    pub(super) fn is_same(&self, placed: Grams) -> bool {
        weighs_the_same(placed, self.held.gross)
    }
}

/// It may be the vessel that weighed `before` when it was lifted.
pub(super) fn weighs_the_same(placed: Grams, before: Grams) -> bool {
    let (grams, share) = SAME_VESSEL;
    (placed - before).abs().0 <= grams.max(share * before.0)
}

/// The first whole second after `since` that lies after `now`, in whole microseconds: a float
/// would stand still once the vessel has been away for a quarter of an hour. None at the end of
/// time.
pub(super) fn next_second(since: Instant, now: Instant) -> Option<Instant> {
    const SECOND_US: u64 = 1_000_000;
    let away = now.micros().saturating_sub(since.micros());
    let seconds = (away / SECOND_US).checked_add(1)?;
    let us = seconds.checked_mul(SECOND_US)?;
    since.micros().checked_add(us).map(Instant::from_micros)
}
