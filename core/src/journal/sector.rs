//! What stands at the beginning of a sector.
//!
//! | bytes | what |
//! |---|---|
//! | 8 | `PWJRNAL` and the version of this layout, written once the sector has been erased |
//! | 4 | how many sectors were begun before this one, written when it is begun |
//! | 4 | the number its first record gets |
//! | 8 | both once more, every bit turned over |
//!
//! What is cut off has ones where zeros belong, so one of the two has them: each begun sector is
//! seen as it was meant or not at all.
//!
//! Each part is rounded up to the words of the flash. A sector without the first was not erased to
//! its end: it may look erased and not hold what is written.

use super::flash::{ERASED, Medium, Shape, is_erased, word, write};
use super::limits::WORD_MAX;

/// Erased to its end, and the layout of what follows.
const MARK: [u8; 8] = *b"PWJRNAL\x01";

/// Length of what is written when a sector is begun.
const BEGUN: u32 = 16;

/// What a sector is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Sector {
    /// Erased and ready.
    Spare,
    /// In use.
    Used(Begun),
    /// To be erased: never used here, or cut off while it was erased or begun.
    Unready,
}

/// A sector in use.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Begun {
    /// How many were begun before it.
    pub sequence: u32,
    /// The number of its first record.
    pub number: u32,
}

impl Shape {
    /// Where the entries of a sector begin.
    pub(super) const fn body(&self, sector: u16) -> u32 {
        self.begun(sector).wrapping_add(self.whole(BEGUN))
    }

    /// Where a sector ends.
    pub(super) const fn end(&self, sector: u16) -> u32 {
        self.base(sector).wrapping_add(self.sector)
    }

    /// What a sector holds of entries, bytes.
    pub(super) const fn room(&self) -> u32 {
        self.sector.saturating_sub(self.body(0))
    }

    const fn begun(&self, sector: u16) -> u32 {
        self.base(sector)
            .wrapping_add(self.whole(MARK.len() as u32))
    }
}

/// What a sector is.
#[inline(never)]
pub(super) fn look(flash: &mut impl Medium, shape: &Shape, sector: u16) -> Sector {
    if !is_marked(flash, shape.base(sector), &MARK) {
        return Sector::Unready;
    }
    let mut figures = [0; 2];
    match read_twice(flash, shape.begun(sector), &mut figures) {
        Twice::Erased => Sector::Spare,
        Twice::Whole => {
            let [sequence, number] = figures;
            Sector::Used(Begun { sequence, number })
        }
        Twice::Torn => Sector::Unready,
    }
}

/// Makes a sector that is not as erased as it says one that is to be erased.
pub(super) fn spoil(flash: &mut impl Medium, shape: &Shape, sector: u16) {
    let zeros = [0; WORD_MAX];
    let torn = zeros.get(..shape.whole(BEGUN) as usize).unwrap_or(&zeros);
    // Where even that is not taken, it is passed over word by word when it is written.
    let _ = write(flash, shape.begun(sector), torn);
}

/// What stands where figures are written twice.
pub(super) enum Twice {
    /// Nothing was ever written.
    Erased,
    /// They were cut off.
    Torn,
    /// The figures.
    Whole,
}

/// Reads figures and, behind them, the same with every bit turned over.
#[inline(never)]
pub(super) fn read_twice(flash: &mut impl Medium, at: u32, figures: &mut [u32]) -> Twice {
    let behind = at.wrapping_add(size_of_val(figures) as u32);
    let (mut erased, mut whole, mut done) = (true, true, 0u32);
    for figure in figures {
        let first = word(flash, at.wrapping_add(done));
        let second = word(flash, behind.wrapping_add(done));
        let (Some(first), Some(second)) = (first, second) else {
            return Twice::Torn;
        };
        erased &= first & second == u32::MAX;
        whole &= first == !second;
        *figure = first;
        done = done.wrapping_add(4);
    }
    match (erased, whole) {
        (true, _) => Twice::Erased,
        (false, true) => Twice::Whole,
        (false, false) => Twice::Torn,
    }
}

/// This mark stands there.
pub(super) fn is_marked(flash: &mut impl Medium, at: u32, mark: &[u8; 8]) -> bool {
    let mut found = [0; 8];
    flash.read(at, &mut found) && found == *mark
}

/// Nothing was ever written at its beginning.
pub(super) fn is_blank(flash: &mut impl Medium, shape: &Shape, sector: u16) -> bool {
    is_erased(flash, shape.base(sector), shape.body(sector))
}

/// Erases a sector and marks it so; `false` when it does not come out right.
pub(super) fn erase(flash: &mut impl Medium, shape: &Shape, sector: u16) -> bool {
    flash.erase(shape.base(sector), shape.end(sector))
        && write_padded(flash, shape, shape.base(sector), &MARK)
}

/// Begins a spare sector.
pub(super) fn begin(flash: &mut impl Medium, shape: &Shape, sector: u16, begun: Begun) -> bool {
    let Begun { sequence, number } = begun;
    let figures = [sequence, number, !sequence, !number].map(u32::to_le_bytes);
    write_padded(flash, shape, shape.begun(sector), figures.as_flattened())
}

/// Writes up to a word and 0xFF behind it.
#[inline(never)]
pub(super) fn write_padded(flash: &mut impl Medium, shape: &Shape, at: u32, bytes: &[u8]) -> bool {
    let mut padded = [ERASED; WORD_MAX];
    for (place, byte) in padded.iter_mut().zip(bytes) {
        *place = *byte;
    }
    padded
        .get(..shape.whole(bytes.len() as u32) as usize)
        .is_some_and(|padded| write(flash, at, padded))
}
