//! A vessel that leaves the pan and comes back.

use crate::limits::{LOST_LEAST_G, LOST_SIGMA_G, SAME_VESSEL};
use crate::output::{Outputs, Settled};
use crate::pour::Crew;
use crate::time::Instant;
use crate::units::Grams;
use crate::view::Next;

use super::drink::{Build, Phase};
use super::step::Open;
use super::strain::Strained;

impl Build<'_> {
    /// The vessel leaves the pan.
    pub(super) fn leave(&mut self, now: Instant, gross: Grams, crew: &mut Crew, out: &mut Outputs) {
        self.gross = gross;
        while self.is_unseen() {
            self.assume(now, crew, out);
            if self.open.is_none() {
                self.gone = true;
                self.finish(crew, out);
                return;
            }
        }
        if let Some(Open::Ice { so_far, .. }) = self.open
            && so_far.0 > 0.0
            && matches!(self.next, Next::Work(_))
        {
            self.advance(now, crew, out);
        }
        match &mut self.open {
            Some(Open::Work { work, seconds }) => {
                if self.iced.is_some() {
                    self.tally.work(*work);
                }
                self.phase = Phase::Away {
                    work: *work,
                    since: now,
                    seconds: *seconds,
                };
            }
            Some(Open::Strain) => self.phase = Phase::Glass,
            Some(Open::Pour(step)) => {
                self.cut = step.pour.is_flowing();
                if self.cut {
                    step.pour.interrupt();
                }
                self.phase = Phase::Astray;
            }
            Some(Open::Ice { .. }) | None => self.phase = Phase::Astray,
        }
    }

    /// The vessel is back in the middle of a step. What came in before it was lifted is weighed
    /// by difference: the lift itself hides the last of a flow.
    pub(super) fn reweigh(&mut self, placed: Grams, out: &mut Outputs) {
        let came = placed - self.gross;
        if let (true, Some(Open::Pour(step))) = (core::mem::take(&mut self.cut), &mut self.open) {
            step.pour.reweigh(came);
        } else if came.0 <= -LOST_LEAST_G && self.tally.lose(-came) {
            out.lost = Some(Settled {
                mass: -came,
                sigma: Grams(LOST_SIGMA_G),
            });
        }
    }

    /// Something is set down while the vessel was away.
    pub(super) fn come_back(
        &mut self,
        now: Instant,
        placed: Grams,
        crew: &mut Crew,
        out: &mut Outputs,
    ) {
        let same = self.is_same(placed);
        self.phase = Phase::Working;
        self.advance(now, crew, out);
        if matches!(self.open, Some(Open::Strain)) {
            self.phase = if same {
                Phase::Glass
            } else {
                Phase::Straining(Strained::default())
            };
        }
    }

    pub(super) fn is_same(&self, placed: Grams) -> bool {
        let (grams, share) = SAME_VESSEL;
        (placed - self.gross).abs().0 <= grams.max(share * self.gross.0)
    }
}

/// The first whole second after `since` that lies after `now`, in whole microseconds: a float
/// would stand still once the vessel has been away for a quarter of an hour. None at the end of
/// time.
pub(super) fn next_second(since: Instant, now: Instant) -> Option<Instant> {
    const SHORT_US: u32 = 1_000_000;
    const SECOND_US: u64 = SHORT_US as u64;
    // The largest multiple by a power of two that 64 bits hold is that by 2^44. A division of 64
    // bits would take a kilobyte of flash, and this is the only one.
    let away = now.micros().saturating_sub(since.micros());
    let into_second = match u32::try_from(away) {
        Ok(away) => u64::from(away % SHORT_US),
        Err(_) => (0..=44).rev().fold(away, |rest, power: u32| {
            let whole = SECOND_US.wrapping_shl(power);
            rest.checked_sub(whole).unwrap_or(rest)
        }),
    };
    let us = away.saturating_add(SECOND_US).saturating_sub(into_second);
    since.micros().checked_add(us).map(Instant::from_micros)
}
