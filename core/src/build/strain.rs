//! Straining into the served glass.

use crate::limits::{FINISH_S, NOTE_S, OVERRUN_THIN_S, PASSING_SIGMA_G, STRAINED_SHARE};
use crate::output::Settled;
use crate::spec::Step;
use crate::time::Instant;
use crate::units::{Grams, Millilitres, deviation};
use crate::view::Cue;
use crate::weigh::pan::{PanEvents, settled_of};

use super::drink::{Build, Phase};
use super::step::{Open, Portion};
use super::turn::Turn;

/// What has been strained.
#[derive(Clone, Copy, Debug, Default)]
pub(super) struct Strained {
    before: Grams,
    current: Grams,
    /// Of what came before, g^2.
    variance: f32,
    /// Of what comes now.
    sigma: Grams,
    /// So much is to be strained into this glass, where not everything is.
    target: Option<Grams>,
    stopped: bool,
}

impl Strained {
    pub(super) fn mass(&self) -> Grams {
        self.before + self.current
    }

    pub(super) fn left(&self) -> Option<Grams> {
        self.target.map(|target| target - self.mass())
    }

    pub(super) fn cue(&self) -> Cue {
        Cue::of(false, self.stopped)
    }

    fn variance(&self) -> f32 {
        self.variance + self.sigma.0 * self.sigma.0
    }

    fn settled(&self) -> Settled {
        Settled {
            mass: self.mass(),
            sigma: Grams(deviation(self.variance())),
        }
    }
}

impl Build<'_> {
    /// The served glass is on the pan.
    pub(super) fn start_straining(&mut self, serve: Option<Millilitres>) {
        let Portion { growth, glasses } = self.held.portion;
        let target = (self.held.portion != Portion::ONE || serve.is_some()).then(|| {
            // The second glass is to hold what the first does.
            self.held.first_served.unwrap_or_else(|| {
                if let Some(volume) = serve {
                    return self.held.tally.served_g(volume);
                }
                let (out_g, spread_g) = self.held.tally.comes_out_g(growth);
                // Better a little left in the vessel than the last glass short.
                let sure_g = if glasses > 1 { out_g - spread_g } else { out_g };
                Grams((sure_g / f32::from(glasses)).max(1.0))
            })
        });
        self.held.phase = Phase::Straining(Strained {
            target,
            ..Strained::default()
        });
    }

    /// One of several glasses is done; `false` when it was the last.
    pub(super) fn next_glass(&mut self) -> bool {
        self.held.served = self.held.served.saturating_add(1);
        let more = self.held.served < self.held.portion.glasses;
        if more {
            self.held.first_served = self.held.first_served.or(self.held.tally.strained_g());
            self.open = Some(Open::Strain);
        }
        more
    }

    pub(super) fn strain(
        &mut self,
        mut strained: Strained,
        events: &PanEvents,
        turn: &mut Turn<'_>,
    ) {
        if events.pour_started {
            strained = Strained {
                before: strained.mass(),
                current: Grams::ZERO,
                variance: strained.variance(),
                sigma: Grams::ZERO,
                ..strained
            };
        }
        if let Some(pouring) = &events.pouring {
            strained.current = pouring.line.mass;
            strained.sigma = Grams(PASSING_SIGMA_G);
            let soon = strained.mass() + Grams(pouring.line.flow.0 * OVERRUN_THIN_S);
            if !strained.stopped && strained.target.is_some_and(|target| soon >= target) {
                strained.stopped = true;
                turn.out.stop = true;
            }
        }
        if events.void {
            strained.current = Grams::ZERO;
        }
        if let Some(grams) = events.added {
            strained.before += grams;
            strained.variance += PASSING_SIGMA_G * PASSING_SIGMA_G;
        }
        if let Some(settling) = events.settling {
            let settled = settled_of(settling);
            strained.current = settled.mass;
            strained.sigma = settled.sigma;
        }
        let known = events.added.is_some() || events.settling.is_some() || events.lifted;
        let whole_g = strained
            .target
            .map_or_else(|| self.held.tally.poured_g(), |target| target.0);
        if known && strained.mass().0 >= STRAINED_SHARE * whole_g {
            self.held
                .tally
                .strain(strained.settled(), strained.target.is_some());
            if self.held.portion.glasses == 1 && self.more_to_come() {
                self.held.portion = Portion::ONE;
                self.held.phase = Phase::Working;
                self.advance(turn);
                return;
            }
            self.open = None;
            self.trailing_note(turn.now);
            let until = turn.now.offset(FINISH_S);
            self.held.phase = Phase::Finishing {
                until,
                strained: Some(strained),
            };
        } else {
            self.held.phase = Phase::Straining(strained);
        }
    }

    /// Recorded once nothing more comes, or the glass goes.
    pub(super) fn finishing(&mut self, steady: bool, events: &PanEvents, turn: &mut Turn<'_>) {
        if !matches!(self.held.phase, Phase::Finishing { .. }) {
            return;
        }
        self.gone |= events.lifted;
        if steady || events.lifted {
            self.finish(turn);
        }
    }

    /// Something but notes follows the open step.
    pub(super) fn more_to_come(&self) -> bool {
        (self.held.number.saturating_add(1)..self.drink.steps).any(|number| {
            let step = self.sheet.step(self.held.id, number);
            step.is_ok_and(|step| !matches!(step, Step::Note { .. }))
        })
    }

    /// A note behind the strain is shown with the finished glass.
    fn trailing_note(&mut self, now: Instant) {
        let number = self.held.number.saturating_add(1);
        if number < self.drink.steps
            && let Ok(Step::Note { text }) = self.sheet.step(self.held.id, number)
        {
            self.note = Some((text, now.offset(NOTE_S)));
        }
    }
}
