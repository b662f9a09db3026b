//! The names behind the numbers of a sheet, for whatever is printed.

use pennyweight_core::spec::{Amount, DrinkId, LiquidId, Quantity, Sheet, Step, Unit};

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
            Step::Note { text } => ("note", None, Some(text.to_owned())),
        };
        Self {
            kind,
            liquid,
            detail,
        }
    }
}

/// A unit as it stands behind a number.
#[must_use]
pub fn unit_text(unit: Unit, several: bool) -> &'static str {
    match (unit, several) {
        (Unit::Ml, _) => "ml",
        (Unit::Cl, _) => "cl",
        (Unit::Oz, _) => "oz",
        (Unit::Gram, _) => "g",
        (Unit::Dash, false) => "dash",
        (Unit::Dash, true) => "dashes",
        (Unit::Barspoon, false) => "barspoon",
        (Unit::Barspoon, true) => "barspoons",
        (Unit::Drop, false) => "drop",
        (Unit::Drop, true) => "drops",
        (Unit::Piece, false) => "piece",
        (Unit::Piece, true) => "pieces",
    }
}

/// A count with its unit.
#[must_use]
pub fn counted(count: u8, unit: Unit) -> String {
    format!("{count} {}", unit_text(unit, count != 1))
}

/// An amount by its volume or mass: what is small (dashes, drops) was turned into a volume when
/// the sheet was packed.
fn amount_text(amount: Amount) -> String {
    match amount.quantity {
        Quantity::Mass(mg) => format!("{} g", f64::from(mg) / 1e3),
        Quantity::Count(count) => counted(count, amount.unit),
        Quantity::Volume(ul) => {
            let ml = f64::from(ul) / 1e3;
            match amount.unit {
                Unit::Cl => format!("{} cl", ml / 10.0),
                // One US fluid ounce is 231/128 cubic inches: 29.573 529 562 5 ml exactly
                // (NIST Handbook 44, Appendix C).
                Unit::Oz => format!("{:.2} oz", ml / 29.573_529_562_5),
                Unit::Ml | Unit::Gram | Unit::Dash | Unit::Barspoon | Unit::Drop | Unit::Piece => {
                    format!("{ml} ml")
                }
            }
        }
    }
}
