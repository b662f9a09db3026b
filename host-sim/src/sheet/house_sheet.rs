//! A sheet, read and found right.

use pennyweight_core::spec::limits::SHEET_BYTES_MAX;
use pennyweight_core::spec::{
    Drink, Family, House, Liquid, LiquidId, Packer, Sheet, SheetError, Step, Vessel,
};

use super::near::plain;

/// A sheet in which no mistake was found, together with its packed form.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct HouseSheet {
    name: String,
    house: House,
    liquids: Vec<HouseLiquid>,
    drinks: Vec<HouseDrink>,
    packed: Vec<u8>,
}

/// A liquid of the house; see [`Liquid`] for the units.
#[derive(Clone, Debug, PartialEq, Eq)]
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
        name: String,
        house: House,
        liquids: Vec<HouseLiquid>,
        drinks: Vec<HouseDrink>,
    ) -> Result<Self, SheetError> {
        let mut packed = vec![0; SHEET_BYTES_MAX];
        let mut packer = Packer::new(&mut packed, &house)?;
        for liquid in &liquids {
            packer.liquid(&liquid.as_liquid())?;
        }
        for drink in &drinks {
            packer.drink(&drink.as_drink())?;
            for line in &drink.build {
                packer.step(&line.step())?;
            }
        }
        let used = packer.finish()?;
        packed.truncate(used);
        Ok(Self {
            name,
            house,
            liquids,
            drinks,
            packed,
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

    /// One liquid.
    #[must_use]
    pub fn liquid(&self, id: LiquidId) -> Option<&HouseLiquid> {
        self.liquids.get(usize::from(id.0))
    }
}

/// The liquid of this key or name, in either case, hyphens as spaces.
pub(super) fn find_liquid(liquids: &[HouseLiquid], word: &str) -> Option<LiquidId> {
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
            name: &self.name,
            family: self.family,
            abv_centi: self.abv_centi,
            sugar_dg_per_l: self.sugar_dg_per_l,
            density_g_per_m3: self.density_g_per_m3,
            density_at_centi_c: self.density_at_centi_c,
            allergens: self.allergens,
        }
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
            // More than a drink may have fails to pack, as it should.
            steps: u8::try_from(self.build.len()).unwrap_or(u8::MAX),
        }
    }
}

impl BuildLine {
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
