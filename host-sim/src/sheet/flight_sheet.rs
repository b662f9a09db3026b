//! The sheet a flight is built from: the shared batch as a drink and as a liquid, and a drink for
//! each variant.

use pennyweight_core::flight::split;
use pennyweight_core::liquid::{Composition, LiquidError, Measured, Mixture};
use pennyweight_core::spec::limits::STEPS_MAX;
use pennyweight_core::spec::{
    Amount, DrinkId, Family, LiquidId, Quantity, SheetError, Step, Unit, Vessel,
};

use super::house_sheet::{Action, Basis};
use super::{BuildLine, HouseDrink, HouseFlight, HouseLiquid, HouseSheet};

/// What the batch is called, as a drink and as a liquid.
pub const BATCH: &str = "shared batch";

/// A vessel is filled up to this share of its brim.
const FULL: f64 = 0.9;

/// A liquid that pours as a thread, sugar in grams per litre.
const SYRUP_G_PER_L: f64 = 300.0;

/// Everything a flight is built from.
#[derive(Clone, Debug, PartialEq)]
pub struct FlightSheet {
    /// The sheet: the house's liquids and the batch; the batch and the variants as drinks.
    pub house: HouseSheet,
    /// The batch, where the shared part is made at once.
    pub batch: Option<Batch>,
    /// The variants in the order of the flight.
    pub variants: Vec<DrinkId>,
    /// Liquids poured alike into every glass, whether through the batch or one by one.
    pub shared: Vec<LiquidId>,
    /// Why there is no batch though one was asked for.
    pub unbatched: Option<String>,
}

/// The shared part of all glasses.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Batch {
    /// The drink that makes it.
    pub drink: DrinkId,
    /// The liquid that it is then.
    pub liquid: LiquidId,
    /// What one glass takes of it, grams as shown.
    pub portion_g: f64,
    /// The same, millilitres at 20 degC.
    pub portion_ml: f64,
}

/// Why a flight cannot be built.
#[derive(Clone, Debug, PartialEq)]
pub enum FlightError {
    /// A liquid has no density.
    Liquid(LiquidError),
    /// It does not fit a sheet.
    Sheet(SheetError),
}

impl From<LiquidError> for FlightError {
    fn from(error: LiquidError) -> Self {
        Self::Liquid(error)
    }
}

impl From<SheetError> for FlightError {
    fn from(error: SheetError) -> Self {
        Self::Sheet(error)
    }
}

impl std::fmt::Display for FlightError {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self {
            Self::Liquid(error) => error.fmt(f),
            Self::Sheet(error) => error.fmt(f),
        }
    }
}

impl std::error::Error for FlightError {}

/// A shared line.
struct Shared {
    number: usize,
    liquid: LiquidId,
    /// What one glass takes of it.
    amount: Amount,
}

impl HouseSheet {
    /// The sheet for `flight`, its variants built as `glasses` are named.
    ///
    /// # Errors
    /// `FlightError` when a liquid has no density or the flight does not fit a sheet.
    pub fn for_flight(
        &self,
        flight: &HouseFlight,
        glasses: &[String],
    ) -> Result<FlightSheet, FlightError> {
        let Some(drink) = self.drinks().iter().find(|one| one.name == flight.drink) else {
            return Err(SheetError::Missing.into());
        };
        let shared = self.shared_lines(drink, flight.line);
        let count = u8::try_from(flight.variants.len()).unwrap_or(u8::MAX);
        let mut liquids = self.liquids().to_vec();
        let mut drinks = Vec::new();
        let (batch, unbatched) = match self.batch_of(drink, &shared, count)? {
            _ if !flight.shared => (None, None),
            Ok(made) => {
                liquids.push(made.liquid);
                drinks.push(made.drink);
                (Some(made.batch), None)
            }
            Err(why) => (None, Some(why)),
        };
        let portion = batch.map(|batch| {
            let quantity = Quantity::Mass((batch.portion_g * 1_000.0).round() as u32);
            let amount = Amount {
                quantity,
                unit: Unit::Gram,
            };
            BuildLine {
                written: format!("{:.1} g {BATCH}", batch.portion_g),
                action: Action::Figures(Step::Pour {
                    liquid: batch.liquid,
                    amount,
                }),
            }
        });
        let first = drinks.len();
        for (variant, name) in flight.variants.iter().zip(glasses) {
            drinks.push(HouseDrink {
                name: name.clone(),
                build: variant_build(drink, flight.line, variant, &shared, portion.as_ref()),
                ..drink.clone()
            });
        }
        let numbered = |number: usize| DrinkId(u8::try_from(number).unwrap_or(u8::MAX));
        let variants = (first..drinks.len()).map(numbered).collect();
        Ok(FlightSheet {
            house: self.with(liquids, drinks)?,
            batch,
            variants,
            shared: shared.iter().map(|line| line.liquid).collect(),
            unbatched,
        })
    }

