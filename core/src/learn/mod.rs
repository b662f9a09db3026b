//! Learning a bottle at the station, without a gesture: the empty measure is set on, filled to its
//! mark, and the density is there; with the label's strength the sugar, or the other way round.
//!
//! ```text
//! Measure -- placed --> Wait -- still --> Fill -- half of the least it can hold --> Told
//!                                          ^                                          |
//!                                          +------ lifted, and back empty ------------+
//! ```
//!
//! It may be filled on the pan or off it: what counts is a still pan and what it carries more than
//! the empty measure. A value is taken only when two means of the reading, one after the other,
//! agree; whatever happens on the pan begins them anew. So a knock or a hand costs time and
//! nothing else.
//!
//! What is added or taken out after the value was told amends it: somebody who stops short of the
//! mark for a while is only told too early. A fill is closed when the measure comes back empty;
//! until then it is the same fill, wherever it was. The measure as it first stood there stays the
//! tare: what clings to it afterwards is part of what fills it to the mark the next time.

mod fills;
mod quiet;

use crate::input::{CommandError, Known, Sample};
use crate::limits::{
    LEARN_CALM_S, LEARN_DRIP_S, LEARN_EARLY_G, LEARN_EMPTY_SHARE, LEARN_FILLS,
    LEARN_LEAST_G_PER_ML, LEARN_LIGHTER_G, LEARN_SIGMA_PART, LEARN_UL,
};
use crate::liquid::ethanol::{HIGHEST_C, LOWEST_C};
use crate::output::{Learned, Lesson, Outputs, Settled};
use crate::spec::{Reading, Unit};
use crate::time::Instant;
use crate::units::{Grams, deviation};
use crate::view::{Learn, Page};
use crate::weigh::Pan;
use crate::weigh::pan::PanEvents;
use crate::weigh::settle::Settling;
use fills::Fills;
use quiet::Quiet;

/// Where the learning stands.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Stage {
    /// The empty measure is awaited.
    Measure,
    /// Something stands there; what it weighs is awaited.
    Wait,
    /// To be filled.
    Fill,
    /// Filled and told; with `lifted`, taken away since.
    Told { lifted: bool },
}

/// A bottle being learned.
#[derive(Debug)]
pub struct Learning {
    sample: Sample,
    stage: Stage,
    quiet: Quiet,
    tare: Settled,
    fills: Fills,
    told: Option<Learned>,
}

impl Learning {
    /// Begins; with `loaded`, what stands on the pan is the empty measure.
    ///
    /// # Errors
    /// A sample outside [`LEARN_UL`], less sure than [`LEARN_SIGMA_PART`] of it, or with a
    /// temperature or a label that no liquid has.
    pub fn new(now: Instant, sample: Sample, loaded: bool) -> Result<Self, CommandError> {
        if !(LEARN_UL.0..=LEARN_UL.1).contains(&sample.volume_ul) {
            return Err(CommandError::MeasureRange {
                least_ml: (LEARN_UL.0 / 1_000) as u16,
                most_ml: (LEARN_UL.1 / 1_000) as u16,
            });
        }
        if sample.sigma_ul.saturating_mul(LEARN_SIGMA_PART) > sample.volume_ul {
            let part = LEARN_SIGMA_PART as u8;
            return Err(CommandError::MeasureSigma { part });
        }
        if !(LOWEST_C..=HIGHEST_C).contains(&(f64::from(sample.celsius) / 100.0)) {
            return Err(CommandError::TemperatureRange {
                lowest_c: LOWEST_C as i8,
                highest_c: HIGHEST_C as i8,
            });
        }
        match sample.known {
            Known::Strength(10_001..) => {
                return Err(CommandError::StrengthRange { most_percent: 100 });
            }
            Known::Strength(_) | Known::Sugar(_) | Known::Nothing => {}
        }
        let mut quiet = Quiet::default();
        quiet.disturb(now, LEARN_CALM_S);
        Ok(Self {
            sample,
            stage: if loaded { Stage::Wait } else { Stage::Measure },
            quiet,
            tare: Settled {
                mass: Grams::ZERO,
                sigma: Grams::ZERO,
            },
            fills: Fills::default(),
            told: None,
        })
    }

    /// Nothing has been weighed yet that another zero would spoil.
    ///
    /// # Errors
    /// The empty measure is weighed.
    pub fn may_zero(&self) -> Result<(), CommandError> {
        if self.stage == Stage::Measure {
            Ok(())
        } else {
            Err(CommandError::MeasureWeighed)
        }
    }

