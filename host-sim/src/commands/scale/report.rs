//! `station --report`: what to put on, and what the scale is worth.

use std::io::{self, Write};

use pennyweight_core::Instant;
use pennyweight_core::units::AdcCode;
use pennyweight_core::weigh::calibration::weights::Class;
use pennyweight_core::weigh::report::CAUTION;
use pennyweight_core::weigh::report::class_iii::{E_LEAST_G, N_MOST, Stated, Unfit};
use pennyweight_core::weigh::report::findings::{Finding, Test, findings};
use pennyweight_core::weigh::report::guided::{Guided, Reading, Told};
use pennyweight_core::weigh::report::steps::{Place, Step, WATCH_S};
use serde::Serialize;

use super::super::events::write_json;
use super::super::failure::Failure;
use super::{ScaleArgs, Sequence, mass_words, report_text};

/// A report as other programs read it.
#[derive(Clone, Debug, Serialize)]
pub struct Report {
    /// Max, grams.
    pub max_g: f64,
    /// e, grams.
    pub e_g: f64,
    /// Max over e.
    pub n: f64,
    /// Min, grams.
    pub min_g: f64,
    /// Class of the weights.
    pub weights: &'static str,
    /// Every test meets its limit.
    pub meets: bool,
    /// Test by test.
    pub tests: Vec<TestLine>,
    /// What the report is not.
    pub caution: &'static str,
}

/// One test.
#[derive(Clone, Debug, Serialize)]
pub struct TestLine {
    /// Which.
    pub test: &'static str,
    /// At which load the worst was found, grams.
    pub load_g: f64,
    /// The worst, grams.
    pub found_g: f64,
    /// The limit, grams.
    pub limit_g: f64,
    /// It is within it.
    pub meets: bool,
    /// Beyond the limit by so much, grams; 0 where it meets.
    pub over_g: f64,
    /// The weights may be off by so much, grams.
    pub weights_g: f64,
    /// Weights and noise could turn the answer round.
    pub in_doubt: bool,
    /// The weights are off by more than a third of the limit.
    pub weights_too_coarse: bool,
    /// Where the limit is written.
    pub source: &'static str,
    /// The limit is told from memory.
    pub from_memory: bool,
}

impl Report {
    /// Sums up what was read.
    #[must_use]
    pub fn of(stated: &Stated, readings: &[Reading], weights: Class) -> Self {
        let found = findings(stated, readings, weights);
        Self {
            max_g: stated.max_g(),
            e_g: stated.e_g(),
            n: stated.n(),
            min_g: stated.min_g(),
            weights: weights.name(),
            // A report that misses a test proves nothing.
            meets: found.len() == Test::ALL.len() && found.iter().all(Finding::meets),
            tests: found.iter().map(line).collect(),
            caution: CAUTION,
        }
    }
}

fn line(finding: &Finding) -> TestLine {
    let (source, from_memory) = finding.test.source();
    TestLine {
        test: test_name(finding.test),
        load_g: finding.load_g,
        found_g: finding.found_g,
        limit_g: finding.limit_g,
        meets: finding.meets(),
        over_g: finding.over_g().max(0.0),
        weights_g: finding.weights_g,
        in_doubt: finding.in_doubt(),
        weights_too_coarse: finding.weights_too_coarse(),
        source,
        from_memory,
    }
}

fn test_name(test: Test) -> &'static str {
    match test {
        Test::WarmUp => "warm_up",
        Test::WarmUpSpan => "warm_up_span",
        Test::Repeatability => "repeatability",
        Test::LinearityUp => "linearity_up",
        Test::LinearityDown => "linearity_down",
        Test::Eccentricity => "eccentricity",
        Test::Creep => "creep",
        Test::CreepLate => "creep_late",
        Test::ZeroReturn => "zero_return",
    }
}

