//! A sheet, read and found right.

use pennyweight_core::liquid::{Composition, Estimate, LiquidError, dairy, honey, saline};
use pennyweight_core::spec::limits::SHEET_BYTES_MAX;
use pennyweight_core::spec::{
    Drink, Family, House, Liquid, LiquidId, Packer, Sheet, SheetError, Step, Vessel,
};

use super::bar::{Bar, BarIce};
use super::house::{HouseTable, Spreads};
use super::near::plain;
use super::words::EGG;

/// A sheet in which no mistake was found, together with its packed form.
#[derive(Clone, Debug, PartialEq)]
pub struct HouseSheet {
    name: String,
    house: House,
    spreads: Spreads,
    bar: Bar,
    liquids: Vec<HouseLiquid>,
    drinks: Vec<HouseDrink>,
    flights: Vec<HouseFlight>,
    packed: Vec<u8>,
}

/// A flight of the house: a drink with one of its lines changed.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct HouseFlight {
    /// Its name.
    pub name: String,
    /// The drink it varies.
    pub drink: String,
    /// The line of the build that changes, from 0.
    pub line: usize,
    /// What that line becomes in each variant.
    pub variants: Vec<BuildLine>,
    /// What they have in common is made as one batch.
    pub shared: bool,
    /// The glasses are told by codes.
    pub blind: bool,
}

impl HouseFlight {
    /// A flight that stands in no sheet: it goes by the name of its drink, made as one batch and
    /// not blind.
    pub(super) fn unnamed(drink: &HouseDrink, line: usize, variants: Vec<BuildLine>) -> Self {
        Self {
            name: drink.name.clone(),
            drink: drink.name.clone(),
            line,
            variants,
            shared: true,
            blind: false,
        }
    }
}

/// A liquid of the house; see [`Liquid`] for the units.
#[derive(Clone, Debug, PartialEq)]
pub struct HouseLiquid {
    /// The word the builds use.
    pub key: String,
    /// The name on the panel.
    pub name: String,
    /// How it pours.
    pub family: Family,
    /// Strength, hundredths of a percent by volume.
    pub abv_centi: u16,
    /// Sugar, tenths of a gram per litre.
    pub sugar_dg_per_l: u16,
    /// Measured density, grams per cubic metre.
    pub density_g_per_m3: Option<u32>,
    /// The temperature of that measurement, hundredths of a degree Celsius.
    pub density_at_centi_c: i16,
    /// The allergen groups the author marked.
    pub allergens: u16,
    /// What one of them weighs, milligrams, if it is tipped in as a whole.
    pub each_mg: u32,
    /// Acid, grams per litre at 20 degC, as citric acid.
    pub acid_g_per_l: f64,
    /// What it tastes of, in the author's words, lower case.
    pub tags: Vec<String>,
    /// The temperature the bottle is poured at, degC.
    pub temp_c: f64,
    /// What its density goes by.
    pub basis: Basis,
    /// The salt, the fat or the water, percent by mass, that this basis goes by.
    pub(super) basis_percent: f64,
}

/// What the density of a liquid goes by.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Basis {
    /// Strength and sugar as the label states them.
    Label,
    /// A measured density.
    Measured,
    /// Percent of salt in water.
    Saline,
    /// Percent of fat in milk or cream.
    Dairy,
    /// Percent of water in honey.
    Honey,
    /// What the house made it of.
    MadeOf,
}

impl Basis {
    /// Where the density comes from, in a sentence.
    #[must_use]
    pub const fn sentence(self) -> &'static str {
        match self {
            Self::Label => {
                "from strength and sugar, by OIML R 22, ICUMSA SPS-4 and Tabarie's relation"
            }
            Self::Measured => "as measured",
            Self::Saline => "from its salt, by the model of Laliberte and Cooper (2004)",
            Self::Dairy => {
                "from its fat, by the component formula of the milk industry, its other solids \
                 assumed"
            }
            Self::Honey => "from its water, by a straight line from memory",
            Self::MadeOf => "from what it is made of, mixed by mass",
        }
    }
}

