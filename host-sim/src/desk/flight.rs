//! A flight composed on the page: what is asked for, and how it stands.

use pennyweight_core::{Instant, Outputs};
use serde::{Deserialize, Serialize};

use crate::commands::flight::{Fairness, Gathered, Planned, Variant, plan};
use crate::commands::names::Names;
use crate::commands::result::RoundTally;
use crate::plant::Table;
use crate::session::bar_of;
use crate::sheet::{HouseSheet, SheetMistake};

/// The longest flight that is read, bytes.
pub const ASKED_BYTES_MAX: usize = 4096;

/// What mistakes in its variants are told under.
const PLACE: &str = "the variants";

/// A flight as the page asks for it.
#[derive(Clone, Debug, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct AskedFlight {
    /// The drink it varies.
    pub drink: String,
    /// The line of its build that changes, as the sheet has it.
    pub changes: String,
    /// The variants, a line each.
    pub variants: String,
    /// What they share is mixed as one batch.
    pub batch: bool,
    /// The glasses are told by codes.
    pub blind: bool,
}

/// Why a flight is not built.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Unbuilt {
    /// What is written is no flight of this sheet.
    Mistakes(Vec<SheetMistake>),
    /// It cannot be built.
    Refused(String),
}

/// Works a flight out; its codes follow from the seed.
///
/// # Errors
/// [`Unbuilt`].
pub fn compose(house: &HouseSheet, asked: &AskedFlight, seed: u64) -> Result<Planned, Unbuilt> {
    let AskedFlight {
        drink,
        changes,
        variants,
        batch,
        blind,
    } = asked;
    let mut flight = house
        .composed_flight(drink, changes, variants, PLACE)
        .map_err(Unbuilt::Mistakes)?;
    flight.shared = *batch;
    flight.blind = *blind;
    let planned = plan(house, flight, seed)
        .map_err(|why| Unbuilt::Refused(format!("{}; {}", why.cause, why.remedy)))?;
    let workable = planned.made.house.sheet();
    workable
        .and_then(|sheet| bar_of(&sheet, &Table::nominal(), seed))
        .map_err(|error| Unbuilt::Refused(error.to_string()))?;
    Ok(planned)
}

/// A flight being built.
#[derive(Clone, Debug)]
pub struct Flight<'p> {
    planned: &'p Planned,
    gathered: Gathered<'p>,
    tally: RoundTally<'p>,
    revealed: bool,
}

/// How a flight stands, for the page.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct FlightTold<'p> {
    drink: &'p str,
    changes: &'p str,
    blind: bool,
    /// What is in which glass is told: it is not blind, or has been revealed.
    revealed: bool,
    complete: bool,
    /// What one glass takes of the batch, grams; none without a batch.
    portion_g: Option<f64>,
    batch_made: bool,
    unbatched: Option<&'p str>,
    serve_ml: Option<f32>,
    glasses: Vec<GlassTold>,
    /// Once all of them are built.
    fairness: Option<Fairness>,
}

/// A glass of it.
#[derive(Clone, Debug, PartialEq, Serialize)]
struct GlassTold {
    glass: String,
    built: bool,
    /// The line that makes it, once it may be told.
    variant: Option<String>,
    /// What it holds, likewise.
    holds: Option<HoldsTold>,
}

/// What a glass holds; every sigma is one standard deviation.
#[derive(Clone, Debug, PartialEq, Serialize)]
struct HoldsTold {
    shared_ml: f32,
    shared_sigma_ml: f32,
    volume_ml: f32,
    abv_percent: f32,
    sugar_g_per_l: f32,
    dilution_percent: Option<f32>,
}

impl<'p> Flight<'p> {
    /// Nothing is built yet.
    #[must_use]
    pub fn new(planned: &'p Planned, names: &'p Names) -> Self {
        Self {
            planned,
            gathered: Gathered::new(planned),
            tally: RoundTally::new(names),
            revealed: !planned.flight.blind,
        }
    }

