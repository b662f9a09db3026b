//! The sequences played on the simulated pan: somebody puts on what is asked for.

use pennyweight_core::Instant;
use pennyweight_core::units::AdcCode;
use pennyweight_core::weigh::calibration::fit::{Fit, GravityRatio};
use pennyweight_core::weigh::calibration::guided::{self, Ask};
use pennyweight_core::weigh::calibration::refusal::Refusal;
use pennyweight_core::weigh::calibration::weights::{Class, Weight};
use pennyweight_core::weigh::report::class_iii::Stated;
use pennyweight_core::weigh::report::guided::{self as proving, Reading};
use pennyweight_core::weigh::report::steps::Place;

use super::front::Front;
use super::report::Report;
use crate::plant::Loads;

/// Time to fetch a weight, with nothing on the pan, seconds (assumption).
const FETCH_S: f64 = 3.0;
/// From the middle of the pan to the middle of a quarter, centimetres: a pan of 15 cm
/// (assumption).
const QUARTER_CM: f64 = 3.75;
/// Nobody waits longer, seconds.
const PATIENCE_S: f64 = 4.0 * 3600.0;
/// A first guess at the rate; the times of the conversions tell it.
const NOMINAL_SPS: f32 = 80.0;

/// Somebody at the pan.
struct Hand<'l> {
    loads: &'l mut Loads,
    due: Option<(f64, f64, f64)>,
    patience_s: f64,
}

impl<'l> Hand<'l> {
    fn at(loads: &'l mut Loads) -> Self {
        let patience_s = loads.now_s() + PATIENCE_S;
        Self {
            loads,
            due: None,
            patience_s,
        }
    }

    /// Takes away what stands there and fetches something else.
    fn fetch(&mut self, grams: f64, off_centre_cm: f64) {
        self.loads.put(0.0, 0.0);
        self.due = Some((self.loads.now_s() + FETCH_S, grams, off_centre_cm));
    }

    fn read(&mut self) -> Option<(Instant, AdcCode)> {
        if let Some((due_s, grams, off_centre_cm)) = self.due
            && self.loads.now_s() >= due_s
        {
            self.loads.put(grams, off_centre_cm);
            self.due = None;
        }
        let read = self.loads.read();
        (self.loads.now_s() < self.patience_s)
            .then(|| (Instant::from_micros(read.t_us), AdcCode(read.code)))
    }
}

/// Calibrates; each weight is put on with the true mass that `truly` gives it. `None` when the
/// sequence never ends.
///
/// # Errors
/// Why there is no line.
pub fn calibrate(
    loads: &mut Loads,
    weights: &[Weight],
    capacity_g: f64,
    gravity: GravityRatio,
    truly: impl Fn(&Weight) -> f64,
) -> Option<Result<Fit, Refusal>> {
    let mut guided = match guided::Guided::new(weights, capacity_g, gravity) {
        Ok(guided) => guided,
        Err(refusal) => return Some(Err(refusal)),
    };
    let mut front = Front::uncalibrated(NOMINAL_SPS, capacity_g);
    let mut hand = Hand::at(loads);
    while let Some((now, code)) = hand.read() {
        for (at, code) in front.take(now, code).samples.into_iter().flatten() {
            match guided.take(at, code) {
                Some(guided::Told::Ask(Ask::Empty)) => hand.fetch(0.0, 0.0),
                Some(guided::Told::Ask(Ask::Put(weight))) => hand.fetch(truly(&weight), 0.0),
                Some(guided::Told::Done(outcome)) => return Some(outcome),
                None => {}
            }
        }
    }
    None
}

/// Proves a scale of that zero and span with weights of their nominal mass. `None` when the
/// sequence never ends.
#[must_use]
pub fn report(
    loads: &mut Loads,
    stated: Stated,
    zero_code: f64,
    counts_per_gram: f64,
    weights: Class,
) -> Option<Report> {
    let scale = proving::Guided::new(stated, zero_code, counts_per_gram);
    let front = Front::new(NOMINAL_SPS, counts_per_gram as f32);
    prove(loads, scale, front, |_, _| {})
        .map(|guided| Report::of(&stated, guided.readings(), weights))
}

/// The same, and tells each reading with the time it took so far, seconds.
pub(super) fn prove(
    loads: &mut Loads,
    mut guided: proving::Guided,
    mut front: Front,
    mut told: impl FnMut(f64, &Reading),
) -> Option<proving::Guided> {
    let mut hand = Hand::at(loads);
    while let Some((now, code)) = hand.read() {
        for (at, code) in front.take(now, code).samples.into_iter().flatten() {
            let before = guided.readings().len();
            let said = guided.take(at, code);
            if let Some(reading) = guided.readings().get(before) {
                told(hand.loads.now_s(), reading);
            }
            match said {
                Some(proving::Told::Ask(step)) => {
                    let off_centre_cm = match step.place {
                        Place::Centre => 0.0,
                        // Along the beam a quarter off shows with either sign.
                        Place::FrontLeft | Place::BackLeft => -QUARTER_CM,
                        Place::FrontRight | Place::BackRight => QUARTER_CM,
                    };
                    hand.fetch(step.load_g, off_centre_cm);
                }
                Some(proving::Told::Done) => return Some(guided),
                Some(proving::Told::NotIt(_)) | None => {}
            }
        }
    }
    None
}
