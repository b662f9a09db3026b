//! What an entry is, in one byte.

use super::limits::{HABITS_MAX, OPEN_MAX};

/// What the journal keeps. The numbers are frozen.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub enum Kind {
    /// Zero and counts per gram.
    Calibration,
    /// House measures.
    House,
    /// How often the power came on.
    Start,
    /// The way of working, the hand.
    Shift,
    /// The round: orders that wait, drinks under way.
    Round,
    /// A drink under way.
    UnderWay,
    /// How one hand pours one bottle.
    Habit,
    /// Record: a pour.
    Pour,
    /// Record: a drink.
    Drink,
    /// Record: a fault.
    Fault,
    /// Record: a vessel came back lighter.
    Loss,
    /// Record: a bottle was learned, or refused.
    Bottle,
}

/// The first key of a record; below it each key has one value, the last one written.
pub(super) const RECORDS: u8 = 0xC0;

impl Kind {
    /// Its first key, and how many there are.
    const fn keys(self) -> (u8, u8) {
        match self {
            Self::Calibration => (0x00, 1),
            Self::House => (0x01, 1),
            Self::Start => (0x02, 1),
            Self::Round => (0x03, 1),
            Self::Shift => (0x04, 1),
            Self::UnderWay => (0x10, OPEN_MAX),
            Self::Habit => (0x20, HABITS_MAX),
            Self::Pour => (0xC0, 1),
            Self::Drink => (0xC1, 1),
            Self::Fault => (0xC2, 1),
            Self::Loss => (0xC3, 1),
            Self::Bottle => (0xC4, 1),
        }
    }

    /// The key of the one with this index.
    pub(super) fn key(self, index: u8) -> Option<u8> {
        let (first, count) = self.keys();
        (index < count).then(|| first.saturating_add(index))
    }

    /// Its number, as records are told over a link.
    #[must_use]
    pub const fn number(self) -> u8 {
        self.keys().0
    }

    /// Which kind of record has this number.
    #[must_use]
    pub fn of_record(key: u8) -> Option<Self> {
        [
            Self::Pour,
            Self::Drink,
            Self::Fault,
            Self::Loss,
            Self::Bottle,
        ]
        .into_iter()
        .find(|kind| kind.keys().0 == key)
    }

    /// How many of it there can be.
    #[must_use]
    pub const fn count(self) -> u8 {
        self.keys().1
    }
}

/// Records give way; states are carried over.
pub(super) const fn is_record(key: u8) -> bool {
    key >= RECORDS
}
