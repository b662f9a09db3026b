//! Flash as the journal uses it: words written once and read back, sectors erased.
//!
//! Behind a trait of its own that says whether something worked, and no more.

use embedded_storage::nor_flash::NorFlash;

use super::limits::{SECTOR_MIN, SECTORS_MIN, STEP_MIN, WORD_MAX};
use crc::{Digest, NoTable};

/// Erased flash.
pub(super) const ERASED: u8 = 0xFF;

/// How a piece of flash is divided.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Shape {
    /// Bytes of a sector: what is erased at once.
    pub sector: u32,
    /// How many of them.
    pub sectors: u16,
    /// What is written begins and ends at multiples of this.
    pub step: u32,
}

impl Shape {
    /// `least` sectors of at least `sector_min` bytes; `None` for a part that has not so much, or
    /// that writes or reads in units the journal does not know.
    pub(super) fn of<F: NorFlash>(
        capacity: usize,
        sector_min: usize,
        least: usize,
    ) -> Option<Self> {
        let known = F::WRITE_SIZE.is_power_of_two()
            && F::WRITE_SIZE <= WORD_MAX
            && F::READ_SIZE.is_power_of_two()
            && F::READ_SIZE <= STEP_MIN
            && F::ERASE_SIZE.checked_rem(WORD_MAX) == Some(0);
        let several = sector_min.div_ceil(F::ERASE_SIZE.max(1)).max(1);
        let sector = F::ERASE_SIZE.checked_mul(several)?;
        let sectors = capacity.checked_div(sector)?.min(usize::from(u16::MAX));
        (known && sectors >= least).then_some(Self {
            sector: u32::try_from(sector).ok()?,
            sectors: u16::try_from(sectors).ok()?,
            step: F::WRITE_SIZE.max(STEP_MIN) as u32,
        })
    }

    /// The journal's division of a part.
    pub(super) fn of_journal<F: NorFlash>(capacity: usize) -> Option<Self> {
        Self::of::<F>(capacity, SECTOR_MIN, SECTORS_MIN)
    }

    /// Where a sector begins.
    pub(super) const fn base(&self, sector: u16) -> u32 {
        self.sector.wrapping_mul(sector as u32)
    }

    /// The next multiple of the step.
    pub(super) const fn whole(&self, bytes: u32) -> u32 {
        // The step is a power of two.
        let low = self.step.wrapping_sub(1);
        bytes.wrapping_add(low) & !low
    }
}

/// What is asked of flash; `false` where the part reports an error.
pub(super) trait Medium {
    /// Reads from `at`.
    fn read(&mut self, at: u32, into: &mut [u8]) -> bool;
    /// Writes whole words to erased flash.
    fn program(&mut self, at: u32, bytes: &[u8]) -> bool;
    /// Erases what lies between.
    fn erase(&mut self, from: u32, to: u32) -> bool;
}

impl<F: NorFlash> Medium for F {
    fn read(&mut self, at: u32, into: &mut [u8]) -> bool {
        embedded_storage::nor_flash::ReadNorFlash::read(self, at, into).is_ok()
    }

    fn program(&mut self, at: u32, bytes: &[u8]) -> bool {
        self.write(at, bytes).is_ok()
    }

    fn erase(&mut self, from: u32, to: u32) -> bool {
        NorFlash::erase(self, from, to).is_ok()
    }
}

/// Writes and reads back: worn flash, or a word cut off at the last power-up that only looked
/// erased, does not take what is written. What is not erased is not written.
#[inline(never)]
pub(super) fn write(flash: &mut impl Medium, at: u32, bytes: &[u8]) -> bool {
    let end = at.wrapping_add(bytes.len() as u32);
    is_erased(flash, at, end) && flash.program(at, bytes) && holds(flash, at, bytes)
}

/// These bytes stand there.
fn holds(flash: &mut impl Medium, mut at: u32, bytes: &[u8]) -> bool {
    let mut found = [0; WORD_MAX];
    bytes.chunks(WORD_MAX).all(|chunk| {
        let same = found
            .get_mut(..chunk.len())
            .is_some_and(|found| flash.read(at, found) && found == chunk);
        at = at.wrapping_add(WORD_MAX as u32);
        same
    })
}

/// The four bytes there.
#[inline(never)]
pub(super) fn word(flash: &mut impl Medium, at: u32) -> Option<u32> {
    let mut bytes = [0; STEP_MIN];
    flash
        .read(at, &mut bytes)
        .then(|| u32::from_le_bytes(bytes))
}

/// Nothing is written between the two, both multiples of four.
#[inline(never)]
pub(super) fn is_erased(flash: &mut impl Medium, from: u32, to: u32) -> bool {
    let mut found = [0; WORD_MAX];
    let mut at = from;
    while at < to {
        let left = to.wrapping_sub(at).min(WORD_MAX as u32);
        let clean = found
            .get_mut(..left as usize)
            .is_some_and(|found| flash.read(at, found) && found.iter().all(|byte| *byte == ERASED));
        if !clean {
            return false;
        }
        at = at.wrapping_add(WORD_MAX as u32);
    }
    true
}

/// Adds what stands there to `sum`.
pub(super) fn stream(
    flash: &mut impl Medium,
    from: u32,
    length: u32,
    sum: &mut Digest<'static, u32, NoTable>,
) -> bool {
    let mut found = [0; WORD_MAX];
    let mut done = 0u32;
    while done < length {
        let part = length.wrapping_sub(done).min(WORD_MAX as u32);
        // What is read has a length that every part can read.
        let read = part.next_multiple_of(STEP_MIN as u32) as usize;
        let at = from.wrapping_add(done);
        if !found
            .get_mut(..read)
            .is_some_and(|found| flash.read(at, found))
        {
            return false;
        }
        sum.update(found.get(..part as usize).unwrap_or(&[]));
        done = done.wrapping_add(part);
    }
    true
}
