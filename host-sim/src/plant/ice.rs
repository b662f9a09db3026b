//! What melts while a drink is stirred or shaken.

use super::draw::Draws;
use super::truth::Held;

/// Stirring or shaking.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Chilling {
    /// Stirred with a spoon.
    Stirred,
    /// Shaken hard.
    Shaken,
}

/// Usual times and how fast the melting nears its end, seconds (assumption: a shaken drink is
/// as cold as it gets within a dozen seconds, a stirred one within half a minute or more).
const STIRRED_S: (f64, f64) = (30.0, 15.0);
const SHAKEN_S: (f64, f64) = (12.0, 4.0);

/// Hand, ice and tin make a difference of some percent of the dilution (assumption).
const SPREAD: f64 = 0.08;

/// Grams of ice that melt into `held` within `seconds`.
///
/// At the usual time the water added follows published fits over the strength: D. Arnold, Liquid
/// Intelligence, W. W. Norton 2014, coefficients from memory; the fits hold from 15 to 50 % by
/// volume and are kept at their ends beyond.
#[must_use]
pub fn melted_g(held: &Held, chilling: Chilling, seconds: f64, draws: &mut Draws) -> f64 {
    let strength = (held.abv_percent / 100.0).clamp(0.15, 0.50);
    let (share, (usual_s, tau_s)) = match chilling {
        Chilling::Stirred => (
            -1.21 * strength * strength + 1.246 * strength + 0.145,
            STIRRED_S,
        ),
        Chilling::Shaken => (
            -1.567 * strength * strength + 1.742 * strength + 0.203,
            SHAKEN_S,
        ),
    };
    let along = (1.0 - (-seconds / tau_s).exp()) / (1.0 - (-usual_s / tau_s).exp());
    let undiluted_ml = held.volume_ml - held.melted_g;
    let by_hand = 1.0 + SPREAD * draws.normal();
    (undiluted_ml * share * along * by_hand).max(0.0)
}