    /// Takes what the pan told; `before` is what it carried before.
    pub fn take(
        &mut self,
        now: Instant,
        events: &PanEvents,
        pan: &Pan,
        before: Grams,
        out: &mut Outputs,
    ) {
        let poured = events.pour_started || events.added.is_some_and(|mass| self.is_filled(mass));
        match self.stage {
            Stage::Measure => {
                if events.placed.is_some() {
                    self.stage = Stage::Wait;
                }
            }
            Stage::Wait => {
                if events.lifted {
                    self.stage = Stage::Measure;
                } else if poured {
                    // Somebody did not wait: the level before has to do.
                    self.tare = Settled {
                        mass: before,
                        sigma: Grams(LEARN_EARLY_G),
                    };
                    self.stage = Stage::Fill;
                }
            }
            Stage::Fill => {}
            Stage::Told { .. } => {
                if events.lifted {
                    self.stage = Stage::Told { lifted: true };
                }
            }
        }
        if let Some(seconds) = disturbance(events) {
            self.quiet.disturb(now, seconds);
        } else if pan.is_still()
            && pan.is_loaded()
            && let Some(stands) = self.quiet.take(now, pan.reading(), pan.noise())
        {
            self.weigh(stands, out);
        }
    }

    /// What stands on the pan is known.
    fn weigh(&mut self, stands: Settled, out: &mut Outputs) {
        match self.stage {
            Stage::Measure => {}
            Stage::Wait => self.set_tare(stands),
            Stage::Fill => {
                let net = self.net(stands);
                if net.mass.0 < -LEARN_LIGHTER_G {
                    self.set_tare(stands);
                } else if self.is_filled(net.mass) && self.fills.closed() < LEARN_FILLS {
                    self.stage = Stage::Told { lifted: false };
                    self.tell(net, out);
                }
            }
            Stage::Told { lifted } => {
                let net = self.net(stands);
                if self.is_filled(net.mass) {
                    self.stage = Stage::Told { lifted: false };
                    if self.fills.is_changed(net) {
                        self.tell(net, out);
                    }
                } else if net.mass.0 <= LEARN_EMPTY_SHARE * self.least().0 {
                    // Without having been away it was no fill: something leaned on the pan.
                    if lifted {
                        self.fills.close();
                    } else {
                        self.fills.withdraw();
                    }
                    self.stage = Stage::Fill;
                    if net.mass.0 < -LEARN_LIGHTER_G {
                        self.set_tare(stands);
                    }
                }
            }
        }
    }

    fn set_tare(&mut self, stands: Settled) {
        self.tare = stands;
        self.stage = Stage::Fill;
    }

    fn tell(&mut self, net: Settled, out: &mut Outputs) {
        let learned = self.fills.learn(&self.sample, net);
        self.told = Some(learned);
        out.learned = Some(learned);
    }

    fn net(&self, stands: Settled) -> Settled {
        let (a, b) = (stands.sigma.0, self.tare.sigma.0);
        Settled {
            mass: stands.mass - self.tare.mass,
            sigma: Grams(deviation(a * a + b * b)),
        }
    }

    /// The least that the full measure can hold.
    fn least(&self) -> Grams {
        Grams(self.sample.volume_ul as f32 / 1000.0 * LEARN_LEAST_G_PER_ML)
    }

    fn is_filled(&self, net: Grams) -> bool {
        net.0 >= 0.5 * self.least().0
    }

    /// The page for now.
    #[must_use]
    pub fn page(&self) -> Page<'static> {
        Page::Learn(match (self.stage, self.told) {
            (Stage::Measure, _) => Learn::Measure,
            (Stage::Wait, _) => Learn::Wait,
            (Stage::Told { .. }, Some(told)) => Learn::Told(told),
            (Stage::Fill, Some(told)) if self.fills.closed() >= LEARN_FILLS => Learn::Told(told),
            (Stage::Told { .. } | Stage::Fill, _) => Learn::Fill(self.mark()),
        })
    }

    /// The measure's mark; tenths of a millilitre only where there are any.
    fn mark(&self) -> Reading {
        let tenths = self.sample.volume_ul.saturating_add(50).checked_div(100);
        let tenths = i32::try_from(tenths.unwrap_or(0)).unwrap_or(i32::MAX);
        let whole = tenths.checked_rem(10) == Some(0);
        Reading {
            value: if whole {
                tenths.checked_div(10).unwrap_or(0)
            } else {
                tenths
            },
            decimals: u8::from(!whole),
            unit: Unit::Ml,
        }
    }
}

impl Learned {
    /// It cannot be.
    #[must_use]
    pub const fn is_refused(&self) -> bool {
        matches!(self.lesson, Lesson::Refused(_))
    }
}

/// How long the pan has to be left alone after this before it is read, seconds.
fn disturbance(events: &PanEvents) -> Option<f32> {
    if matches!(events.settling, Some(Settling::Landed(_))) {
        return Some(LEARN_DRIP_S);
    }
    let happened = events.lifted
        || events.placed.is_some()
        || events.pressed
        || events.bumped
        || events.stirred
        || events.added.is_some()
        || events.removed.is_some()
        || events.pour_started
        || events.pouring.is_some()
        || events.moving;
    happened.then_some(LEARN_CALM_S)
}