    /// The lines that go into every glass alike and keep when they are mixed ahead: bubbles would
    /// be lost, an egg does not keep, and what comes after the strain stays there.
    fn shared_lines(&self, drink: &HouseDrink, varied: usize) -> Vec<Shared> {
        let house = self.house();
        (0..)
            .zip(&drink.build)
            .take_while(|(_, line)| line.step() != Step::Strain)
            .filter(|(number, _)| *number != varied)
            .filter_map(|(number, line)| {
                let of = |liquid, count: u8, each_ul: u32| {
                    let quantity = Quantity::Volume(each_ul.saturating_mul(u32::from(count)));
                    let unit = Unit::Ml;
                    Some((liquid, Amount { quantity, unit }))
                };
                let (liquid, amount) = match line.step() {
                    Step::Pour { liquid, amount } => Some((liquid, amount)),
                    Step::Dash { liquid, count } => of(liquid, count, house.dash_ul),
                    Step::Barspoon { liquid, count } => of(liquid, count, house.barspoon_ul),
                    Step::Whole { .. }
                    | Step::Rinse { .. }
                    | Step::Ice { .. }
                    | Step::Soda { .. }
                    | Step::Stir { .. }
                    | Step::Shake { .. }
                    | Step::Strain
                    | Step::Note { .. } => None,
                }?;
                Some(Shared {
                    number,
                    liquid,
                    amount,
                })
            })
            .collect()
    }

