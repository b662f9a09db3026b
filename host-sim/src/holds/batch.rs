//! A drink made ahead, many glasses at once, in grams.

use pennyweight_core::Mode;
use pennyweight_core::limits::RATED_G;
use pennyweight_core::liquid::{LiquidError, Mixture, freezing_point, shown_over_mass};
use pennyweight_core::spec::{Family, LiquidId, Step};
use serde::Serialize;

use super::brought::lines;
use super::drink::{LiquidHolds, acid_brought_g};
use super::step::poured_sigma_g;
use crate::sheet::{HouseDrink, HouseSheet};

/// Density of water at 20 degC, kg/m3 (OIML R 49; Tanaka et al. 2001: 998.207).
const WATER: f64 = 998.207;

/// A bottle of the trade, millilitres (Directive 2007/45/EC, annex: spirits 700 ml).
const BOTTLE_ML: f64 = 700.0;

/// What a batch is weighed in.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Jug {
    /// Its own mass, grams.
    pub mass_g: f64,
    /// What it takes to the brim, millilitres, where that is known.
    pub holds_ml: Option<f64>,
}

impl Jug {
    /// What it takes before the cell has its rated load, grams.
    #[must_use]
    pub fn room_g(&self) -> f64 {
        f64::from(RATED_G) - self.mass_g
    }

    fn fills(&self, grams: f64, ml: f64) -> u32 {
        let by_volume = self.holds_ml.map_or(0.0, |holds_ml| ml / holds_ml.max(1.0));
        // In range: a batch is at most some tons, and the room at least a gram.
        let fills = (grams / self.room_g().max(1.0)).max(by_volume);
        fills.ceil().clamp(1.0, 1e6) as u32
    }
}

/// A drink, many times over.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Batch {
    /// The drink's name.
    pub name: String,
    /// How many glasses.
    pub serves: u32,
    /// Its liquids in the order of the build, the water last.
    pub lines: Vec<BatchLine>,
    /// What is not in the batch and goes into each glass.
    pub each_glass: Vec<String>,
    /// What the batch holds, the water in it.
    #[serde(flatten)]
    pub holds: LiquidHolds,
    /// All of it on the scale, grams.
    pub total_g: f64,
    /// What one glass takes of it, millilitres.
    pub serve_ml: f64,
    /// The same on the scale, grams.
    pub serve_g: f64,
    /// How often the jug is filled and emptied.
    pub fills: u32,
    /// What ethanol and water of this strength begin to freeze at, degC; sugar lowers it.
    pub freezes_c: f64,
}

/// One liquid of a batch.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct BatchLine {
    /// Its number in the sheet; that of no liquid where it is the water of ice.
    #[serde(skip)]
    pub id: LiquidId,
    /// Its name.
    pub liquid: String,
    /// Millilitres at 20 degC.
    pub ml: f64,
    /// What the scale shows, grams.
    pub g: f64,
    /// How often the jug is filled with it alone.
    pub fills: u32,
    /// How many bottles of 700 ml it takes, each of which may be weighed empty in hand instead:
    /// by the loss in weight with the bottle on the pan.
    pub bottles: u32,
}

/// `serves` glasses of `drink`, with `water` (a share of the undiluted volume) in place of ice.
///
/// # Errors
/// [`LiquidError`] when a liquid has no density or the batch is beyond any vessel.
pub fn batch(
    sheet: &HouseSheet,
    drink: &HouseDrink,
    serves: u32,
    water: f64,
    jug: Jug,
) -> Result<Batch, LiquidError> {
    let times = f64::from(serves);
    let mut mixture = Mixture::default();
    let mut batched = Vec::new();
    let mut each_glass = Vec::new();
    let mut acid = 0.0;
    let spreads = sheet.spreads();
    let mut strained = false;
    for line in lines(sheet, drink)? {
        let step = line.line.step();
        strained |= step == Step::Strain;
        match line.brought {
            // Bubbles would be lost, a garnish on top too, and an egg does not keep.
            Some(brought)
                if !strained && !matches!(brought.liquid.family, Family::Soda | Family::Whole) =>
            {
                let liquid = brought.liquid.as_liquid().composition();
                let sigma = times * poured_sigma_g(&brought, Mode::Prep, &spreads) / times.sqrt();
                mixture.add(&liquid, times * brought.target.mass_g, sigma)?;
                acid += times * acid_brought_g(brought);
                let (ml, g) = (
                    times * brought.target.volume_ml,
                    times * brought.target.shown_g,
                );
                batched.push(BatchLine::new(
                    brought.id,
                    brought.liquid.name.clone(),
                    ml,
                    g,
                    jug,
                ));
            }
            Some(_) => each_glass.push(line.line.written.clone()),
            None if matches!(step, Step::Note { .. }) => {
                each_glass.push(line.line.written.clone());
            }
            None => {}
        }
    }
    let undiluted = mixture.contents()?;
    let water_ml = water * undiluted.volume_ml;
    let water_g = water_ml * WATER / 1000.0;
    if water > 0.0 {
        mixture.add_water(water_g, 0.0);
        let shown = water_g * shown_over_mass(WATER);
        batched.push(BatchLine::new(
            LiquidId(u8::MAX),
            "water".to_owned(),
            water_ml,
            shown,
            jug,
        ));
    }
    let contents = mixture.contents()?;
    let total_g = batched.iter().map(|line| line.g).sum();
    Ok(Batch {
        name: drink.name.clone(),
        serves,
        lines: batched,
        each_glass,
        holds: LiquidHolds::new(&contents, acid),
        total_g,
        serve_ml: contents.volume_ml / times,
        serve_g: total_g / times,
        fills: jug.fills(total_g, contents.volume_ml),
        freezes_c: freezing_point(
            mixture.ethanol_g / (mixture.total_g - mixture.sugar_g).max(1e-9),
        ),
    })
}

impl BatchLine {
    fn new(id: LiquidId, liquid: String, ml: f64, g: f64, jug: Jug) -> Self {
        Self {
            id,
            liquid,
            ml,
            g,
            fills: jug.fills(g, ml),
            bottles: (ml / BOTTLE_ML).ceil().clamp(1.0, 1e6) as u32,
        }
    }
}