    /// What it is built from.
    #[must_use]
    pub const fn planned(&self) -> &'p Planned {
        self.planned
    }

    /// Takes what the station told; true where it stands otherwise now.
    pub fn take(&mut self, at: Instant, outputs: &Outputs) -> bool {
        self.gathered.take(outputs);
        self.tally.take(at, outputs);
        outputs.done.is_some() || outputs.weighed_back.is_some()
    }

    /// Tells what is in which glass.
    ///
    /// # Errors
    /// There are glasses to be built.
    pub fn reveal(&mut self) -> Result<(), String> {
        if !self.is_complete() {
            return Err("the flight is not built yet".to_owned());
        }
        self.revealed = true;
        Ok(())
    }

    /// The drinks that are still to be built, in their order: the batch first.
    #[must_use]
    pub fn missing(&self) -> Vec<u8> {
        let built = self.built();
        let made = &self.planned.made;
        let variants = self.planned.order.iter();
        let variants = variants.filter_map(|place| made.variants.get(*place));
        let batch = made.batch.iter().map(|batch| &batch.drink);
        let all = batch.chain(variants).map(|id| id.0);
        all.filter(|number| {
            let drink = made.house.drinks().get(usize::from(*number));
            drink.is_some_and(|drink| !built.contains(&drink.name))
        })
        .collect()
    }

    fn is_complete(&self) -> bool {
        self.missing().is_empty()
    }

    fn built(&self) -> Vec<String> {
        let so_far = self.tally.clone().finish(0);
        let drinks = so_far.map(|round| round.drinks).unwrap_or_default();
        drinks.into_iter().map(|drink| drink.name).collect()
    }

    /// How it stands.
    #[must_use]
    pub fn told(&self) -> FlightTold<'p> {
        let Planned {
            flight,
            made,
            changes,
            ..
        } = self.planned;
        let built = self.built();
        let so_far = self.tally.clone().finish(0).unwrap_or_default();
        let result = self.gathered.clone().finish(so_far);
        let complete = self.is_complete();
        let mut glasses: Vec<GlassTold> = self
            .planned
            .glasses
            .iter()
            .zip(&flight.variants)
            .map(|(glass, line)| {
                let holds = result.variants.iter().find(|one| one.glass == *glass);
                GlassTold {
                    built: built.contains(glass),
                    variant: self.revealed.then(|| line.written.clone()),
                    holds: holds.filter(|_| self.revealed).map(HoldsTold::of),
                    glass: glass.clone(),
                }
            })
            .collect();
        if flight.blind {
            // In the order of their codes, which tells nothing.
            glasses.sort_by(|one, other| one.glass.cmp(&other.glass));
        }
        FlightTold {
            drink: &flight.drink,
            changes,
            blind: flight.blind,
            revealed: self.revealed,
            complete,
            portion_g: made.batch.map(|batch| batch.portion_g),
            batch_made: built.iter().any(|name| name == crate::sheet::BATCH),
            unbatched: made.unbatched.as_deref(),
            serve_ml: self.planned.serve_ml,
            glasses,
            fairness: complete.then_some(result.fairness),
        }
    }
}

impl HoldsTold {
    fn of(one: &Variant) -> Self {
        let holds = &one.holds.holds;
        Self {
            shared_ml: one.shared_ml,
            shared_sigma_ml: one.shared_sigma_ml,
            volume_ml: holds.volume_ml,
            abv_percent: holds.abv_percent,
            sugar_g_per_l: holds.sugar_g_per_l,
            dilution_percent: holds.dilution_percent,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::sheet::demo;

    fn asked(variants: &str) -> AskedFlight {
        AskedFlight {
            drink: "Slow Ledger".to_owned(),
            changes: "no such line".to_owned(),
            variants: variants.to_owned(),
            batch: true,
            blind: true,
        }
    }

    /// A flight of the first line of the first drink.
    fn of_the_first_line(variants: &str) -> AskedFlight {
        let house = demo().unwrap();
        let drink = &house.drinks()[0];
        AskedFlight {
            drink: drink.name.clone(),
            changes: drink.build[0].written.clone(),
            ..asked(variants)
        }
    }

    #[test]
    fn mistakes_are_told_at_their_variant() {
        let house = demo().unwrap();
        let first = of_the_first_line("40 ml rye\n\n 60 ml rie");
        let Err(Unbuilt::Mistakes(mistakes)) = compose(&house, &first, 1) else {
            panic!("taken");
        };
        assert_eq!(
            (mistakes[0].line, mistakes[0].column),
            (3, 8),
            "{mistakes:?}"
        );
        let lost = compose(&house, &asked("40 ml rye\n50 ml rye"), 1);
        assert!(matches!(lost, Err(Unbuilt::Mistakes(_))), "{lost:?}");
    }

    #[test]
    fn what_is_in_which_glass_is_covered_until_it_is_built() {
        let house = demo().unwrap();
        let planned = compose(&house, &of_the_first_line("40/45/50 ml rye"), 7).unwrap();
        let names = Names::of(&planned.made.house.sheet().unwrap());
        let mut flight = Flight::new(&planned, &names);
        assert_eq!(flight.missing().len(), 4, "a batch and three glasses");
        assert!(flight.reveal().is_err());
        let told = serde_json::to_string(&flight.told()).unwrap();
        assert!(!told.contains("40 ml"), "{told}");
        let codes: Vec<&str> = told.split("Glass ").skip(1).collect();
        assert!(codes.is_sorted(), "{told}");
    }
}
