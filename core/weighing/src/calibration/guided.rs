//! What to put on next: empty, each weight from the lightest, empty, the heaviest once more.
//!
//! The hand does nothing but put weights on. A step is done when the pan has stood still for
//! [`super::standing::STANDING_S`] at a new level; the empty pan between two weights and the
//! weight before are not new. The last two steps show whether anything moved meanwhile.

use heapless::Vec;

use super::fit::{Fit, GravityRatio, Point, Seen, fit};
use super::refusal::{POINTS, Refusal, STEADY_SHARE, check_weights};
use super::standing::{Level, Standing};
use super::weights::Weight;
use crate::time::Instant;
use crate::units::AdcCode;

/// A level is new when it is so many standard errors from the one before ...
const NEW_SIGMAS: f64 = 20.0;
/// ... at least so many codes ...
const NEW_CODES: f64 = 10.0;
/// ... and so much of the greatest load seen (design: the weights of a set differ by more).
const NEW_SHARE: f64 = 0.01;
/// A pan that was left and has not come to rest within this is unsteady, seconds.
pub const RESTLESS_S: f32 = 60.0;
/// Codes at an end of the range in a row that mean a converter driven too far.
const RAILS: u32 = 20;

/// What is asked for.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Ask {
    /// Nothing on the pan.
    Empty,
    /// This weight alone, in the middle.
    Put(Weight),
}

/// What the sequence says.
#[derive(Clone, Debug, PartialEq)]
pub enum Told {
    /// The next step.
    Ask(Ask),
    /// The end.
    Done(Result<Fit, Refusal>),
}

/// The sequence and where it stands.
#[derive(Clone, Debug)]
pub struct Guided {
    weights: Vec<Weight, POINTS>,
    capacity_g: f64,
    gravity: GravityRatio,
    standing: Standing,
    step: usize,
    asked: bool,
    done: bool,
    zero: Option<Level>,
    zero_again: Option<Level>,
    points: Vec<Point, POINTS>,
    restless_since: Option<Instant>,
}

impl Guided {
    /// A sequence with these weights on a cell that carries `capacity_g`.
    ///
    /// # Errors
    /// Weights that cannot be used.
    pub fn new(
        weights: &[Weight],
        capacity_g: f64,
        gravity: GravityRatio,
    ) -> Result<Self, Refusal> {
        check_weights(weights, capacity_g)?;
        let mut weights: Vec<Weight, POINTS> =
            Vec::from_slice(weights).map_err(|_| Refusal::TooMany)?;
        weights.sort_unstable_by(|a, b| a.grams.total_cmp(&b.grams));
        Ok(Self {
            weights,
            capacity_g,
            gravity,
            standing: Standing::new(),
            step: 0,
            asked: false,
            done: false,
            zero: None,
            zero_again: None,
            points: Vec::new(),
            restless_since: None,
        })
    }

    /// What is asked for now; `None` at the end.
    #[must_use]
    pub fn ask(&self) -> Option<Ask> {
        if self.done {
            return None;
        }
        let last = self.weights.len().saturating_add(1);
        if self.step == 0 || self.step == last {
            return Some(Ask::Empty);
        }
        let place = self.step.saturating_sub(1);
        let weight = self.weights.get(place).or(self.weights.last());
        weight.copied().map(Ask::Put)
    }

    /// Takes a code; says something where there is something new to say.
    pub fn take(&mut self, now: Instant, code: AdcCode) -> Option<Told> {
        let ask = self.ask()?;
        if !self.asked {
            self.asked = true;
            return Some(Told::Ask(ask));
        }
        let block = self.standing.take(now, code);
        if self.standing.rails() >= RAILS {
            return Some(self.end(Err(Refusal::Saturated)));
        }
        if !block {
            return None;
        }
        let Some(level) = self.standing.level(self.zero.map(|zero| zero.code)) else {
            return self.restless(now);
        };
        self.restless_since = None;
        self.is_answer(ask, level)
            .then(|| self.next_step(ask, level))
    }

    /// The pan moves: how long already, not counting a hand that has not begun.
    fn restless(&mut self, now: Instant) -> Option<Told> {
        let before = self.zero.is_some() && self.standing.mean().is_none();
        if before {
            return None;
        }
        let since = *self.restless_since.get_or_insert(now);
        if now.seconds_since(since) < RESTLESS_S {
            return None;
        }
        let grams = match self.ask() {
            Some(Ask::Put(weight)) => weight.grams,
            Some(Ask::Empty) | None => 0.0,
        };
        Some(self.end(Err(Refusal::Unsteady {
            grams,
            share: None,
            most: STEADY_SHARE,
        })))
    }

    fn is_answer(&self, ask: Ask, level: Level) -> bool {
        let Some(zero) = self.zero else {
            return true;
        };
        let heaviest = self.points.last().map(|point| point.level);
        let load = heaviest.map_or(0.0, |level| (level.code - zero.code).abs());
        let is_new = |known: Level| {
            let noise = NEW_SIGMAS * libm::hypot(known.sigma, level.sigma);
            let limit = noise.max(NEW_CODES).max(NEW_SHARE * load);
            (level.code - known.code).abs() > limit
        };
        let again = self.zero_again.is_some();
        match ask {
            // Nearer to empty than to what stood there: a zero that moved shall be told.
            Ask::Empty => {
                let off = (level.code - zero.code).abs();
                off < load / 2.0 && heaviest.is_none_or(is_new)
            }
            Ask::Put(_) => is_new(zero) && (again || heaviest.is_none_or(is_new)),
        }
    }

    fn next_step(&mut self, ask: Ask, level: Level) -> Told {
        self.step = self.step.saturating_add(1);
        self.standing.clear();
        match (ask, self.zero, self.zero_again) {
            (Ask::Empty, None, _) => self.zero = Some(level),
            (Ask::Empty, Some(_), _) => self.zero_again = Some(level),
            (Ask::Put(weight), _, None) => {
                let _ = self.points.push(Point { weight, level });
            }
            (Ask::Put(_), zero, Some(_)) => {
                let fitted = fit(&Seen {
                    zero: zero.unwrap_or_default(),
                    zero_again: self.zero_again,
                    points: &self.points,
                    repeat: Some(level),
                    capacity_g: self.capacity_g,
                    gravity: self.gravity,
                });
                return self.end(fitted);
            }
        }
        self.ask()
            .map_or(Told::Done(Err(Refusal::NoWeights)), Told::Ask)
    }

    fn end(&mut self, outcome: Result<Fit, Refusal>) -> Told {
        self.done = true;
        Told::Done(outcome)
    }
}
