//! What ice adds to a drink: the floor by a heat balance, the expectation by published fits.

use pennyweight_core::liquid::dilution::{Chilling, melt};
use pennyweight_core::liquid::ice::{Chill, Ice, MIXING_GLASS, STEEL_TINS, Vessel};
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
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct DilutionHolds {
    /// `stirred` or `shaken`.
    pub by: &'static str,
    /// What hands were found to melt (empirical fits), percent of the undiluted volume; nothing
    /// outside the strengths they were made for.
    pub expected_percent: Option<f64>,
    /// One standard deviation of it: hand, ice and time.
    pub expected_sigma_percent: Option<f64>,
    /// What cooling alone must melt; nothing where there is no balance, as for a drink too strong
    /// for the heat capacities known.
    pub floor: Option<Floor>,
}

/// The least that ice adds, by a heat balance.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Floor {
    /// The temperature the drink is cooled to, degC.
    pub to_c: f64,
    /// Percent of the undiluted volume, in a vessel that is cold already.
    pub percent: f64,
    /// The same in a vessel from the shelf.
    pub warm_vessel_percent: Option<f64>,
}

impl DilutionHolds {
    /// What is expected, and what must melt, a line each.
    #[must_use]
    pub fn sentences(&self) -> Vec<String> {
        let expected = match (self.expected_percent, self.expected_sigma_percent) {
            (Some(percent), Some(sigma)) => format!(
                "expected: {percent:.0} \u{b1} {sigma:.0} % when {} (published fits)",
                self.by
            ),
            _ => format!(
                "no expectation: the fits end at 15 and 50 % vol ({})",
                self.by
            ),
        };
        let floor = self.floor.map(|floor| {
            let warm = floor.warm_vessel_percent.map_or(String::new(), |percent| {
                format!(", {percent:.0} % in a warm vessel")
            });
            format!(
                "at least: {:.0} % to reach {:.1} degC{warm} (heat balance)",
                floor.percent, floor.to_c
            )
        });
        [Some(expected), floor].into_iter().flatten().collect()
    }
}

/// What ice adds to `built`, and the drink with what is expected of it; nothing for a drink that
/// is neither stirred nor shaken on ice.
///
/// # Errors
/// [`LiquidError`] when what was built is beyond any glass.
pub(super) fn chilled(
    drink: &HouseDrink,
    lines: &[Line<'_>],
    ice: BarIce,
    built: &Mixture,
) -> Result<Option<(DilutionHolds, Option<Mixture>)>, LiquidError> {
    let Some(chilling) = chilling(drink) else {
        return Ok(None);
    };
    built.contents()?;
    let mut melted = *built;
    let expected = melt(&mut melted, chilling);
    let holds = DilutionHolds {
        by: match chilling {
            Chilling::Stirred => "stirred",
            Chilling::Shaken => "shaken",
        },
        expected_percent: expected.map(|expected| 100.0 * expected.share),
        expected_sigma_percent: expected.map(|expected| 100.0 * expected.spread),
        floor: floor(drink, lines, ice, built, chilling),
    };
    Ok(Some((holds, expected.map(|_| melted))))
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

fn floor(
    drink: &HouseDrink,
    lines: &[Line<'_>],
    ice: BarIce,
    built: &Mixture,
    chilling: Chilling,
) -> Option<Floor> {
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
                grams: most_ice_g(drink),
                celsius: ice.celsius,
                wet: ice.wet,
            },
            vessel,
            room_j: 0.0,
        };
        chill.floor(built).ok()
    };
    let cold = with(Vessel::NONE)?;
    let warm = with(Vessel {
        heat_capacity,
        celsius: ROOM_C,
    });
    Some(Floor {
        to_c: cold.celsius,
        percent: 100.0 * cold.share,
        warm_vessel_percent: warm.map(|warm| 100.0 * warm.share),
    })
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
