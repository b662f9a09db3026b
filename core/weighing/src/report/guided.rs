//! Asks for one load after another and reads each once the pan stands still.

use heapless::Vec;

use super::class_iii::Stated;
use super::steps::{STEPS, Step, WATCH_S, steps};
use crate::calibration::standing::{Level, Standing};
use crate::time::Instant;
use crate::units::AdcCode;

/// What lies so near to what was asked for, as a share of it, is taken for it ...
const NEAR_SHARE: f64 = 0.1;
/// ... plus so many e.
const NEAR_E: f64 = 10.0;
/// A load put on again must have left the pan first, by so much of it.
const GONE_SHARE: f64 = 0.1;

/// What a step gave, grams as shown.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Reading {
    /// The step.
    pub step: Step,
    /// At first.
    pub shown_g: f64,
    /// Standard error of that.
    pub sigma_g: f64,
    /// Where it was watched: what happened.
    pub watched: Option<Watched>,
}

/// A load that was watched, grams as shown.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Watched {
    /// Furthest from the first reading, with its sign.
    pub furthest_g: f64,
    /// Half way.
    pub half_way_g: f64,
    /// At the end.
    pub end_g: f64,
}

/// What the sequence says.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Told {
    /// Put this on.
    Ask(Step),
    /// It stands still, yet far from what was asked for: grams as shown.
    NotIt(f64),
    /// Everything is read: [`Guided::readings`].
    Done,
}

/// The sequence and where it stands.
#[derive(Clone, Debug)]
pub struct Guided {
    stated: Stated,
    zero_code: f64,
    counts_per_gram: f64,
    steps: Vec<Step, STEPS>,
    readings: Vec<Reading, STEPS>,
    standing: Standing,
    /// When it began: what is asked for first was asked for then.
    begun: Option<Instant>,
    armed: bool,
    complained: Option<f64>,
    watch: Option<(Instant, Reading)>,
    half_way: bool,
}

impl Guided {
    /// A report on a scale of that zero and span.
    #[must_use]
    pub fn new(stated: Stated, zero_code: f64, counts_per_gram: f64) -> Self {
        Self {
            stated,
            zero_code,
            counts_per_gram,
            steps: steps(&stated),
            readings: Vec::new(),
            standing: Standing::new(),
            begun: None,
            armed: true,
            complained: None,
            watch: None,
            half_way: false,
        }
    }

    /// What was read so far, in the order of the steps.
    #[must_use]
    pub fn readings(&self) -> &[Reading] {
        &self.readings
    }

    /// What is asked for now; `None` at the end.
    #[must_use]
    pub fn ask(&self) -> Option<Step> {
        self.steps.get(self.readings.len()).copied()
    }

    /// Takes a code; says something where there is something new to say.
    pub fn take(&mut self, now: Instant, code: AdcCode) -> Option<Told> {
        let step = self.ask()?;
        let Some(begun) = self.begun else {
            self.begun = Some(now);
            return Some(Told::Ask(step));
        };
        if !self.standing.take(now, code) {
            return None;
        }
        let latest = self.grams(self.standing.latest()?);
        if let Some((since, reading)) = self.watch {
            return self.watch(now, since, reading, latest);
        }
        let before = self.readings.last().map(|reading| reading.step.load_g);
        if let Some(before) = before
            && (latest - before).abs() > GONE_SHARE * before.max(step.load_g)
        {
            self.armed = true;
        }
        let level = self.standing.level(Some(self.zero_code))?;
        let shown_g = self.grams(level.code);
        if (shown_g - step.load_g).abs() > self.near(step.load_g) {
            return self.complain(before, shown_g);
        }
        if !self.armed || now.seconds_since(begun) < step.from_s {
            return None;
        }
        let reading = self.read(step, level);
        if step.watched {
            self.watch = Some((now, reading));
            self.half_way = false;
            return None;
        }
        Some(self.next_step(reading))
    }

    fn grams(&self, code: f64) -> f64 {
        (code - self.zero_code) / self.counts_per_gram
    }

    fn near(&self, load_g: f64) -> f64 {
        NEAR_SHARE * load_g + NEAR_E * self.stated.e_g()
    }

    fn read(&self, step: Step, level: Level) -> Reading {
        let shown_g = self.grams(level.code);
        Reading {
            step,
            shown_g,
            sigma_g: level.sigma / self.counts_per_gram.abs(),
            watched: step.watched.then_some(Watched {
                furthest_g: shown_g,
                half_way_g: shown_g,
                end_g: shown_g,
            }),
        }
    }

    /// Once for each wrong load, and not for what has simply not been changed yet.
    fn complain(&mut self, before: Option<f64>, shown_g: f64) -> Option<Told> {
        let unchanged = before.is_some_and(|before| (shown_g - before).abs() <= self.near(before));
        let told = self
            .complained
            .is_some_and(|told| (told - shown_g).abs() <= self.near(told.abs()));
        // The pan is empty for a while between two loads.
        if unchanged || told || shown_g.abs() <= self.near(0.0) {
            return None;
        }
        self.complained = Some(shown_g);
        Some(Told::NotIt(shown_g))
    }

    fn watch(
        &mut self,
        now: Instant,
        since: Instant,
        mut reading: Reading,
        latest: f64,
    ) -> Option<Told> {
        let load_g = reading.step.load_g;
        if (latest - load_g).abs() > self.near(load_g) {
            // Taken away or touched: from the beginning.
            self.watch = None;
            self.standing.clear();
            return Some(Told::Ask(reading.step));
        }
        let shown_g = self.grams(self.standing.mean()?.code);
        let past = now.seconds_since(since);
        if let Some(watched) = &mut reading.watched {
            let first = reading.shown_g;
            if (shown_g - first).abs() > (watched.furthest_g - first).abs() {
                watched.furthest_g = shown_g;
            }
            if past >= WATCH_S / 2.0 && !self.half_way {
                self.half_way = true;
                watched.half_way_g = shown_g;
            }
            watched.end_g = shown_g;
        }
        self.watch = Some((since, reading));
        (past >= WATCH_S).then(|| self.next_step(reading))
    }

    fn next_step(&mut self, reading: Reading) -> Told {
        let _ = self.readings.push(reading);
        self.standing.clear();
        self.watch = None;
        self.complained = None;
        self.armed = false;
        self.ask().map_or(Told::Done, Told::Ask)
    }
}
