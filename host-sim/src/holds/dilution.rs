//! What ice adds to a drink: the floor by a heat balance, the expectation by published fits.

use pennyweight_core::limits::{HOLD_UP_SHAKEN_G, HOLD_UP_STIRRED_G};
use pennyweight_core::liquid::dilution::{Chilling, Weighed, melt};
use pennyweight_core::liquid::ice::{Chill, ChillError, Ice, MIXING_GLASS, STEEL_TINS, Vessel};
use pennyweight_core::liquid::{LiquidError, Mixture};
use pennyweight_core::spec::Step;
use serde::Serialize;

use super::brought::{Line, Stage};
use super::fit::most_ice_g;
use crate::sheet::{BarIce, HouseDrink};

/// How cold a drink gets when it is stirred, and when it is shaken, degC. Common practice, no
/// source.
const STIRRED_C: f64 = -3.0;
const SHAKEN_C: f64 = -5.0;

/// A vessel that was not chilled, degC.
const ROOM_C: f64 = 20.0;

/// What the ice adds, before anybody has weighed it.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct DilutionHolds {
    /// `stirred` or `shaken`.
    pub by: &'static str,
    /// What hands were found to melt (empirical fits), percent of the undiluted volume; nothing
    /// outside the strengths they were made for, or where there is less ice than that.
    pub expected_percent: Option<f64>,
    /// One standard deviation of it: hand, ice and time.
    pub expected_sigma_percent: Option<f64>,
    /// What cooling alone must melt.
    pub floor: Option<Floor>,
    /// Why there is no floor.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub no_floor: Option<String>,
    /// What stays on ice and vessel when it is strained, grams: trade judgement, no source.
    pub hold_up_g: f64,
    /// One standard deviation of it.
    pub hold_up_sigma_g: f64,
}

/// The least that ice adds, by a heat balance.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Floor {
    /// The temperature the drink is cooled to, degC.
    pub to_c: f64,
    /// Percent of the undiluted volume, in a vessel that is cold already.
    pub percent: f64,
    /// The same if a vessel of 20 degC cooled all through, which it has no time for.
    pub warm_vessel_percent: Option<f64>,
}

/// A drink chilled on ice.
pub(super) struct Chilled {
    pub(super) holds: DilutionHolds,
    /// With the water that is expected, or else the least; nothing where neither is known.
    pub(super) diluted: Option<Mixture>,
}

impl DilutionHolds {
    /// What is expected, and what must melt, a line each.
    #[must_use]
    pub fn sentences(&self) -> Vec<String> {
        let mut lines = Vec::new();
        lines.push(match (self.expected_percent, self.expected_sigma_percent) {
            (Some(percent), Some(sigma)) => format!(
                "expected: {percent:.0} \u{b1} {sigma:.0} % when {} (published fits)",
                self.by
            ),
            _ => "no expectation: the fits want 15 to 50 % vol and ice enough".to_owned(),
        });
        if let Some(floor) = self.floor {
            lines.push(format!(
                "at least: {:.0} % to reach {:.1} degC (heat balance, vessel cold)",
                floor.percent, floor.to_c
            ));
            if let Some(percent) = floor.warm_vessel_percent {
                lines.push(format!(
                    "a vessel of 20 degC, cooled all through, would make it {percent:.0} %"
                ));
            }
        }
        if let Some(why) = &self.no_floor {
            lines.push(format!("no heat balance: {why}"));
        }
        lines
    }
}

/// What ice adds to `built`; nothing for a drink that is neither stirred nor shaken on ice.
///
/// # Errors
/// [`LiquidError`] when what was built is beyond any glass.
pub(super) fn chilled(
    drink: &HouseDrink,
    lines: &[Line<'_>],
    ice: BarIce,
    built: &Mixture,
) -> Result<Option<Chilled>, LiquidError> {
    let Some(chilling) = chilling(drink) else {
        return Ok(None);
    };
    built.contents()?;
    let (most_ice_g, _) = most_ice_g(drink);
    let mut melted = *built;
    let expected = melt(&mut melted, chilling);
    let enough = melted.total_g - built.total_g <= most_ice_g;
    let expected = expected.filter(|_| enough);
    let (floor, no_floor) = match floor(lines, ice, most_ice_g, built, chilling) {
        Ok(floor) => (Some(floor), None),
        Err(why) => (None, Some(why.to_string())),
    };
    let diluted = match (expected, floor) {
        (Some(_), _) => Some(melted),
        (None, Some((_, water_g))) => {
            let mut least = *built;
            least.add_water(water_g, 0.0);
            Some(least)
        }
        (None, None) => None,
    };
    let (by, hold_up) = match chilling {
        Chilling::Stirred => ("stirred", HOLD_UP_STIRRED_G),
        Chilling::Shaken => ("shaken", HOLD_UP_SHAKEN_G),
    };
    let hold_up = Weighed::between(hold_up.0, hold_up.1);
    let holds = DilutionHolds {
        by,
        expected_percent: expected.map(|expected| 100.0 * expected.share),
        expected_sigma_percent: expected.map(|expected| 100.0 * expected.spread),
        floor: floor.map(|(floor, _)| floor),
        no_floor,
        hold_up_g: hold_up.mass_g,
        hold_up_sigma_g: hold_up.sigma_g,
    };
    Ok(Some(Chilled { holds, diluted }))
}

/// How `drink` is chilled, if it is: the last work after the ice.
fn chilling(drink: &HouseDrink) -> Option<Chilling> {
    let steps = || drink.build.iter().map(|line| line.step());
    let iced = steps().position(|step| matches!(step, Step::Ice { .. }))?;
    steps()
        .skip(iced)
        .filter_map(|step| match step {
            Step::Stir { .. } => Some(Chilling::Stirred),
            Step::Shake { .. } => Some(Chilling::Shaken),
            _ => None,
        })
        .next_back()
}

/// The floor, and its water in grams.
fn floor(
    lines: &[Line<'_>],
    ice: BarIce,
    ice_g: f64,
    built: &Mixture,
    chilling: Chilling,
) -> Result<(Floor, f64), ChillError> {
    let (to_c, heat_capacity) = match chilling {
        Chilling::Stirred => (STIRRED_C, MIXING_GLASS),
        Chilling::Shaken => (SHAKEN_C, STEEL_TINS),
    };
    let from_c = mean_temperature(lines);
    let with = |vessel| {
        let chill = Chill {
            from_c,
            to_c: to_c.min(from_c),
            ice: Ice {
                grams: ice_g,
                celsius: ice.celsius,
                wet: ice.wet,
            },
            vessel,
            room_j: 0.0,
        };
        chill.floor(built)
    };
    let cold = with(Vessel::NONE)?;
    let warm = with(Vessel {
        heat_capacity,
        celsius: ROOM_C,
    });
    let floor = Floor {
        to_c: cold.celsius,
        percent: 100.0 * cold.share,
        warm_vessel_percent: warm.ok().map(|warm| 100.0 * warm.share),
    };
    Ok((floor, cold.water_g))
}

/// How warm what was built is before the ice, by mass; heat capacities differ too little to
/// matter.
fn mean_temperature(lines: &[Line<'_>]) -> f64 {
    let (mass, heat) = lines
        .iter()
        .filter(|line| line.stage == Stage::Built)
        .filter_map(|line| line.brought)
        .fold((0.0, 0.0), |(mass, heat), brought| {
            let grams = brought.target.mass_g;
            (mass + grams, heat + grams * brought.liquid.temp_c)
        });
    if mass > 0.0 { heat / mass } else { ROOM_C }
}
