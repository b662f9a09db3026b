//! What a sweep came to: the document of `--json`, and what table and picture are made from.

use serde::Serialize;

use super::grid::Cell;
use super::options::{HandName, LiquidName};
use super::r61::{Filling, filling};
use super::spread::{Spread, spread};
use crate::plant::{Hidden, Table};
use crate::trial::{Method, Summary, TrialPour, TrialResult, quantile};

/// Density of pure ethanol at 20 degC, g/ml (Lange's Handbook of Chemistry, 10th edition).
const ETHANOL_G_ML: f64 = 0.7893;
/// A landing is wrong when it is further off than this from what had landed by then, grams.
const WRONG_G: f64 = 0.1;

/// A whole sweep.
#[derive(Clone, Debug, Serialize)]
pub struct Document {
    /// Chance.
    pub seed: u64,
    /// Pours that were to count in each cell.
    pub pours: usize,
    /// How P95's interval was made.
    pub interval: &'static str,
    /// Cell by cell, method by method.
    pub cells: Vec<CellLine>,
    /// Early verdicts of the guided pours.
    pub settle: Vec<SettleLine>,
    /// The demo round by both.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub round: Option<RoundLine>,
    /// The simulated world, as its table states it.
    pub plant: Table,
    /// Factors on what is hidden, world by world.
    pub worlds: Vec<World>,
}

/// A world with its factors.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct World {
    /// Its name.
    pub name: String,
    /// Factor on each hidden parameter.
    #[serde(rename = "factors")]
    pub hidden: Hidden,
}

/// One cell by one method.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct CellLine {
    /// In which world.
    pub world: String,
    /// What told the hand to stop.
    pub method: Method,
    /// Whose hand.
    pub hand: HandName,
    /// Of what.
    pub liquid: LiquidName,
    /// Usual flow, ml/s.
    pub flow_ml_s: f64,
    /// Conversions per second.
    pub sps: f64,
    /// How much, ml.
    pub target_ml: f64,
    /// The same as shown, grams.
    pub target_g: f64,
    /// Pours, bias, deviation, P95, share within the tolerance of service.
    #[serde(flatten)]
    pub summary: Summary,
    /// How sure P95 is.
    #[serde(flatten)]
    pub spread: Option<Spread>,
    /// P95 of pours 9 to 16 of an unknown hand, grams.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub later_p95_g: Option<f64>,
    /// What P95 shall be at most, grams, where the design states it.
    pub figure_g: Option<f64>,
    /// Beside OIML R 61.
    pub r61: Option<Filling>,
    /// P95 in a drink.
    pub in_a_drink: InADrink,
}

/// What an error means.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct InADrink {
    /// Of three equal parts, one off by P95: its share is off by so many points of a hundred.
    pub share_points: f64,
    /// Pure alcohol in so much of it, grams.
    pub ethanol_g: f64,
}

impl CellLine {
    /// Sums a trial up.
    #[must_use]
    pub fn of(cell: &Cell, method: Method, world: &str, result: &TrialResult, seed: u64) -> Self {
        let bottle = cell.liquid.bottle();
        let target_g = cell.target_ml * bottle.density_g_ml * bottle.shown_share();
        let fills: Vec<f64> = result.pours.iter().map(|pour| pour.landed_g).collect();
        let p95_g = result.summary.p95_g;
        let p95_ml = p95_g / bottle.density_g_ml;
        Self {
            world: world.to_owned(),
            method,
            hand: cell.hand,
            liquid: cell.liquid,
            flow_ml_s: cell.flow_ml_s,
            sps: cell.sps,
            target_ml: cell.target_ml,
            target_g,
            summary: result.summary,
            spread: spread(&result.pours, seed),
            later_p95_g: None,
            figure_g: (method == Method::Guided)
                .then(|| figure_g(cell, world))
                .flatten(),
            r61: filling(&fills, target_g),
            in_a_drink: InADrink {
                share_points: share_points(p95_g, target_g),
                ethanol_g: p95_ml * bottle.abv_percent / 100.0 * ETHANOL_G_ML,
            },
        }
    }
}

