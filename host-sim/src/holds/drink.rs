//! What a drink holds when it is built as written.

use pennyweight_core::Mode;
use pennyweight_core::liquid::stand_in::Profile;
use pennyweight_core::liquid::{Contents, LiquidError, Mixture, STANDARD_DRINKS};
use pennyweight_core::spec::Step;
use serde::Serialize;

use super::brought::{Brought, Line, Stage, lines};
use super::card::{Card, card};
use super::dilution::{DilutionHolds, chilled};
use super::fit::{Fit, most_ice_g};
use super::step::{StepHolds, poured_sigma_g, step};
use crate::sheet::{HouseDrink, HouseSheet, allergen_words, vessel_word};

/// What a drink holds, as estimates.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct DrinkHolds {
    /// Its name.
    pub name: String,
    /// What it is built in.
    pub vessel: &'static str,
    /// What it is served in.
    pub glass: &'static str,
    /// Its steps.
    pub steps: Vec<StepHolds>,
    /// As it is built, before any ice melts; with what comes on top of it in the glass.
    #[serde(flatten)]
    pub built: LiquidHolds,
    /// There is ice in it.
    pub iced: bool,
    /// Volumes are meant as poured; the millilitres told are at 20 degC all the same.
    pub as_poured: bool,
    /// What the ice adds, where the drink is stirred or shaken on it.
    pub dilution: Option<DilutionHolds>,
    /// As it comes into the glass: with the ice's water as expected, or else the least of it;
    /// without what stays behind; with what comes on top.
    pub served: Option<LiquidHolds>,
    /// The alcohol in it, in the standard drinks of every jurisdiction known.
    pub standard_drinks: Vec<StandardDrinks>,
    /// The allergen groups its liquids are marked with.
    pub allergens: Vec<&'static str>,
    /// A whole egg or part of one goes in unheated.
    pub raw_egg: bool,
    /// As a card writes it.
    pub card: Card,
    /// What it is built in and served in, and whether that holds it.
    pub fit: Vec<Fit>,
}

/// What a volume of liquid holds, each with one standard deviation.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct LiquidHolds {
    /// Millilitres at 20 degC.
    pub volume_ml: f64,
    /// Of that.
    pub volume_sigma_ml: f64,
    /// Percent by volume.
    pub abv_percent: f64,
    /// Of that.
    pub abv_sigma_percent: f64,
    /// Sugar, grams per litre.
    pub sugar_g_per_l: f64,
    /// Of that; the sugar of each liquid is taken as stated.
    pub sugar_sigma_g_per_l: f64,
    /// Acid, grams per litre as citric, of the liquids whose acid is stated.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub acid_g_per_l: Option<f64>,
    /// Grams of pure ethanol.
    pub ethanol_g: f64,
    /// Of that.
    pub ethanol_sigma_g: f64,
}

/// The alcohol of a drink by one jurisdiction's measure.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct StandardDrinks {
    /// Where.
    pub jurisdiction: &'static str,
    /// What it counts as one, grams; nothing where none is defined.
    pub grams: Option<f64>,
    /// How many of them the drink is.
    pub count: Option<f64>,
}

impl LiquidHolds {
    pub(super) fn new(contents: &Contents, acid_g: f64) -> Self {
        let sigma = contents.sigma;
        Self {
            volume_ml: contents.volume_ml,
            volume_sigma_ml: sigma.volume_ml,
            abv_percent: contents.abv_percent,
            abv_sigma_percent: sigma.abv_percent,
            sugar_g_per_l: contents.sugar_g_per_l,
            sugar_sigma_g_per_l: sigma.sugar_g_per_l,
            acid_g_per_l: (acid_g > 0.0 && contents.volume_ml > 0.0)
                .then(|| 1000.0 * acid_g / contents.volume_ml),
            ethanol_g: contents.ethanol_g,
            ethanol_sigma_g: sigma.ethanol_g,
        }
    }

    /// How much stayed behind is not sure.
    fn less(self, stays: &Stays) -> Self {
        let with = |sigma: f64, whole: f64| sigma.hypot(whole * stays.sigma);
        Self {
            volume_sigma_ml: with(self.volume_sigma_ml, self.volume_ml),
            ethanol_sigma_g: with(self.ethanol_sigma_g, self.ethanol_g),
            ..self
        }
    }
}