/// Max and e as stated on the command line.
///
/// # Errors
/// What class III does not allow.
pub fn stated(args: &ScaleArgs) -> Result<Stated, Failure> {
    let (Some(max_g), Some(e_g)) = (args.max, args.e) else {
        return Err(Failure::bad_input(
            "the scale is not stated",
            "--report",
            "--max and --e are both needed",
            "write --report --max \"3 kg\" --e \"2 g\"",
        ));
    };
    Stated::new(max_g, e_g).map_err(|unfit| {
        Failure::bad_input(
            "no class III scale can be so",
            format!("--max \"{max_g} g\" --e \"{e_g} g\""),
            unfit_words(unfit),
            "choose an e for which Max / e lies between 100 and 10 000",
        )
    })
}

fn unfit_words(unfit: Unfit) -> String {
    match unfit {
        Unfit::NotANumber => "a mass is not positive".to_owned(),
        Unfit::TooFine { e_g } => format!("e = {e_g} g is below {E_LEAST_G} g (R 76-1 Table 3)"),
        Unfit::OddInterval { e_g } => {
            format!("e = {e_g} g is not 1, 2 or 5 times a power of ten")
        }
        Unfit::TooMany { n } => format!("n = {n:.0} is more than {N_MOST} (R 76-1 Table 3)"),
        Unfit::TooFew { n, least } => {
            format!("n = {n:.0} is less than {least} (R 76-1 Table 3)")
        }
    }
}

/// A report under way.
pub struct Proving {
    guided: Guided,
    stated: Stated,
    weights: Class,
}

#[derive(Serialize)]
struct Line {
    t_us: u64,
    #[serde(flatten)]
    told: Event,
}

#[derive(Serialize)]
#[serde(tag = "event", rename_all = "snake_case")]
enum Event {
    Report {
        ask: String,
        at: &'static str,
        #[serde(skip_serializing_if = "Option::is_none")]
        for_s: Option<f32>,
        #[serde(skip_serializing_if = "Option::is_none")]
        from_s: Option<f32>,
    },
    NotIt {
        shown_g: f64,
    },
    Reported {
        #[serde(flatten)]
        report: Report,
        /// The same as text, line by line.
        lines: Vec<String>,
    },
}

impl Proving {
    /// A report as the options ask for it.
    ///
    /// # Errors
    /// What class III does not allow.
    pub fn new(args: &ScaleArgs, zero_code: i32, counts_per_gram: f32) -> Result<Self, Failure> {
        let stated = stated(args)?;
        Ok(Self {
            guided: Guided::new(stated, f64::from(zero_code), f64::from(counts_per_gram)),
            stated,
            weights: args.weights.unwrap_or(Class::F2),
        })
    }
}

impl Sequence for Proving {
    fn take(&mut self, now: Instant, code: AdcCode, to: &mut dyn Write) -> io::Result<()> {
        let Some(told) = self.guided.take(now, code) else {
            return Ok(());
        };
        let told = match told {
            Told::Ask(step) => ask(&step),
            Told::NotIt(shown_g) => Event::NotIt { shown_g },
            Told::Done => {
                let report = Report::of(&self.stated, self.guided.readings(), self.weights);
                let lines = report_text::text(&report);
                let lines = lines.lines().map(str::to_owned).collect();
                Event::Reported { report, lines }
            }
        };
        let t_us = now.micros();
        write_json(&mut &mut *to, &Line { t_us, told })
    }
}

fn ask(step: &Step) -> Event {
    Event::Report {
        ask: load_words(step),
        at: place_words(step.place),
        for_s: step.watched.then_some(WATCH_S),
        from_s: (step.from_s > 0.0).then_some(step.from_s),
    }
}

/// What a step asks for.
pub(super) fn load_words(step: &Step) -> String {
    if step.load_g > 0.0 {
        mass_words(step.load_g)
    } else {
        "empty".to_owned()
    }
}

/// Where it asks for it.
pub(super) const fn place_words(place: Place) -> &'static str {
    match place {
        Place::Centre => "centre",
        Place::FrontLeft => "front left",
        Place::FrontRight => "front right",
        Place::BackRight => "back right",
        Place::BackLeft => "back left",
    }
}
