//! One thing that came into the vessel or went from it.

use pennyweight_core::output::Settled;
use pennyweight_core::spec::LiquidId;

/// Entries of one drink. A long build has 16; the rest is room for sips and second goes.
pub const ENTRIES: usize = 24;

/// What it was.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Taken {
    /// Poured.
    Poured,
    /// In at once: a jigger, a piece, a cube of ice.
    Tipped,
    /// Gone, and nothing explains it: a sip, a spill.
    Lost,
    /// The vessel was away for so many seconds, as if stirred or shaken.
    Away(u16),
    /// What was built came into another vessel.
    Strained,
}

impl Taken {
    /// Something with a name of its own came in.
    #[must_use]
    pub const fn is_named(self) -> bool {
        matches!(self, Self::Poured | Self::Tipped | Self::Strained)
    }
}

/// Which entry is meant.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Which {
    /// The last that came in.
    Last,
    /// The next that will.
    Next,
    /// That of this number, from 0.
    Entry(u8),
}

/// An entry as it is told; a later one of the same number replaces it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Captured {
    /// Its number, from 0.
    pub entry: u8,
    /// What it was.
    pub taken: Taken,
    /// Of what, where that was said.
    pub liquid: Option<LiquidId>,
    /// How much.
    pub amount: Settled,
    /// It is not to be in the spec.
    pub struck: bool,
}

/// Something said of the entries.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Said {
    /// What an entry is of.
    Name(Which, LiquidId),
    /// An entry, by its number, is not to be in the spec.
    Strike(u8),
}