/// What `drink` of `sheet` holds in a bar working in `mode`, drops included.
///
/// # Errors
/// [`LiquidError`] when a liquid has no density or the glass would hold beyond any.
pub fn drink_holds(
    sheet: &HouseSheet,
    drink: &HouseDrink,
    mode: Mode,
) -> Result<DrinkHolds, LiquidError> {
    let lines = lines(sheet, drink)?;
    let pour = |stage| poured(sheet, &lines, stage, mode);
    let (built, on_top) = (pour(Stage::Built)?, pour(Stage::OnTop)?);
    let whole = built.and(&on_top).contents()?;
    let chilled = chilled(drink, &lines, sheet.ice(), &built)?;
    let strained = drink.build.iter().any(|line| line.step() == Step::Strain);
    let served = chilled
        .as_ref()
        .and_then(|chilled| Some((chilled.diluted?, &chilled.holds)))
        .map(|(diluted, holds)| {
            let stays = if strained {
                Stays::of(holds, &diluted)
            } else {
                Stays::NOTHING
            };
            let glass = diluted.share(1.0 - stays.share).and(&on_top).contents()?;
            let acid_g =
                acid_g(&lines, Stage::Built) * (1.0 - stays.share) + acid_g(&lines, Stage::OnTop);
            Ok(LiquidHolds::new(&glass, acid_g).less(&stays))
        })
        .transpose()?;
    let dilution = chilled.map(|chilled| chilled.holds);
    let acid_g = acid_g(&lines, Stage::Built) + acid_g(&lines, Stage::OnTop);
    let brought = || lines.iter().filter_map(|line| line.brought);
    let allergens = brought().fold(0, |groups, one| groups | one.liquid.allergens);
    let in_vessel = built.contents()?.volume_ml;
    let in_glass = served.map_or(whole.volume_ml, |served| served.volume_ml);
    Ok(DrinkHolds {
        name: drink.name.clone(),
        vessel: vessel_word(drink.vessel),
        glass: vessel_word(drink.glass),
        steps: lines.iter().map(|line| step(line, mode)).collect(),
        built: LiquidHolds::new(&whole, acid_g),
        iced: most_ice_g(drink) != (0.0, 0.0),
        as_poured: drink.as_poured,
        dilution,
        served,
        standard_drinks: STANDARD_DRINKS
            .iter()
            .map(|standard| StandardDrinks {
                jurisdiction: standard.jurisdiction,
                grams: standard.grams,
                count: standard.count(whole.ethanol_g),
            })
            .collect(),
        allergens: allergen_words(allergens),
        raw_egg: brought().any(|one| one.liquid.is_raw_egg()),
        card: card(&lines)?,
        fit: fits(sheet, drink, in_vessel, in_glass),
    })
}

/// The liquids of one stage, poured together.
fn poured(
    sheet: &HouseSheet,
    lines: &[Line<'_>],
    stage: Stage,
    mode: Mode,
) -> Result<Mixture, LiquidError> {
    let mut mixture = Mixture::default();
    let spreads = sheet.spreads();
    for brought in lines
        .iter()
        .filter(|line| line.stage == stage)
        .filter_map(|line| line.brought)
    {
        let sigma_g = poured_sigma_g(&brought, mode, &spreads);
        let liquid = brought.liquid.as_liquid().composition();
        mixture.add(&liquid, brought.target.mass_g, sigma_g)?;
    }
    Ok(mixture)
}

/// What stays behind when a drink is strained.
struct Stays {
    /// Of the whole.
    share: f64,
    /// One standard deviation of that.
    sigma: f64,
}

impl Stays {
    const NOTHING: Self = Self {
        share: 0.0,
        sigma: 0.0,
    };

    /// Never more than half of it, whatever the vessel keeps.
    fn of(holds: &DilutionHolds, diluted: &Mixture) -> Self {
        let whole = diluted.total_g.max(1.0);
        Self {
            share: (holds.hold_up_g / whole).min(0.5),
            sigma: (holds.hold_up_sigma_g / whole).min(0.5),
        }
    }
}

/// Grams of acid, as citric, that the liquids of one stage bring in.
fn acid_g(lines: &[Line<'_>], stage: Stage) -> f64 {
    lines
        .iter()
        .filter(|line| line.stage == stage)
        .filter_map(|line| line.brought)
        .map(acid_brought_g)
        .sum()
}

/// Grams of acid, as citric, that a line brings in.
pub(super) fn acid_brought_g(brought: Brought<'_>) -> f64 {
    brought.liquid.acid_g_per_l * brought.target.volume_ml / 1000.0
}

/// What a line brings in, for looking for a stand-in.
pub(super) fn profile(brought: Brought<'_>) -> Profile {
    let litres = brought.target.volume_ml / 1000.0;
    let liquid = brought.liquid.as_liquid().composition();
    Profile {
        volume_ml: brought.target.volume_ml,
        ethanol_g: liquid.strength * litres * ETHANOL_G_PER_L,
        sugar_g: liquid.sugar_g_per_l * litres,
        acid_g: acid_brought_g(brought),
    }
}

/// Density of pure ethanol at 20 degC, g/l (OIML R 22).
pub(super) const ETHANOL_G_PER_L: f64 = 789.24;

/// The vessel with its ice, and the glass with its own, where the drink is strained into it.
fn fits(sheet: &HouseSheet, drink: &HouseDrink, in_vessel_ml: f64, in_glass_ml: f64) -> Vec<Fit> {
    let (built_g, served_g) = most_ice_g(drink);
    if drink.build.iter().any(|line| line.step() == Step::Strain) {
        vec![
            Fit::new(sheet, drink.vessel, in_vessel_ml, built_g),
            Fit::new(sheet, drink.glass, in_glass_ml, served_g),
        ]
    } else {
        vec![Fit::new(
            sheet,
            drink.vessel,
            in_glass_ml.max(in_vessel_ml),
            built_g,
        )]
    }
}
