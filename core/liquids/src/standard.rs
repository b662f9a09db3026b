//! Standard drinks: how many grams of alcohol a country counts as one.
//!
//! Secondary compilations with the primary source named where it is known; they differ from one
//! another, and local law decides.

/// What one jurisdiction counts as a standard drink or unit.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct StandardDrink {
    /// Where.
    pub jurisdiction: &'static str,
    /// Grams of pure alcohol; nothing where none is defined.
    pub grams: Option<f64>,
    /// Where the figure comes from.
    pub source: &'static str,
}

impl StandardDrink {
    /// How many of them `ethanol_g` grams of pure alcohol are.
    #[must_use]
    pub fn count(&self, ethanol_g: f64) -> Option<f64> {
        self.grams.map(|grams| ethanol_g / grams)
    }
}

const fn of(jurisdiction: &'static str, grams: f64, source: &'static str) -> StandardDrink {
    StandardDrink {
        jurisdiction,
        grams: Some(grams),
        source,
    }
}

const COMPILED: &str = "compilation";
const MEMORY: &str = "from memory";

/// All that are known.
pub const STANDARD_DRINKS: [StandardDrink; 25] = [
    of("WHO AUDIT", 10.0, "WHO AUDIT manual, by a compilation"),
    of("US", 14.0, "NIAAA: 0.6 US fl oz"),
    of("UK", 7.89, "a UK unit is 10 ml, usually quoted as 8 g"),
    of("Ireland", 10.0, COMPILED),
    of("Australia", 10.0, "NHMRC; Food Standards Code"),
    of("New Zealand", 10.0, COMPILED),
    of("Canada", 13.45, "CCSA; 13.5 and 13.6 are printed too"),
    of("Japan", 20.0, "MHLW; 19.75 is printed too"),
    of("Denmark", 12.0, COMPILED),
    of("Finland", 12.0, "compilation; 11 in older ones"),
    of("France", 10.0, "compilation; 12 in older ones"),
    StandardDrink {
        jurisdiction: "Germany",
        grams: None,
        source: "not defined; 10 to 12 are usual, from memory",
    },
    of("Italy", 12.0, "compilation; 10 in older ones"),
    of("Spain", 10.0, COMPILED),
    of("Portugal", 10.0, "from memory; 14 in older compilations"),
    of("Netherlands", 10.0, "compilation; 9.9 in older ones"),
    of("Austria", 20.0, COMPILED),
    of("Poland", 10.0, COMPILED),
    of("Hungary", 17.0, "compilation, old"),
    of("Iceland", 8.0, "from memory; 9.5 in older compilations"),
    of("Mexico", 13.0, COMPILED),
    of("Argentina", 14.0, COMPILED),
    of("Chile", 14.0, COMPILED),
    of("India", 8.0, COMPILED),
    of("South Africa", 12.0, MEMORY),
];
