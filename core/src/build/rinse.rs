//! Rinsing: some of a liquid is swirled in the vessel and dumped. What stays behind is weighed when
//! the vessel is back, and recorded, not judged.

use crate::limits::{PASSING_SIGMA_G, RINSE_MOST_G, RINSED_SIGMA_G, SAME_VESSEL};
use crate::output::Settled;
use crate::spec::Unit;
use crate::units::Grams;

use super::drink::{Build, Phase};
use super::step::Open;
use super::turn::Turn;

impl Build<'_> {
    /// What was poured of the open rinse; `None` where the open step is none.
    pub(super) fn rinse(&self) -> Option<Grams> {
        match &self.open {
            Some(Open::Pour(step)) if step.amount.unit == Unit::Rinse => {
                Some(step.pour.poured().mass)
            }
            Some(Open::Pour(_) | Open::Ice { .. } | Open::Work { .. } | Open::Strain) | None => {
                None
            }
        }
    }

    /// Something is set down after the rinse, as `placed`: the vessel, dumped. What differs by more
    /// than a rinse is another one, which is still to be rinsed.
    pub(super) fn take_rinsed(&mut self, rinse: Grams, placed: Grams, turn: &mut Turn<'_>) {
        let stays = placed - (self.held.gross - rinse);
        if stays.abs().0 > SAME_VESSEL.0.max(rinse.0) {
            return;
        }
        self.record_assumed(turn.out);
        self.take_for(Settled {
            mass: Grams(stays.0.max(0.0)),
            sigma: Grams(RINSED_SIGMA_G),
        });
        self.advance(turn);
        if matches!(self.open, Some(Open::Strain)) {
            self.start_straining(turn.crew.serve);
        }
    }

    /// So much is poured that it is no rinse: the vessel came rinsed already, and the next bottle
    /// flows.
    pub(super) fn pass_rinse(&mut self, turn: &mut Turn<'_>) {
        let Some(poured) = self.rinse() else { return };
        if poured.0 <= RINSE_MOST_G {
            return;
        }
        self.record_assumed(turn.out);
        self.take_for(Settled {
            mass: Grams::ZERO,
            sigma: Grams(RINSED_SIGMA_G),
        });
        self.advance(turn);
        if let (Some(Open::Pour(step)), Phase::Working) = (&mut self.open, self.held.phase) {
            step.pour.resume(Settled {
                mass: poured,
                sigma: Grams(PASSING_SIGMA_G),
            });
        }
    }
}
