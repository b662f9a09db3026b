//! How much a vessel holds.

use super::Vessel;

impl Vessel {
    /// What it weighs empty, grams, at least and at most, a wet base included: enough to tell a
    /// coupe from a mixing glass. Common practice, no source.
    #[must_use]
    pub const fn empty_g(self) -> (u16, u16) {
        match self {
            Self::MixingGlass => (480, 1000),
            Self::Tin => (130, 310),
            Self::Rocks => (220, 430),
            Self::Highball => (220, 450),
            Self::Coupe => (100, 230),
        }
    }

    /// What it takes to the brim, millilitres. Common practice, no source: glasses differ by a
    /// quarter, and the house had better measure its own.
    #[must_use]
    pub const fn brimful_ml(self) -> u16 {
        match self {
            Self::MixingGlass => 550,
            Self::Tin => 820,
            Self::Rocks => 320,
            Self::Highball => 400,
            Self::Coupe => 210,
        }
    }
}
