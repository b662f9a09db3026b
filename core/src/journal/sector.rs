//! What stands at the beginning of a sector.
//!
//! | bytes | what |
//! |---|---|
//! | 8 | `PWJRNAL` and the version of this layout, written once the sector has been erased |
//! | 4 | how many sectors were begun before this one, written when it is begun |
//! | 4 | the number its first record gets |
//! | 4 | erased |
//! | 4 | CRC-32 of the first 20 bytes |
//!
//! Each part is rounded up to the words of the flash. A sector without the first was not erased to
//! its end: it may look erased and not hold what is written.

use super::entry::CRC;
use super::flash::{ERASED, Medium, Shape, is_erased, write};
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

impl Begun {
    fn bytes(&self) -> [u8; 16] {
        let mut bytes = [ERASED; 16];
        let figures = [self.sequence.to_le_bytes(), self.number.to_le_bytes()];
        let mut digest = CRC.digest();
        digest.update(&MARK);
        digest.update(figures.as_flattened());
        digest.update(&[ERASED; 4]);
        let crc = digest.finalize().to_le_bytes();
        let all = figures.iter().flatten().chain(&[ERASED; 4]).chain(&crc);
        for (place, byte) in bytes.iter_mut().zip(all) {
            *place = *byte;
        }
        bytes
    }
}

impl Shape {
    /// Where the entries of a sector begin.
    pub(super) const fn body(&self, sector: u16) -> u32 {
        self.begun(sector).saturating_add(self.whole(BEGUN))
    }

    /// Where a sector ends.
    pub(super) const fn end(&self, sector: u16) -> u32 {
        self.base(sector).saturating_add(self.sector)
    }

    /// What a sector holds of entries, bytes.
    pub(super) const fn room(&self) -> u32 {
        self.sector.saturating_sub(self.body(0))
    }

    const fn begun(&self, sector: u16) -> u32 {
        self.base(sector)
            .saturating_add(self.whole(MARK.len() as u32))
    }
}

/// What a sector is.
pub(super) fn look(flash: &mut dyn Medium, shape: &Shape, sector: u16) -> Sector {
    let mut mark = [0; MARK.len()];
    if !flash.read(shape.base(sector), &mut mark) || mark != MARK {
        return Sector::Unready;
    }
    let at = shape.begun(sector);
    let mut bytes = [0; 16];
    if !flash.read(at, &mut bytes) {
        return Sector::Unready;
    }
    let [a, b, c, d, e, f, g, h, ..] = bytes;
    let begun = Begun {
        sequence: u32::from_le_bytes([a, b, c, d]),
        number: u32::from_le_bytes([e, f, g, h]),
    };
    if bytes == begun.bytes() {
        Sector::Used(begun)
    } else if is_erased(flash, at, shape.body(sector)) {
        Sector::Spare
    } else {
        Sector::Unready
    }
}

/// Nothing was ever written at its beginning.
pub(super) fn is_blank(flash: &mut dyn Medium, shape: &Shape, sector: u16) -> bool {
    is_erased(flash, shape.base(sector), shape.body(sector))
}

/// Erases a sector and marks it so; `false` when it does not come out right.
pub(super) fn erase(flash: &mut dyn Medium, shape: &Shape, sector: u16) -> bool {
    flash.erase(shape.base(sector), shape.end(sector))
        && write_padded(flash, shape, shape.base(sector), &MARK)
}

/// Begins a spare sector.
pub(super) fn begin(flash: &mut dyn Medium, shape: &Shape, sector: u16, begun: Begun) -> bool {
    write_padded(flash, shape, shape.begun(sector), &begun.bytes())
}

/// Writes up to a word and 0xFF behind it.
pub(super) fn write_padded(flash: &mut dyn Medium, shape: &Shape, at: u32, bytes: &[u8]) -> bool {
    let mut padded = [ERASED; WORD_MAX];
    for (place, byte) in padded.iter_mut().zip(bytes) {
        *place = *byte;
    }
    padded
        .get(..shape.whole(bytes.len() as u32) as usize)
        .is_some_and(|padded| write(flash, at, padded))
}
