//! How much a vessel holds.

use super::Vessel;

impl Vessel {
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
