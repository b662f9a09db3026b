//! What the panel shows of a drink.

use crate::output::Verdict;
use crate::spec::{Reading, Unit};
use crate::time::Instant;
use crate::view::{Next, Offer, Page, bar};

use super::drink::{Build, Phase};
use super::step::{Open, PourStep};

impl<'s> Build<'s> {
    /// The page for now.
    #[must_use]
    pub fn page(&self, now: Instant) -> Page<'s> {
        if let Some(notice) = &self.notice {
            let offer = match (self.tipping, notice.fix) {
                (true, _) => Offer::TipOut,
                (false, true) => Offer::Fix,
                (false, false) => Offer::Nothing,
            };
            return Page::Judged {
                liquid: notice.liquid,
                error: notice.error,
                verdict: Verdict::Over,
                offer,
                next: self.after_notice(),
            };
        }
        match self.held.phase {
            Phase::Vessel | Phase::Astray => Page::Place {
                drink: self.drink.name,
                vessel: self.drink.vessel,
            },
            Phase::Working => self.working(now),
            Phase::Away {
                work,
                since,
                seconds,
            } => {
                let left = f32::from(seconds) - now.seconds_since(since);
                Page::Away {
                    work,
                    seconds_left: libm::ceilf(left) as i16,
                    running: true,
                    next: self.next,
                }
            }
            Phase::Glass => Page::Place {
                drink: self.drink.name,
                vessel: self.drink.glass,
            },
            Phase::Straining(strained) => Page::Strain {
                drink: self.drink.name,
                so_far: Reading::of_mass(strained.mass(), 1.0, Unit::Ml),
                left: strained
                    .left()
                    .map(|left| Reading::of_mass(left, 1.0, Unit::Ml)),
                cue: strained.cue(),
            },
            Phase::Back(back) => self.back_page(back),
            Phase::Finishing { .. } | Phase::Done | Phase::Over => match self.note {
                Some((text, _)) => Page::Note {
                    text,
                    next: Next::Nothing,
                },
                None => Page::Done {
                    drink: self.drink.name,
                },
            },
        }
    }

    fn working(&self, now: Instant) -> Page<'s> {
        if let Some((text, _)) = self.note {
            return Page::Note {
                text,
                next: self.after_notice(),
            };
        }
        match &self.open {
            Some(Open::Pour(step)) => pour(step, now, self.next),
            Some(Open::Ice {
                so_far,
                low_g,
                high_g,
            }) => Page::Ice {
                so_far: Reading::of_mass(*so_far, 1.0, Unit::Gram),
                low_g: *low_g,
                high_g: *high_g,
                next: self.next,
            },
            Some(Open::Work { work, seconds }) => Page::Away {
                work: *work,
                seconds_left: i16::from(*seconds),
                running: false,
                next: self.next,
            },
            Some(Open::Strain) | None => Page::Place {
                drink: self.drink.name,
                vessel: self.drink.glass,
            },
        }
    }

    /// What comes once the notice or the note is gone: the open step.
    fn after_notice(&self) -> Next<'s> {
        match &self.open {
            Some(Open::Pour(step)) => Next::Liquid(step.name),
            Some(Open::Ice { .. }) => Next::Ice,
            Some(Open::Work { work, .. }) => Next::Work(*work),
            Some(Open::Strain) => Next::Strain(self.drink.glass),
            None => Next::Nothing,
        }
    }
}

fn pour<'s>(step: &PourStep<'s>, now: Instant, next: Next<'s>) -> Page<'s> {
    let mass = step.pour.mass(now);
    if let Some((done, of)) = step.counted(mass) {
        return Page::Count {
            liquid: step.name,
            done,
            of,
            unit: step.amount.unit,
            next,
        };
    }
    let target = step.pour.judge().target;
    let left = target - mass;
    let reading = Reading::of_mass(left, step.grams_per_ml, step.amount.unit);
    let cue = step.pour.cue();
    if step.pour.goes() > 1 || step.pour.wants_more() {
        return Page::Add {
            liquid: step.name,
            missing: reading,
            cue,
            next,
        };
    }
    Page::Pour {
        liquid: step.name,
        remaining: reading,
        bar: bar(mass, target),
        cue,
        next,
    }
}