/// By how many points of a hundred the share of one of three equal parts is off.
#[must_use]
pub fn share_points(error_g: f64, target_g: f64) -> f64 {
    let whole_g = 3.0 * target_g + error_g;
    100.0 * ((target_g + error_g) / whole_g - 1.0 / 3.0)
}

/// The design's figures, at 80 conversions a second and 10 to 60 ml.
fn figure_g(cell: &Cell, world: &str) -> Option<f64> {
    let stated = cell.sps == 80.0 && (10.0..=60.0).contains(&cell.target_ml);
    let usual = match cell.liquid {
        LiquidName::Spirit => (6.0..=12.0).contains(&cell.flow_ml_s),
        LiquidName::Syrup => cell.flow_ml_s <= 12.0,
    };
    let fast = (20.0..=25.0).contains(&cell.flow_ml_s);
    let figure = match cell.hand {
        HandName::Known if world != NOMINAL => usual.then_some(0.65),
        HandName::Known if usual => Some(0.5),
        HandName::Known if fast => Some(0.8),
        HandName::Known => None,
        HandName::Unknown | HandName::Changing => (usual || fast).then_some(1.2),
        HandName::Silent => usual.then_some(0.7),
    };
    figure.filter(|_| stated)
}

/// The name of the world as it stands.
pub const NOMINAL: &str = "nominal";

/// Early verdicts of one liquid at one rate.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct SettleLine {
    /// Of what.
    pub liquid: LiquidName,
    /// Conversions per second.
    pub sps: f64,
    /// How many early verdicts.
    pub landings: usize,
    /// From the stream's end on the surface, seconds.
    pub median_s: f64,
    /// The same.
    pub p95_s: f64,
    /// Off by more than 0.1 g from what had truly landed at that instant.
    pub wrong: usize,
    /// Share within two of the sigmas told with them.
    pub within_2_sigma: f64,
    /// The middle one of those sigmas, grams.
    pub median_sigma_g: f64,
    /// Root mean square of their error, grams.
    pub rms_g: f64,
}

impl SettleLine {
    /// Sums the verdicts of all pours of a liquid at a rate up.
    #[must_use]
    pub fn of<'p>(
        liquid: LiquidName,
        sps: f64,
        pours: impl Iterator<Item = &'p TrialPour>,
    ) -> Self {
        let landed: Vec<_> = pours.filter_map(|pour| pour.said?.landed).collect();
        let after = || landed.iter().map(|landed| landed.after_s).collect();
        let count = |is: fn(&crate::trial::Reading) -> bool| {
            landed.iter().filter(|landed| is(landed)).count()
        };
        let squares: f64 = landed.iter().map(|landed| landed.error_g.powi(2)).sum();
        let landings = landed.len().max(1) as f64;
        Self {
            liquid,
            sps,
            landings: landed.len(),
            median_s: quantile(after(), 0.5),
            p95_s: quantile(after(), 0.95),
            wrong: count(|landed| landed.error_g.abs() > WRONG_G),
            within_2_sigma: count(|landed| landed.error_g.abs() <= 2.0 * landed.sigma_g) as f64
                / landings,
            median_sigma_g: quantile(landed.iter().map(|landed| landed.sigma_g).collect(), 0.5),
            rms_g: (squares / landings).sqrt(),
        }
    }
}

/// The demo round by the station and by a plain scale, means over the rounds played.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct RoundLine {
    /// Rounds.
    pub rounds: usize,
    /// Pours that were timed.
    pub pours: usize,
    /// Of them out of spirits.
    pub spirit_pours: usize,
    /// Round by the station, seconds.
    pub guided_s: f64,
    /// The same round by a plain scale, seconds.
    pub plain_s: f64,
    /// A pour from the tilt to the station's next prompt, seconds.
    pub guided_pour_s: f64,
    /// The same until the plain scale's number stands still, is read and tared.
    pub plain_pour_s: f64,
    /// From the last liquid landed to the station's next prompt, spirits, seconds.
    pub guided_spirit_wait_s: f64,
    /// The same, everything poured.
    pub guided_wait_s: f64,
    /// From the last liquid landed until the plain scale's number stands still, spirits, seconds.
    pub plain_spirit_wait_s: f64,
    /// The same, everything poured.
    pub plain_wait_s: f64,
}
