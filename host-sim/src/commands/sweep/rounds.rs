//! The demo round by the station and by a plain scale.

use pennyweight_core::spec::{DrinkId, Family};
use rayon::iter::{IntoParallelIterator, ParallelIterator};

use super::super::failure::Failure;
use super::document::RoundLine;
use crate::plant::Table;
use crate::session::SessionSetup;
use crate::sheet::load;
use crate::trial::round::{PourTimes, RoundTimes, play};

/// Drinks of the demo round.
const DRINKS: u8 = 3;

/// Plays the demo round so many times; rounds that are given up are left out.
///
/// # Errors
/// The demo sheet cannot be used.
pub fn rounds(table: &Table, count: usize, seed: u64) -> Result<Option<RoundLine>, Failure> {
    let house = load(None)?;
    let sheet = house.sheet()?;
    let played = (0..count as u64)
        .into_par_iter()
        .map(|nth| {
            let orders = (0..DRINKS).map(DrinkId).collect();
            let setup = SessionSetup::new(orders, seed.wrapping_add(nth));
            play(table, sheet, &setup)
        })
        .collect::<Result<Vec<_>, _>>()?;
    let played: Vec<RoundTimes> = played.into_iter().flatten().collect();
    Ok(summed_up(&played))
}

fn summed_up(played: &[RoundTimes]) -> Option<RoundLine> {
    let pours: Vec<PourTimes> = played
        .iter()
        .flat_map(|round| &round.pours)
        .copied()
        .collect();
    let is_spirit = |pour: &&PourTimes| pour.family == Family::Spirit;
    let spirits: Vec<PourTimes> = pours.iter().filter(is_spirit).copied().collect();
    if spirits.is_empty() {
        return None;
    }
    Some(RoundLine {
        rounds: played.len(),
        pours: pours.len(),
        spirit_pours: spirits.len(),
        guided_s: mean(played, |round| round.guided_s),
        plain_s: mean(played, |round| round.plain_s),
        guided_pour_s: mean(&pours, |pour| pour.guided_s),
        plain_pour_s: mean(&pours, |pour| pour.plain_s),
        guided_spirit_wait_s: mean(&spirits, |pour| pour.guided_wait_s),
        guided_wait_s: mean(&pours, |pour| pour.guided_wait_s),
        plain_spirit_wait_s: mean(&spirits, |pour| pour.plain_wait_s),
        plain_wait_s: mean(&pours, |pour| pour.plain_wait_s),
    })
}

fn mean<T>(all: &[T], of: impl Fn(&T) -> f64) -> f64 {
    all.iter().map(of).sum::<f64>() / all.len() as f64
}