    /// The batch of `shared` for so many glasses, or why there is none.
    fn batch_of(
        &self,
        drink: &HouseDrink,
        shared: &[Shared],
        glasses: u8,
    ) -> Result<Result<Made, String>, FlightError> {
        if shared.len() < 2 {
            return Ok(Err(
                "there is nothing to mix in what the glasses share".to_owned()
            ));
        }
        let house = self.house();
        let mut mixture = Mixture::default();
        let (mut shown_g, mut acid_g, mut allergens) = (0.0, 0.0, 0);
        let mut temp = 0.0;
        for line in shared {
            let Some(liquid) = self.liquid(line.liquid) else {
                return Err(SheetError::Missing.into());
            };
            let packed = liquid.as_liquid();
            let target = if drink.as_poured {
                line.amount.target_poured(&packed, &house)?
            } else {
                line.amount.target(&packed, &house)?
            };
            mixture.add(&packed.composition(), target.mass_g, 0.0)?;
            shown_g += target.shown_g;
            temp += target.shown_g * liquid.temp_c;
            acid_g += liquid.acid_g_per_l * target.volume_ml / 1_000.0;
            allergens |= liquid.allergens;
        }
        let contents = mixture.contents()?;
        let Some(times) = split::times(glasses, contents.volume_ml) else {
            return Err(LiquidError::Mass(contents.volume_ml).into());
        };
        let all_ml = times * contents.volume_ml;
        let vessel = [Vessel::MixingGlass, Vessel::Tin]
            .into_iter()
            .find(|vessel| all_ml <= FULL * self.brimful_ml(*vessel));
        let Some(vessel) = vessel else {
            let most = FULL * self.brimful_ml(Vessel::Tin);
            return Ok(Err(format!(
                "a batch of {all_ml:.0} ml is too large: a tin takes {most:.0} ml"
            )));
        };
        let mut liquid = HouseLiquid {
            key: BATCH.to_owned(),
            name: BATCH.to_owned(),
            family: if contents.sugar_g_per_l > SYRUP_G_PER_L {
                Family::Syrup
            } else {
                Family::Spirit
            },
            abv_centi: 0,
            sugar_dg_per_l: 0,
            density_g_per_m3: None,
            density_at_centi_c: 2_000,
            allergens,
            each_mg: 0,
            acid_g_per_l: 1_000.0 * acid_g / contents.volume_ml.max(f64::MIN_POSITIVE),
            tags: Vec::new(),
            temp_c: temp / f64::max(shown_g, f64::MIN_POSITIVE),
            basis: Basis::MadeOf,
            basis_percent: 0.0,
        };
        liquid.set(&Composition {
            strength: contents.abv_percent / 100.0,
            sugar_g_per_l: contents.sugar_g_per_l,
            measured: Some(Measured {
                density: 1_000.0 * mixture.total_g / contents.volume_ml,
                at: 20.0,
            }),
        });
        let build = shared.iter().map(|line| batch_line(self, line, times));
        Ok(Ok(Made {
            drink: HouseDrink {
                name: BATCH.to_owned(),
                vessel,
                glass: vessel,
                as_poured: drink.as_poured,
                build: build.collect(),
            },
            batch: Batch {
                drink: DrinkId(0),
                liquid: LiquidId(u8::try_from(self.liquids().len()).unwrap_or(u8::MAX)),
                portion_g: shown_g,
                portion_ml: contents.volume_ml,
            },
            liquid,
        }))
    }
}

/// A batch worked out.
struct Made {
    drink: HouseDrink,
    liquid: HouseLiquid,
    batch: Batch,
}

/// A shared line as the batch takes it.
fn batch_line(sheet: &HouseSheet, line: &Shared, times: f64) -> BuildLine {
    let more = |one: u32| (f64::from(one) * times).round() as u32;
    let (quantity, written) = match line.amount.quantity {
        Quantity::Volume(ul) => (
            Quantity::Volume(more(ul)),
            format!("{:.1} ml", f64::from(more(ul)) / 1_000.0),
        ),
        Quantity::Mass(mg) => (
            Quantity::Mass(more(mg)),
            format!("{:.1} g", f64::from(more(mg)) / 1_000.0),
        ),
        // A count became a volume above.
        Quantity::Count(count) => (Quantity::Count(count), count.to_string()),
    };
    let key = sheet.liquid(line.liquid).map_or("", |liquid| &liquid.key);
    BuildLine {
        written: format!("{written} {key}"),
        action: Action::Figures(Step::Pour {
            liquid: line.liquid,
            amount: Amount {
                quantity,
                unit: line.amount.unit,
            },
        }),
    }
}

/// The build of one variant: the portion in place of the first shared line, the varied line
/// changed, all else as it was.
fn variant_build(
    drink: &HouseDrink,
    varied: usize,
    variant: &BuildLine,
    shared: &[Shared],
    portion: Option<&BuildLine>,
) -> Vec<BuildLine> {
    let mut build = Vec::with_capacity(usize::from(STEPS_MAX));
    for (number, line) in drink.build.iter().enumerate() {
        let place = shared.iter().position(|line| line.number == number);
        match (place, portion) {
            (Some(0), Some(portion)) => build.push(portion.clone()),
            (Some(_), Some(_)) => {}
            _ if number == varied => build.push(variant.clone()),
            _ => build.push(line.clone()),
        }
    }
    build
}
