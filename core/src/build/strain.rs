//! Straining into the served glass.

use crate::limits::{FINISH_S, NOTE_S, OVERRUN_THIN_S, PASSING_SIGMA_G, STRAINED_SHARE};
use crate::output::{Outputs, Settled};
use crate::pour::Crew;
use crate::spec::Step;
use crate::time::Instant;
use crate::units::Grams;
use crate::weigh::pan::{PanEvents, settled_of};

use super::drink::{Build, Phase};

/// What has been strained.
#[derive(Clone, Copy, Debug, Default)]
pub(super) struct Strained {
    before: Grams,
    current: Grams,
    /// Of what came before, g^2.
    variance: f32,
    /// Of what comes now.
    sigma: Grams,
    /// No more than this, where the glasses are to be alike.
    pub(super) to: Option<Grams>,
    /// The stop for that was cued.
    pub(super) stopped: bool,
}

impl Strained {
    pub(super) fn mass(&self) -> Grams {
        self.before + self.current
    }

    fn variance(&self) -> f32 {
        self.variance + self.sigma.0 * self.sigma.0
    }

    fn settled(&self) -> Settled {
        Settled {
            mass: self.mass(),
            sigma: Grams(libm::sqrtf(self.variance())),
        }
    }
}

impl Build<'_> {
    pub(super) fn strain(
        &mut self,
        mut strained: Strained,
        now: Instant,
        events: &PanEvents,
        crew: &mut Crew,
        out: &mut Outputs,
    ) {
        if strained.to.is_none()
            && let Some(volume) = crew.serve
        {
            strained.to = Some(self.tally.served_g(volume));
        }
        if events.pour_started {
            strained = Strained {
                before: strained.mass(),
                current: Grams::ZERO,
                variance: strained.variance(),
                sigma: Grams::ZERO,
                stopped: false,
                ..strained
            };
        }
        if let Some(pouring) = &events.pouring {
            strained.current = pouring.line.mass;
            strained.sigma = Grams(PASSING_SIGMA_G);
            let lands = strained.mass().0 + OVERRUN_THIN_S * pouring.line.flow.0;
            if !strained.stopped && strained.to.is_some_and(|to| lands >= to.0) {
                strained.stopped = true;
                out.stop = true;
            }
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
        let all = strained.to.map_or(f32::INFINITY, |to| to.0);
        if known && strained.mass().0 >= STRAINED_SHARE * self.tally.poured_g().min(all) {
            self.tally.strain(strained.settled());
            if self.more_to_come() {
                self.phase = Phase::Working;
                self.advance(now, crew, out);
                return;
            }
            self.open = None;
            self.trailing_note(now);
            let until = now.offset(FINISH_S);
            self.phase = Phase::Finishing {
                until,
                strained: Some(strained),
            };
        } else {
            self.phase = Phase::Straining(strained);
        }
    }

    /// Recorded once nothing more comes, or the glass goes.
    pub(super) fn finishing(
        &mut self,
        steady: bool,
        events: &PanEvents,
        crew: &mut Crew,
        out: &mut Outputs,
    ) {
        if !matches!(self.phase, Phase::Finishing { .. }) {
            return;
        }
        self.gone |= events.lifted;
        if steady || events.lifted {
            self.finish(crew, out);
        }
    }

    /// Something but notes follows the strain.
    fn more_to_come(&self) -> bool {
        (self.number.saturating_add(1)..self.drink.steps).any(|number| {
            let step = self.sheet.step(self.id, number);
            step.is_ok_and(|step| !matches!(step, Step::Note { .. }))
        })
    }

    /// A note behind the strain is shown with the finished glass.
    fn trailing_note(&mut self, now: Instant) {
        let number = self.number.saturating_add(1);
        if number < self.drink.steps
            && let Ok(Step::Note { text }) = self.sheet.step(self.id, number)
        {
            self.note = Some((text, now.offset(NOTE_S)));
        }
    }
}
