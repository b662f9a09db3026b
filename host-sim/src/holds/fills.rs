//! Batches as the station works them: one drink a fill of the jug, every liquid in grams.

use pennyweight_core::liquid::LiquidError;
use pennyweight_core::round::ORDERS;
use pennyweight_core::spec::limits::{MASS_MAX_MG, SHEET_BYTES_MAX};
use pennyweight_core::spec::{
    Amount, Drink, DrinkId, Packer, Quantity, Sheet, SheetError, Step, Unit,
};

use super::batch::{Batch, Jug, batch};
use crate::sheet::{HouseDrink, HouseSheet};

/// The fills of some batches, packed for the station.
#[derive(Clone, Debug)]
pub struct Fills {
    packed: Vec<u8>,
    /// What is to be made, in its order: every fill once.
    pub order: Vec<DrinkId>,
    /// What is to be known before the first one.
    pub said: Vec<String>,
}

/// Why batches cannot be filled.
#[derive(Clone, Debug, PartialEq)]
pub enum FillError {
    /// A liquid or the whole is beyond the models.
    Liquid(LiquidError),
    /// Nothing of the drink keeps in a jug.
    Empty,
    /// More fills than can wait, and how many.
    TooMany(usize),
    /// More grams of one liquid in a fill than a step may ask for: which, and how many.
    TooHeavy(String, f64),
    /// The sheet of the fills does not fit the device.
    Sheet(SheetError),
}

impl std::fmt::Display for FillError {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self {
            Self::Liquid(error) => error.fmt(f),
            Self::Empty => f.write_str("nothing of it keeps in a jug"),
            Self::TooMany(fills) => write!(
                f,
                "the jug would be filled {fills} times; at most {ORDERS} fills can wait"
            ),
            Self::TooHeavy(liquid, grams) => write!(
                f,
                "{grams:.0} g of {liquid} in one fill; a step takes at most {} g",
                MASS_MAX_MG / 1000
            ),
            Self::Sheet(error) => write!(f, "its sheet cannot be packed: {error:?}"),
        }
    }
}

impl Fills {
    /// `serves` glasses of each of `drinks`, in a jug, without the water of ice.
    ///
    /// # Errors
    /// [`FillError`], with the name of the drink where it is of one.
    pub fn of(
        sheet: &HouseSheet,
        drinks: &[&HouseDrink],
        serves: u32,
        jug: Jug,
    ) -> Result<Self, (String, FillError)> {
        let mut batches = Vec::new();
        for drink in drinks {
            let of_it = |error| (drink.name.clone(), error);
            let made = batch(sheet, drink, serves, 0.0, jug)
                .map_err(|error| of_it(FillError::Liquid(error)))?;
            if made.lines.is_empty() {
                return Err(of_it(FillError::Empty));
            }
            let heavy = |grams: f64| 1e3 * grams > f64::from(MASS_MAX_MG);
            let in_one = |grams: f64| grams / f64::from(made.fills);
            if let Some(line) = made.lines.iter().find(|line| heavy(in_one(line.g))) {
                let grams = in_one(line.g);
                return Err(of_it(FillError::TooHeavy(line.liquid.clone(), grams)));
            }
            batches.push((*drink, made));
        }
        let fills: usize = batches.iter().map(|(_, made)| made.fills as usize).sum();
        let whole = |error| ("the order".to_owned(), error);
        if fills > ORDERS {
            return Err(whole(FillError::TooMany(fills)));
        }
        let packed = pack(sheet, &batches).map_err(|error| whole(FillError::Sheet(error)))?;
        let order = (0..=u8::MAX)
            .map(DrinkId)
            .zip(&batches)
            .flat_map(|(id, (_, made))| (0..made.fills).map(move |_| id))
            .collect();
        let said = batches
            .iter()
            .map(|(_, made)| sentence(made, jug))
            .collect();
        Ok(Self {
            packed,
            order,
            said,
        })
    }

    /// What the station works from.
    ///
    /// # Errors
    /// None as long as the checks pass: it was packed here.
    pub fn sheet(&self) -> Result<Sheet<'_>, SheetError> {
        Sheet::new(&self.packed)
    }
}

fn pack(sheet: &HouseSheet, batches: &[(&HouseDrink, Batch)]) -> Result<Vec<u8>, SheetError> {
    let mut packed = vec![0; SHEET_BYTES_MAX];
    let mut packer = Packer::new(&mut packed, &sheet.house())?;
    for liquid in sheet.liquids() {
        packer.liquid(&liquid.as_liquid())?;
    }
    for (drink, made) in batches {
        packer.drink(&Drink {
            glass: drink.vessel,
            as_poured: false,
            // More than a drink may have fails to pack, as it should.
            steps: u8::try_from(made.lines.len()).unwrap_or(u8::MAX),
            ..drink.as_drink()
        })?;
        for line in &made.lines {
            let mg = whole_mg(line.g / f64::from(made.fills));
            packer.step(&Step::Pour {
                liquid: line.id,
                amount: Amount {
                    quantity: Quantity::Mass(mg),
                    unit: Unit::Gram,
                },
            })?;
        }
    }
    let used = packer.finish()?;
    packed.truncate(used);
    Ok(packed)
}

/// Grams as milligrams, to the tenth of a gram where that is a hundredth of it or less: so much is
/// read off a panel. In range: checked against the most a step may ask for.
fn whole_mg(grams: f64) -> u32 {
    let tenths = if grams >= 10.0 {
        (10.0 * grams).round() / 10.0
    } else {
        grams
    };
    (1e3 * tenths).round().max(1.0) as u32
}

/// How much it is, and how often the jug is filled where it does not hold it all.
fn sentence(made: &Batch, jug: Jug) -> String {
    let whole = format!(
        "{}, {} glasses: {:.0} g, {:.0} ml",
        made.name, made.serves, made.total_g, made.holds.volume_ml
    );
    if made.fills == 1 {
        return whole;
    }
    let bound = match jug.holds_ml {
        Some(ml) if made.holds.volume_ml / ml > made.total_g / jug.room_g() => {
            format!("the jug holds {ml:.0} ml")
        }
        _ => format!(
            "the scale has room for {:.0} g beside the jug",
            jug.room_g()
        ),
    };
    format!(
        "{whole}; {bound}: {} fills of {:.0} g",
        made.fills,
        made.total_g / f64::from(made.fills)
    )
}
