//! NOR flash made of memory, for a board that has none: it survives a reset, not a power cut.

#![expect(unsafe_code, reason = "flash is memory at a fixed address")]

use core::convert::Infallible;

use embedded_storage::nor_flash::{ErrorType, NorFlash, ReadNorFlash};
use pennyweight_core::journal::Span;
use pennyweight_core::keep::Keeper;

/// What is erased at once, as on many an F4-class part.
const SECTOR: usize = 16 * 1024;

/// The emulated board's PSRAM (DAI 0386), which survives a reset.
const BEGINS: usize = 0x2100_0000;
/// Three sectors.
const JOURNAL_BYTES: usize = 48 * 1024;
/// Two places of three sectors.
const SHEETS_BYTES: usize = 96 * 1024;

/// The store in that memory; to be called once.
pub(super) fn keeper() -> Option<Keeper<'static, MemoryFlash>> {
    let mut journal = MemoryFlash::new(BEGINS, JOURNAL_BYTES);
    let mut sheets = MemoryFlash::new(BEGINS + JOURNAL_BYTES, SHEETS_BYTES);
    for flash in [&mut journal, &mut sheets] {
        flash.leave_the_factory();
    }
    Keeper::open(journal, sheets, MemoryFlash::map).ok()
}

/// A stretch of memory that behaves as NOR flash does: an erase makes ones, a write only zeros.
#[derive(Debug)]
pub struct MemoryFlash {
    base: usize,
    length: usize,
}

impl MemoryFlash {
    /// The memory from `base` on, which is mapped and used for nothing else; `length` is a multiple
    /// of 16 KiB.
    pub(crate) const fn new(base: usize, length: usize) -> Self {
        Self { base, length }
    }

    /// Memory begins as zeros, where flash begins as ones.
    fn leave_the_factory(&mut self) {
        let mut first = [0; 8];
        if self.read(0, &mut first).is_ok() && first == [0; 8] {
            let _ = self.erase(0, self.length as u32);
        }
    }

    fn place(&self, offset: u32, index: usize) -> *mut u8 {
        let within = (offset as usize + index).min(self.length - 1);
        core::ptr::with_exposed_provenance_mut(self.base + within)
    }

    /// A stretch of it in place.
    pub fn map(&mut self, span: Span) -> Option<&'static [u8]> {
        let from = core::ptr::with_exposed_provenance(self.base + span.start as usize);
        let length = span.end.saturating_sub(span.start) as usize;
        if span.end as usize > self.length {
            return None;
        }
        // SAFETY: the stretch lies within this memory, which is always mapped. It is the sheet in
        // use or about to be used: that place is erased only after the station has taken another
        // sheet, when nothing of this one is held any more.
        Some(unsafe { core::slice::from_raw_parts(from, length) })
    }
}

impl ErrorType for MemoryFlash {
    type Error = Infallible;
}

impl ReadNorFlash for MemoryFlash {
    const READ_SIZE: usize = 1;

    fn read(&mut self, offset: u32, bytes: &mut [u8]) -> Result<(), Infallible> {
        for (index, byte) in bytes.iter_mut().enumerate() {
            // SAFETY: `place` stays within this memory, which is always mapped.
            *byte = unsafe { self.place(offset, index).read_volatile() };
        }
        Ok(())
    }

    fn capacity(&self) -> usize {
        self.length
    }
}

impl NorFlash for MemoryFlash {
    const WRITE_SIZE: usize = 4;
    const ERASE_SIZE: usize = SECTOR;

    fn erase(&mut self, from: u32, to: u32) -> Result<(), Infallible> {
        for index in 0..to.saturating_sub(from) as usize {
            // SAFETY: as in `read`; nothing else points there, see `map`.
            unsafe { self.place(from, index).write_volatile(0xFF) };
        }
        Ok(())
    }

    fn write(&mut self, offset: u32, bytes: &[u8]) -> Result<(), Infallible> {
        for (index, byte) in bytes.iter().enumerate() {
            let place = self.place(offset, index);
            // SAFETY: as in `erase`.
            unsafe { place.write_volatile(place.read_volatile() & byte) };
        }
        Ok(())
    }
}
