//! The names behind the numbers of a sheet, for whatever is printed.

use pennyweight_core::spec::{Amount, DrinkId, LiquidId, ML_PER_OZ, Quantity, Sheet, Step, Unit};

use crate::sheet::counted;

/// The names of a sheet's drinks, steps and liquids; empty where no sheet is worked from.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Names {
    /// In the order of the sheet.
    pub drinks: Vec<DrinkNames>,
    /// In the order of the sheet.
    pub liquids: Vec<String>,
}

/// One drink.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct DrinkNames {
    /// Its name.
    pub name: String,
    /// Its steps.
    pub steps: Vec<StepNames>,
}

/// One step.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct StepNames {
    /// `pour`, `dash`, `barspoon`, `whole`, `ice`, `soda`, `stir`, `shake`, `strain` or `note`.
    pub kind: &'static str,
    /// The liquid, where there is one.
    pub liquid: Option<String>,
    /// As much as the sheet asks for, in its own unit, or the words of a note.
    pub detail: Option<String>,
}

impl Names {
    /// Copies the names of a packed sheet; records that cannot be read are left out.
    #[must_use]
    pub fn of(sheet: &Sheet<'_>) -> Self {
        let liquids: Vec<String> = (0..sheet.liquids())
            .map_while(|number| sheet.liquid(LiquidId(number)).ok())
            .map(|liquid| liquid.name.to_owned())
            .collect();
        let drinks = (0..sheet.drinks())
            .map(DrinkId)
            .map_while(|id| Some((id, sheet.drink(id).ok()?)))
            .map(|(id, drink)| DrinkNames {
                name: drink.name.to_owned(),
                steps: (0..drink.steps)
                    .map_while(|number| sheet.step(id, number).ok())
                    .map(|step| StepNames::of(&step, &liquids))
                    .collect(),
            })
            .collect();
        Self { drinks, liquids }
    }

    /// The name of a drink.
    #[must_use]
    pub fn drink(&self, id: DrinkId) -> Option<&str> {
        self.drinks
            .get(usize::from(id.0))
            .map(|drink| drink.name.as_str())
    }

    /// The name of a liquid.
    #[must_use]
    pub fn liquid(&self, id: LiquidId) -> Option<&str> {
        self.liquids.get(usize::from(id.0)).map(String::as_str)
    }

    /// A step of a drink.
    #[must_use]
    pub fn step(&self, drink: DrinkId, step: u8) -> Option<&StepNames> {
        self.drinks
            .get(usize::from(drink.0))?
            .steps
            .get(usize::from(step))
    }
}

impl StepNames {
    /// The step as it would be called out: `50 ml rye whiskey`, `ice 150 to 220 g`, `strain`.
    #[must_use]
    pub fn words(&self) -> String {
        // An amount of a liquid says by itself that it is poured or dashed, a note says
        // everything, and nobody calls an egg a piece.
        let kind = (self.liquid.is_none() && self.kind != "note").then_some(self.kind);
        let detail = match self.kind {
            "whole" => self.detail.as_deref().and_then(|it| it.split(' ').next()),
            _ => self.detail.as_deref(),
        };
        let words = [kind, detail, self.liquid.as_deref()];
        words.into_iter().flatten().collect::<Vec<_>>().join(" ")
    }

    fn of(step: &Step<'_>, liquids: &[String]) -> Self {
        let named = |id: LiquidId| liquids.get(usize::from(id.0)).cloned();
        let (kind, liquid, detail) = match *step {
            Step::Pour { liquid, amount } => ("pour", named(liquid), Some(amount_text(amount))),
            Step::Dash { liquid, count } => {
                ("dash", named(liquid), Some(counted(count, Unit::Dash)))
            }
            Step::Barspoon { liquid, count } => (
                "barspoon",
                named(liquid),
                Some(counted(count, Unit::Barspoon)),
            ),
            Step::Whole { liquid, count, .. } => {
                ("whole", named(liquid), Some(counted(count, Unit::Piece)))
            }
            Step::Ice { low_g, high_g } => ("ice", None, Some(format!("{low_g} to {high_g} g"))),
            Step::Soda { liquid, amount } => ("soda", named(liquid), Some(amount_text(amount))),
            Step::Stir { seconds } => ("stir", None, Some(format!("{seconds} s"))),
            Step::Shake { seconds } => ("shake", None, Some(format!("{seconds} s"))),
            Step::Strain => ("strain", None, None),
            Step::Rinse { liquid } => ("rinse", named(liquid), Some("rinse".to_owned())),
            Step::Note { text } => ("note", None, Some(text.to_owned())),
        };
        Self {
            kind,
            liquid,
            detail,
        }
    }
}

/// An amount in the unit it was written in.
fn amount_text(amount: Amount) -> String {
    match (amount.quantity, amount.unit) {
        (Quantity::Mass(mg), _) => format!("{} g", f64::from(mg) / 1e3),
        (Quantity::Count(count), unit) => counted(count, unit),
        (Quantity::Volume(ul), Unit::Cl) => format!("{} cl", f64::from(ul) / 1e4),
        (Quantity::Volume(ul), Unit::Oz) => format!("{:.2} oz", f64::from(ul) / 1e3 / ML_PER_OZ),
        (Quantity::Volume(ul), _) => format!("{} ml", f64::from(ul) / 1e3),
    }
}
