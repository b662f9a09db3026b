//! Why something asked is not done.

use crate::coder::{Coder, Pen};

/// Why something asked is not done, with the bound it crossed.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub enum Refused {
    /// The scale speaks this version.
    Version(u32),
    /// No ask of this version.
    Ask,
    /// Flash is being made ready, which waits until nothing is poured: ask again.
    Busy,
    /// Longer than this many bytes, or nothing at all.
    Length(u32),
    /// The part that begins here is the next.
    Part(u32),
    /// What came is not what was announced.
    Checksum,
    /// The flash does not take it.
    Flash,
    /// It is no sheet of this firmware; the first drink that cannot be read, or 255.
    Sheet(u32),
    /// Orders wait or are under way: finish or void them first.
    Open,
    /// The sheet has so many drinks.
    Drink(u32),
    /// No order of this drink of the sheet can be taken back.
    Order(u32),
    /// So many drinks can wait.
    Full(u32),
    /// No scale can have that setting.
    Setting,
    /// Not possible now, as the station stands.
    Now,
    /// The scale keeps nothing.
    NothingKept,
}

impl Refused {
    const fn code(self) -> (u8, u32) {
        match self {
            Self::Version(bound) => (0, bound),
            Self::Ask => (1, 0),
            Self::Busy => (2, 0),
            Self::Length(bound) => (3, bound),
            Self::Part(bound) => (4, bound),
            Self::Checksum => (5, 0),
            Self::Flash => (6, 0),
            Self::Sheet(bound) => (7, bound),
            Self::Open => (8, 0),
            Self::Drink(bound) => (9, bound),
            Self::Order(bound) => (10, bound),
            Self::Full(bound) => (11, bound),
            Self::Setting => (12, 0),
            Self::Now => (13, 0),
            Self::NothingKept => (14, 0),
        }
    }

    const fn of(code: u8, bound: u32) -> Option<Self> {
        Some(match code {
            0 => Self::Version(bound),
            1 => Self::Ask,
            2 => Self::Busy,
            3 => Self::Length(bound),
            4 => Self::Part(bound),
            5 => Self::Checksum,
            6 => Self::Flash,
            7 => Self::Sheet(bound),
            8 => Self::Open,
            9 => Self::Drink(bound),
            10 => Self::Order(bound),
            11 => Self::Full(bound),
            12 => Self::Setting,
            13 => Self::Now,
            14 => Self::NothingKept,
            _ => return None,
        })
    }

    /// Writes it.
    pub(crate) fn write(self, pen: &mut Pen<'_, '_>) {
        let (code, bound) = self.code();
        pen.byte(code).number(bound);
    }

    /// Reads or writes it.
    pub fn fields(&mut self, coder: &mut Coder<'_>) {
        let (mut code, mut bound) = self.code();
        coder.byte(&mut code);
        coder.number(&mut bound);
        match Self::of(code, bound) {
            Some(refused) => *self = refused,
            None => coder.refuse(),
        }
    }
}