/// A drink of the house.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct HouseDrink {
    /// The name on the panel.
    pub name: String,
    /// What it is built in.
    pub vessel: Vessel,
    /// What it is served in.
    pub glass: Vessel,
    /// Its volumes are those at the temperature each bottle is poured at, not at 20 degC.
    pub as_poured: bool,
    /// Its build, a line a step.
    pub build: Vec<BuildLine>,
}

/// One line of a build.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct BuildLine {
    /// The line as it was written.
    pub written: String,
    pub(super) action: Action,
}

/// What a line asks for.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) enum Action {
    /// Something with figures only.
    Figures(Step<'static>),
    /// A note in these words.
    Note(String),
    /// Drops, too little for the scale: a note in these words.
    Drops {
        /// Of what.
        liquid: LiquidId,
        /// How many.
        count: u8,
        /// As the panel shall say it.
        text: String,
    },
}

impl HouseSheet {
    /// Packs what was read.
    pub(super) fn new(
        house: HouseTable,
        bar: Bar,
        liquids: Vec<HouseLiquid>,
        drinks: Vec<HouseDrink>,
        flights: Vec<HouseFlight>,
    ) -> Result<Self, SheetError> {
        Ok(Self {
            packed: packed(&house.measures, &liquids, &drinks)?,
            name: house.name,
            house: house.measures,
            spreads: house.spreads,
            bar,
            liquids,
            drinks,
            flights,
        })
    }

    /// The same house with other liquids and drinks.
    pub(super) fn with(
        &self,
        liquids: Vec<HouseLiquid>,
        drinks: Vec<HouseDrink>,
    ) -> Result<Self, SheetError> {
        Ok(Self {
            packed: packed(&self.house, &liquids, &drinks)?,
            name: self.name.clone(),
            house: self.house,
            spreads: self.spreads,
            bar: self.bar.clone(),
            liquids,
            drinks,
            flights: Vec::new(),
        })
    }

    /// The packed form for the device.
    #[must_use]
    pub fn pack(&self) -> &[u8] {
        &self.packed
    }

    /// The packed form, read in place as the station reads it.
    ///
    /// # Errors
    /// None as long as the checks pass: it was packed here.
    pub fn sheet(&self) -> Result<Sheet<'_>, SheetError> {
        Sheet::new(&self.packed)
    }

    /// The bar's name, empty when it has none.
    #[must_use]
    pub fn name(&self) -> &str {
        &self.name
    }

    /// The house measures.
    #[must_use]
    pub fn house(&self) -> House {
        self.house
    }

    /// How much the house measures vary from one to the next.
    #[must_use]
    pub fn spreads(&self) -> Spreads {
        self.spreads
    }

    /// The ice drinks are chilled with.
    #[must_use]
    pub fn ice(&self) -> BarIce {
        self.bar.ice
    }

    /// What `vessel` takes to the brim, millilitres: as the house has measured it, or the usual.
    #[must_use]
    pub fn brimful_ml(&self, vessel: Vessel) -> f64 {
        let measured = self.bar.brimful_ml.iter().find(|(one, _)| *one == vessel);
        measured.map_or(f64::from(vessel.brimful_ml()), |(_, ml)| *ml)
    }

    /// The liquids, in the order of their numbers.
    #[must_use]
    pub fn liquids(&self) -> &[HouseLiquid] {
        &self.liquids
    }

    /// The drinks, in the order of their numbers.
    #[must_use]
    pub fn drinks(&self) -> &[HouseDrink] {
        &self.drinks
    }

    /// The flights, in the order of the text.
    #[must_use]
    pub fn flights(&self) -> &[HouseFlight] {
        &self.flights
    }

    /// One liquid.
    #[must_use]
    pub fn liquid(&self, id: LiquidId) -> Option<&HouseLiquid> {
        self.liquids.get(usize::from(id.0))
    }
}

fn packed(
    house: &House,
    liquids: &[HouseLiquid],
    drinks: &[HouseDrink],
) -> Result<Vec<u8>, SheetError> {
    let mut packed = vec![0; SHEET_BYTES_MAX];
    let mut packer = Packer::new(&mut packed, house)?;
    for liquid in liquids {
        packer.liquid(&liquid.as_liquid())?;
    }
    for drink in drinks {
        packer.drink(&drink.as_drink())?;
        for line in &drink.build {
            packer.step(&line.step())?;
        }
    }
    let used = packer.finish()?;
    packed.truncate(used);
    Ok(packed)
}

