//! Single pours, guided and by other methods, on the same draws.
//!
//! Pour `number` of a hand has the same bottle, flow, fall, drops, reaction and eased flow under
//! every method; only what tells the hand to stop differs.

mod guided;
mod limit;
mod plain;
mod plan;
pub mod round;

use rayon::iter::{IntoParallelRefIterator, ParallelIterator};
use serde::Serialize;

use crate::plant::{Bench, BenchSetup, HandNature, Hidden, Liquid, LiquidRef, Surroundings, Table};
use plan::{Group, Turn};

/// What tells the hand to stop.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Method {
    /// A plain scale's number.
    Plain,
    /// The same, by somebody with long practice.
    Practised,
    /// The station.
    Guided,
    /// Somebody who knows everything but the hand's next slip.
    Limit,
}

/// What the station knows of the hand.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum HandKind {
    /// It has guided twelve pours of this hand with this bottle.
    Known,
    /// Nothing: the first eight pours of a hand on a station that has seen none.
    Unknown,
    /// Hands change without a word after 8 to 24 pours.
    Changing,
    /// Known, with the sound off.
    Silent,
    /// Hands change without a word after 3 to 10 pours.
    ChangingOften,
    /// Pours 9 to 16 of a hand on a station that has seen none.
    Met,
}

/// What is tried.
#[derive(Clone, Debug, PartialEq)]
pub struct Trial {
    /// Method.
    pub method: Method,
    /// Hands.
    pub hand: HandKind,
    /// Out of which bottle.
    pub liquid: Liquid,
    /// Its usual flow, ml/s.
    pub flow_ml_s: f64,
    /// Nominal conversions per second.
    pub sps: f64,
    /// What is to be poured, ml at 20 degC.
    pub target_ml: f64,
    /// How many pours count.
    pub pours: usize,
    /// Chance.
    pub seed: u64,
    /// How lively the bar is.
    pub surroundings: Surroundings,
    /// Factors on hidden parameters.
    pub hidden: Hidden,
}

/// What became of one pour.
#[derive(Clone, Debug, PartialEq)]
pub struct TrialPour {
    /// Number of the hand.
    pub hand: usize,
    /// Pours by this hand on this station before it.
    pub before: usize,
    /// Asked for, grams as shown.
    pub target_g: f64,
    /// What truly landed, grams as shown.
    pub landed_g: f64,
    /// Seconds from the tilt to the move that ends the pour.
    pub seconds: f64,
    /// Flow at that move, g/s.
    pub stop_flow_g_s: f64,
    /// What a guiding station said, where one guided.
    pub said: Option<Said>,
}

impl TrialPour {
    /// Landed less target, grams as shown.
    #[must_use]
    pub fn error_g(&self) -> f64 {
        self.landed_g - self.target_g
    }
}

/// What the station said of a pour.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Said {
    /// Seconds from the first liquid landed to `pour_started`.
    pub started_after_s: Option<f64>,
    /// From the tilt to the ease cue, seconds.
    pub ease_s: Option<f64>,
    /// From the tilt to the stop cue, seconds.
    pub stop_s: Option<f64>,
    /// The early verdict.
    pub landed: Option<Reading>,
    /// The final one.
    pub steady: Option<Reading>,
    /// What had truly landed when the last go began, grams as shown: a value tells what came after.
    pub before_g: f64,
    /// The same when the last value was told.
    pub told_g: f64,
    /// What the station told apart as fallen in since then, grams.
    pub added_g: f64,
}

/// A settled mass beside the truth.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Reading {
    /// Seconds after the stream ended on the surface.
    pub after_s: f64,
    /// What it said less what of this go had truly landed by then, grams as shown.
    pub error_g: f64,
    /// What it said of its own standard deviation.
    pub sigma_g: f64,
}

/// Many pours in one line.
#[derive(Clone, Copy, Debug, Default, PartialEq, Serialize)]
pub struct Summary {
    /// How many.
    pub pours: usize,
    /// Mean error.
    pub bias_g: f64,
    /// Standard deviation of the error.
    pub sd_g: f64,
    /// 95 of 100 absolute errors are no larger.
    pub p95_g: f64,
    /// Share within the tolerance of service: max(1 ml, 5 %).
    pub good_share: f64,
}

/// All pours of a trial, in the order of hands.
#[derive(Clone, Debug, PartialEq)]
pub struct TrialResult {
    /// One by one.
    pub pours: Vec<TrialPour>,
    /// Together.
    pub summary: Summary,
}

/// Seconds after which somebody tilts back whatever is shown, beyond the time the pour needs.
const GIVE_UP_S: f64 = 10.0;

/// Pours them.
#[must_use]
pub fn run(table: &Table, trial: &Trial) -> TrialResult {
    let groups = plan::groups(trial);
    let pours: Vec<TrialPour> = groups
        .par_iter()
        .flat_map_iter(|group| play(table, trial, group))
        .collect();
    let summary = summary(
        &pours,
        trial.liquid.density_g_ml * trial.liquid.shown_share(),
    );
    TrialResult { pours, summary }
}

fn play(table: &Table, trial: &Trial, group: &Group) -> Vec<TrialPour> {
    match trial.method {
        Method::Guided => guided::play(table, trial, group),
        Method::Plain | Method::Practised => plain::play(table, trial, group),
        Method::Limit => limit::play(table, trial, group),
    }
}

/// Sums pours up; `shown_g_per_ml` turns the tolerance into grams.
#[must_use]
pub fn summary(pours: &[TrialPour], shown_g_per_ml: f64) -> Summary {
    let count = pours.len();
    if count == 0 {
        return Summary::default();
    }
    let errors: Vec<f64> = pours.iter().map(TrialPour::error_g).collect();
    let bias_g = errors.iter().sum::<f64>() / count as f64;
    let variance = errors
        .iter()
        .map(|error| (error - bias_g).powi(2))
        .sum::<f64>();
    let good = pours
        .iter()
        .filter(|pour| pour.error_g().abs() <= shown_g_per_ml.max(0.05 * pour.target_g))
        .count();
    Summary {
        pours: count,
        bias_g,
        sd_g: (variance / (count.max(2) - 1) as f64).sqrt(),
        p95_g: quantile(errors.iter().map(|error| error.abs()).collect(), 0.95),
        good_share: good as f64 / count as f64,
    }
}

/// The least of `values` that a share of `share` does not pass.
#[must_use]
pub fn quantile(mut values: Vec<f64>, share: f64) -> f64 {
    values.sort_by(f64::total_cmp);
    let rank = (share * values.len() as f64).ceil() as usize;
    values.get(rank.saturating_sub(1)).copied().unwrap_or(0.0)
}

/// The bench of a group; the table it returns has the hidden factors applied.
fn bench_for(table: &Table, trial: &Trial, group: &Group) -> Bench {
    let mut setup = BenchSetup::new(trial.sps, group.bench_seed, vec![trial.liquid.clone()]);
    setup.surroundings = trial.surroundings;
    setup.hidden = trial.hidden;
    Bench::new(table, setup)
}

/// The only bottle.
const BOTTLE: LiquidRef = LiquidRef(0);

/// What the scale would show of the target.
fn target_shown_g(trial: &Trial) -> f64 {
    trial.target_ml * trial.liquid.density_g_ml * trial.liquid.shown_share()
}

/// The hand of a turn.
fn hand_of(table: &Table, turn: &Turn) -> HandNature {
    HandNature::drawn(table, turn.hand_seed)
}

/// Longest a pour may take, seconds.
fn longest_s(trial: &Trial) -> f64 {
    3.0 * trial.target_ml / trial.flow_ml_s + GIVE_UP_S
}
