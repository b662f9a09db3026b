//! The bottles of a bar, as the sheet names them.

use pennyweight_core::spec::{Family, Liquid as Listed, LiquidId, Sheet, SheetError};

use crate::plant::draw::{Draws, Process};
use crate::plant::liquid::pour_law;
use crate::plant::{Liquid, Table};

/// A bottle within reach.
#[derive(Clone, Debug, PartialEq)]
pub struct BarBottle {
    /// What is in it.
    pub liquid: Liquid,
    /// How fast it usually flows, ml/s.
    pub flow_ml_s: f64,
    /// What one whole thing of it weighs, grams.
    pub piece_g: f64,
}

/// An egg white, grams, where the sheet does not say (USDA SR28: white of a large egg).
const PIECE_G: f64 = 33.0;

/// A bottle of soda poured onto ice, ml/s (assumption: the quick end of a juice).
const SODA_ML_S: f64 = 22.0;

/// Puts a bottle of every liquid of the sheet on the bar. Its density is the one the sheet
/// gives, or that of the handbook tables; its flow is drawn from the table of the simulated
/// world.
///
/// # Errors
/// A sheet that cannot be read.
pub fn bar_of(sheet: &Sheet<'_>, table: &Table, seed: u64) -> Result<Vec<BarBottle>, SheetError> {
    (0..sheet.liquids())
        .map(|number| {
            let listed = sheet.liquid(LiquidId(number))?;
            let mut draws = Draws::new(seed, Process::Fetch, 1 + u64::from(number));
            Ok(bottle_of(&listed, table, &mut draws))
        })
        .collect()
}

fn bottle_of(listed: &Listed<'_>, table: &Table, draws: &mut Draws) -> BarBottle {
    let abv_percent = f64::from(listed.abv_centi) / 100.0;
    let sugar_g_per_l = f64::from(listed.sugar_dg_per_l) / 10.0;
    let mut liquid = Liquid::of_strength(listed.name, listed.family, abv_percent, sugar_g_per_l);
    if let Some(density) = listed.density_g_per_m3 {
        liquid.density_g_ml = f64::from(density) / 1e6;
    }
    let drawn = pour_law(table, listed.family)
        .flow_ml_s
        .speed_pourer
        .draw(draws);
    BarBottle {
        flow_ml_s: if listed.family == Family::Soda {
            SODA_ML_S
        } else {
            drawn
        },
        piece_g: PIECE_G,
        liquid,
    }
}
