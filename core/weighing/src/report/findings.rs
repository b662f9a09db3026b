//! What came out, test by test, beside its limit.

use heapless::Vec;

use super::class_iii::{CREEP_E, CREEP_LATE_E, Stated, WEIGHTS_SHARE, ZERO_RETURN_E};
use super::guided::Reading;
use super::steps::Part;
use crate::calibration::weights::Class;

/// What was tried.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Test {
    /// Zero of the empty pan while it warms up, from the first.
    WarmUp,
    /// Error of Max while it warms up, each from the empty pan before it.
    WarmUpSpan,
    /// Spread of the weighings of one load.
    Repeatability,
    /// Error of rising loads.
    LinearityUp,
    /// Error of falling loads.
    LinearityDown,
    /// Error in the quarters of the pan.
    Eccentricity,
    /// Change under a load within 30 minutes.
    Creep,
    /// Change in the second half of them.
    CreepLate,
    /// Zero after the load is taken away.
    ZeroReturn,
}

impl Test {
    /// Every one, in the order of the report.
    pub const ALL: [Self; 9] = [
        Self::WarmUp,
        Self::WarmUpSpan,
        Self::Repeatability,
        Self::LinearityUp,
        Self::LinearityDown,
        Self::Eccentricity,
        Self::Creep,
        Self::CreepLate,
        Self::ZeroReturn,
    ];

    /// Where its limit is written: the clause, and whether it is told from memory.
    #[must_use]
    pub const fn source(self) -> (&'static str, bool) {
        match self {
            Self::WarmUp | Self::WarmUpSpan => ("OIML R 76-1 A.5.2, Table 6", true),
            Self::Repeatability => ("OIML R 76-1 3.6.1", true),
            Self::LinearityUp | Self::LinearityDown => ("OIML R 76-1 3.5.1, Table 6", false),
            Self::Eccentricity => ("OIML R 76-1 3.6.2", true),
            Self::Creep | Self::CreepLate => ("OIML R 76-1 3.9.4.1", true),
            Self::ZeroReturn => ("OIML R 76-1 3.9.4.2", true),
        }
    }
}

/// The worst that one test gave.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Finding {
    /// Which.
    pub test: Test,
    /// At which load, grams.
    pub load_g: f64,
    /// What was found there, grams.
    pub found_g: f64,
    /// What may be, grams.
    pub limit_g: f64,
    /// Standard error of the reading, grams.
    pub sigma_g: f64,
    /// The weights may be off by so much, grams; nothing for a difference of readings under the
    /// same weights.
    pub weights_g: f64,
}

impl Finding {
    /// It is within the limit.
    #[must_use]
    pub fn meets(&self) -> bool {
        self.found_g.abs() <= self.limit_g
    }

    /// Beyond the limit by so much, grams; negative where there is room left.
    #[must_use]
    pub fn over_g(&self) -> f64 {
        self.found_g.abs() - self.limit_g
    }

    /// The weights and the noise could turn the answer round.
    #[must_use]
    pub fn in_doubt(&self) -> bool {
        self.over_g().abs() <= self.weights_g + 2.0 * self.sigma_g
    }

    /// The weights are too coarse for this limit: off by more than a third of it.
    #[must_use]
    pub fn weights_too_coarse(&self) -> bool {
        self.weights_g > WEIGHTS_SHARE * self.limit_g
    }
}

/// All of them; a test without readings is left out.
#[must_use]
pub fn findings(stated: &Stated, readings: &[Reading], weights: Class) -> Vec<Finding, 9> {
    let sheet = Sheet {
        stated,
        readings,
        weights,
    };
    Test::ALL
        .into_iter()
        .filter_map(|test| sheet.find(test))
        .collect()
}

struct Sheet<'r> {
    stated: &'r Stated,
    readings: &'r [Reading],
    weights: Class,
}