/// The liquid of this key or name, in either case, hyphens as spaces.
#[must_use]
pub fn find_liquid(liquids: &[HouseLiquid], word: &str) -> Option<LiquidId> {
    let word = plain(word);
    (0..=u8::MAX)
        .zip(liquids)
        .find(|(_, liquid)| plain(&liquid.key) == word || plain(&liquid.name) == word)
        .map(|(id, _)| LiquidId(id))
}

impl HouseLiquid {
    /// The liquid as the core knows it.
    #[must_use]
    pub fn as_liquid(&self) -> Liquid<'_> {
        Liquid {
            // Without a density there the sheet has a mistake and is never packed.
            poured_g_per_m3: (self.temp_c != 20.0)
                .then(|| self.estimate(self.temp_c).ok())
                .flatten()
                .map(|estimate| (estimate.density * 1_000.0).round() as u32),
            ..self.at_20c()
        }
    }

    /// The same, as far as 20 degC goes.
    fn at_20c(&self) -> Liquid<'_> {
        Liquid {
            name: &self.name,
            family: self.family,
            abv_centi: self.abv_centi,
            sugar_dg_per_l: self.sugar_dg_per_l,
            density_g_per_m3: self.density_g_per_m3,
            density_at_centi_c: self.density_at_centi_c,
            poured_g_per_m3: None,
            allergens: self.allergens,
        }
    }

    /// Its density at `celsius`, by what it goes by.
    ///
    /// # Errors
    /// [`LiquidError`] naming the bound that was crossed.
    pub fn estimate(&self, celsius: f64) -> Result<Estimate, LiquidError> {
        let composition = self.as_composition();
        match self.basis {
            Basis::Label | Basis::Measured => composition.density(celsius),
            Basis::Saline => saline::density(self.basis_percent, celsius),
            Basis::Dairy => dairy::density(self.basis_percent, celsius),
            Basis::Honey => honey::density(self.basis_percent, celsius),
            Basis::MadeOf => {
                let made = composition.density(celsius)?;
                // No surer than the formula for such a liquid, where there is one.
                let unmeasured = Composition {
                    measured: None,
                    ..composition
                };
                let formula = unmeasured.density(celsius).map_or(0.0, |e| e.sigma_percent);
                Ok(Estimate {
                    sigma_percent: made.sigma_percent.max(formula),
                    ..made
                })
            }
        }
    }

    /// A whole egg or part of one, which goes in unheated.
    #[must_use]
    pub fn is_raw_egg(&self) -> bool {
        self.family == Family::Whole && self.allergens & EGG != 0
    }

    /// Strength, sugar and stated density, for the models of the core.
    #[must_use]
    pub fn as_composition(&self) -> Composition {
        self.at_20c().composition()
    }
}

impl HouseDrink {
    /// The drink as the core knows it.
    #[must_use]
    pub fn as_drink(&self) -> Drink<'_> {
        Drink {
            name: &self.name,
            vessel: self.vessel,
            glass: self.glass,
            as_poured: self.as_poured,
            // More than a drink may have fails to pack, as it should.
            steps: u8::try_from(self.build.len()).unwrap_or(u8::MAX),
        }
    }
}

impl BuildLine {
    /// The drops it asks for, of which liquid and how many.
    pub(crate) fn drops(&self) -> Option<(LiquidId, u8)> {
        match self.action {
            Action::Drops { liquid, count, .. } => Some((liquid, count)),
            Action::Figures(_) | Action::Note(_) => None,
        }
    }

    /// The step as the core knows it. Drops are a note there: the station waits for nothing
    /// that the scale cannot sense, and what little they bring in is in no record of a glass.
    #[must_use]
    pub fn step(&self) -> Step<'_> {
        match &self.action {
            Action::Figures(step) => *step,
            Action::Note(text) | Action::Drops { text, .. } => Step::Note { text },
        }
    }
}
