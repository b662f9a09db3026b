//! The fills of one bottle: their mean, how far they lie apart, and what follows.
//!
//! A measure's own error is the same in every fill and does not average out; what the eye at the
//! mark and the scale add does. So the volume's uncertainty stays as it is however often the
//! measure is filled, and the rest, the larger of what the scale promises and what the repeats
//! show, shrinks with the root of their number.

use crate::input::{Known, Sample};
use crate::limits::LEARN_AMEND_G;
use crate::liquid::deviation;
use crate::liquid::learn::{self, Impossible, Uncertain, Weighing};
use crate::output::{Figure, Learned, Lesson, Refused, Settled};

/// Running sums over what the scale showed, grams.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
struct Sums {
    count: u8,
    mean: f64,
    /// Squares of the distances from the mean, added up (Welford, Technometrics 1962;4:419).
    squares: f64,
    sigma: f64,
}

impl Sums {
    fn with(self, fill: Settled) -> Self {
        let grams = f64::from(fill.mass.0);
        let count = self.count.saturating_add(1);
        let away = grams - self.mean;
        let mean = self.mean + away / f64::from(count);
        Self {
            count,
            mean,
            squares: self.squares + away * (grams - mean),
            sigma: self.sigma.max(f64::from(fill.sigma.0)),
        }
    }

    /// One standard deviation of a single fill, grams; 0 before there are two.
    fn spread(self) -> f64 {
        match self.count {
            ..=1 => 0.0,
            count => deviation(self.squares / (f64::from(count) - 1.0)),
        }
    }
}

/// The fills of one bottle.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub(super) struct Fills {
    sums: Sums,
    /// The fill that may still be amended.
    open: Option<Settled>,
    /// The open one is no liquid's and counts for nothing.
    odd: bool,
}

impl Fills {
    /// How many are closed.
    pub(super) const fn closed(&self) -> u8 {
        self.sums.count
    }

    /// The measure came back empty: the open fill stands.
    pub(super) fn close(&mut self) {
        if let Some(fill) = self.open.take()
            && !self.odd
        {
            self.sums = self.sums.with(fill);
        }
    }

    /// The open fill was none.
    pub(super) fn withdraw(&mut self) {
        self.open = None;
    }

    /// The open fill differs from this by more than weighing does.
    pub(super) fn is_changed(&self, net: Settled) -> bool {
        self.open.is_none_or(|open| {
            (net.mass - open.mass).abs().0 > (2.0 * net.sigma.0).max(LEARN_AMEND_G)
        })
    }

    /// Takes the open fill, or its amendment, and says what all of them tell.
    pub(super) fn learn(&mut self, sample: &Sample, net: Settled) -> Learned {
        self.open = Some(net);
        let alone = density_of(sample, f64::from(net.mass.0), f64::from(net.sigma.0));
        self.odd = alone.is_err();
        let (sums, found, spread) = if self.odd {
            (self.sums, alone, 0.0)
        } else {
            let sums = self.sums.with(net);
            let random = sums.sigma.max(sums.spread()) / deviation(f64::from(sums.count));
            let found = density_of(sample, sums.mean, random);
            (
                sums,
                found,
                sums.spread() * 1e6 / f64::from(sample.volume_ul),
            )
        };
        let (density, lesson) = match found {
            Ok(density) => (figure(density, 1.0), lesson(sample, density)),
            Err(why) => (figure(at_fault(why), 1.0), refused(why)),
        };
        Learned {
            sample: *sample,
            fills: sums.count,
            density,
            spread: spread as f32,
            lesson,
        }
    }
}

fn density_of(sample: &Sample, shown_g: f64, shown_sigma_g: f64) -> Result<Uncertain, Impossible> {
    Weighing {
        volume_ml: f64::from(sample.volume_ul) / 1e3,
        volume_sigma_ml: f64::from(sample.sigma_ul) / 1e3,
        shown_g,
        shown_sigma_g,
        celsius: celsius(sample),
    }
    .density()
}

fn celsius(sample: &Sample) -> f64 {
    f64::from(sample.celsius) / 100.0
}

fn lesson(sample: &Sample, density: Uncertain) -> Lesson {
    let celsius = celsius(sample);
    match sample.known {
        Known::Nothing => Lesson::Density,
        Known::Strength(hundredths) => {
            learn::sugar(density, celsius, f64::from(hundredths) / 10_000.0)
                .map_or_else(refused, |sugar| Lesson::Sugar(figure(sugar, 1.0)))
        }
        Known::Sugar(tenths) => learn::strength(density, celsius, f64::from(tenths) / 10.0)
            .map_or_else(refused, |strength| {
                Lesson::Strength(figure(strength, 100.0))
            }),
    }
}

fn refused(why: Impossible) -> Lesson {
    Lesson::Refused(match why {
        Impossible::NoLiquid { bound, .. } => Refused::NoLiquid(bound as f32),
        Impossible::TooLight { least, .. } => Refused::TooLight(least as f32),
        Impossible::TooDense { most, .. } => Refused::TooDense(most as f32),
        Impossible::Figure(_) => Refused::Label,
    })
}

/// The density that could not be; 0 where there is none.
fn at_fault(why: Impossible) -> Uncertain {
    let value = match why {
        Impossible::NoLiquid { density, .. }
        | Impossible::TooLight { density, .. }
        | Impossible::TooDense { density, .. } => density,
        Impossible::Figure(_) => 0.0,
    };
    Uncertain { value, sigma: 0.0 }
}

fn figure(known: Uncertain, scale: f64) -> Figure {
    Figure {
        value: (known.value * scale) as f32,
        sigma: (known.sigma * scale) as f32,
    }
}