impl Sheet<'_> {
    fn find(&self, test: Test) -> Option<Finding> {
        match test {
            Test::WarmUp => self.warm_up_zero(),
            Test::WarmUpSpan => self.warm_up_span(),
            Test::Repeatability => self.spread(),
            Test::LinearityUp => self.errors(Part::Up, test),
            Test::LinearityDown => self.errors(Part::Down, test),
            Test::Eccentricity => self.errors(Part::Eccentricity, test),
            Test::Creep | Test::CreepLate => self.creep(test),
            Test::ZeroReturn => self.zero_return(),
        }
    }

    fn of(&self, part: Part) -> impl Iterator<Item = &Reading> {
        let of_part = move |reading: &&Reading| reading.step.part == part;
        self.readings.iter().filter(of_part)
    }

    /// The empty pan last read before `part`.
    fn zero_before(&self, part: Part) -> Option<f64> {
        let before = self.readings.iter().take_while(|one| one.step.part != part);
        before
            .filter(|one| one.step.load_g == 0.0)
            .last()
            .map(|one| one.shown_g)
    }

    /// The error that uses up most of its limit.
    fn errors(&self, part: Part, test: Test) -> Option<Finding> {
        // Falling loads follow the rising ones without an empty pan between.
        let begins = if part == Part::Down { Part::Up } else { part };
        let zero = self.zero_before(begins)?;
        self.of(part)
            .filter(|one| one.step.load_g > 0.0)
            .map(|one| Finding {
                test,
                load_g: one.step.load_g,
                found_g: one.shown_g - zero - one.step.load_g,
                limit_g: self.stated.mpe_g(one.step.load_g),
                sigma_g: one.sigma_g,
                weights_g: self.weights.load_mpe_g(one.step.load_g),
            })
            .max_by(|a, b| {
                let used = |one: &Finding| one.found_g.abs() / one.limit_g;
                used(a).total_cmp(&used(b))
            })
    }

    /// Each weighing from the empty pan before it.
    fn spread(&self) -> Option<Finding> {
        let mut zero = self.zero_before(Part::Repeatability)?;
        let (mut least, mut most, mut load_g) = (f64::MAX, f64::MIN, 0.0);
        let mut sigma_g = 0.0_f64;
        for one in self.of(Part::Repeatability) {
            if one.step.load_g == 0.0 {
                zero = one.shown_g;
                continue;
            }
            load_g = one.step.load_g;
            least = least.min(one.shown_g - zero);
            most = most.max(one.shown_g - zero);
            sigma_g = sigma_g.max(one.sigma_g);
        }
        (most >= least).then(|| Finding {
            test: Test::Repeatability,
            load_g,
            found_g: most - least,
            limit_g: self.stated.mpe_g(load_g),
            sigma_g,
            weights_g: 0.0,
        })
    }

    /// The zero furthest from the first.
    fn warm_up_zero(&self) -> Option<Finding> {
        let zeros = || self.of(Part::WarmUp).filter(|one| one.step.load_g == 0.0);
        let first = zeros().next()?.shown_g;
        zeros()
            .map(|one| Finding {
                test: Test::WarmUp,
                load_g: 0.0,
                found_g: one.shown_g - first,
                limit_g: self.stated.mpe_g(0.0),
                sigma_g: one.sigma_g,
                weights_g: 0.0,
            })
            .max_by(|a, b| a.found_g.abs().total_cmp(&b.found_g.abs()))
    }

    /// The worst error of Max.
    fn warm_up_span(&self) -> Option<Finding> {
        let (mut zero, mut worst) = (0.0, None::<Finding>);
        for one in self.of(Part::WarmUp) {
            let load_g = one.step.load_g;
            if load_g == 0.0 {
                zero = one.shown_g;
                continue;
            }
            let found_g = one.shown_g - zero - load_g;
            if worst.is_none_or(|worst| found_g.abs() > worst.found_g.abs()) {
                worst = Some(Finding {
                    test: Test::WarmUpSpan,
                    load_g,
                    found_g,
                    limit_g: self.stated.mpe_g(load_g),
                    sigma_g: one.sigma_g,
                    weights_g: self.weights.load_mpe_g(load_g),
                });
            }
        }
        worst
    }

    fn creep(&self, test: Test) -> Option<Finding> {
        let one = self.of(Part::Creep).find(|one| one.watched.is_some())?;
        let watched = one.watched?;
        let e_g = self.stated.e_g();
        let (found_g, limit_g) = if test == Test::CreepLate {
            (watched.end_g - watched.half_way_g, CREEP_LATE_E * e_g)
        } else {
            (watched.furthest_g - one.shown_g, CREEP_E * e_g)
        };
        Some(Finding {
            test,
            load_g: one.step.load_g,
            found_g,
            limit_g,
            sigma_g: one.sigma_g,
            weights_g: 0.0,
        })
    }

    fn zero_return(&self) -> Option<Finding> {
        let before = self.zero_before(Part::Creep)?;
        let loaded = self.of(Part::Creep).find(|one| one.watched.is_some())?;
        let after = self.of(Part::Creep).find(|one| one.step.load_g == 0.0)?;
        Some(Finding {
            test: Test::ZeroReturn,
            load_g: loaded.step.load_g,
            found_g: after.shown_g - before,
            limit_g: ZERO_RETURN_E * self.stated.e_g(),
            sigma_g: after.sigma_g,
            weights_g: 0.0,
        })
    }
}
