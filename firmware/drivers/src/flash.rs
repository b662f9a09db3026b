//! Serial NOR flash on SPI, where the record of the night is kept.
//!
//! | what | typical | at most |
//! |---|---|---|
//! | programming a page of 256 bytes | 0.7 ms | 3 ms |
//! | erasing a sector of 4 KiB | 45 ms | 400 ms |
//!
//! Source: data sheets of common parts of this kind, "Instructions" and "AC characteristics"; from
//! memory, to be compared with the part in hand.
//!
//! Both wait here until they are done: erase only while nobody pours. Conversions are queued
//! meanwhile. All that is written is read back, so that a worn or locked sector is told at once.

use embedded_hal::delay::DelayNs;
use embedded_hal::spi::{Operation, SpiDevice};
use embedded_storage::nor_flash::{
    ErrorType, NorFlash, NorFlashError, NorFlashErrorKind, ReadNorFlash, check_erase, check_read,
    check_write,
};

const WAKE: u8 = 0xAB;
const READ: u8 = 0x03;
const STATUS: u8 = 0x05;
const ENABLE: u8 = 0x06;
const PROGRAM: u8 = 0x02;
const ERASE: u8 = 0x20;
const BUSY: u8 = 1;
const ENABLED: u8 = 1 << 1;

const PAGE: u32 = 256;
const SECTOR: u32 = 4096;
/// Waits at most so long, microseconds, asking every [`ASK_US`]: half as long again as it may take.
const ERASED_US: u32 = 600_000;
const PROGRAMMED_US: u32 = 5_000;
const ASK_US: u32 = 50;
/// Bytes that are read back at a time.
const CHECKED: usize = 16;

/// Why flash could not be used.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Error<E> {
    /// The bus failed.
    Bus(E),
    /// It is busy for longer than it may be; where no part answers it looks so too.
    Busy,
    /// It refuses to be written: locked, or no part is there.
    Locked,
    /// What was read back is not what was written: worn out, or not erased before.
    Differs,
    /// The place or the length is not one of this part.
    Place(NorFlashErrorKind),
}

impl<E: core::fmt::Debug> NorFlashError for Error<E> {
    fn kind(&self) -> NorFlashErrorKind {
        match self {
            Self::Place(kind) => *kind,
            Self::Bus(_) | Self::Busy | Self::Locked | Self::Differs => NorFlashErrorKind::Other,
        }
    }
}

/// A part of this many bytes on this bus.
#[derive(Debug)]
pub struct Flash<B, W> {
    bus: B,
    wait: W,
    bytes: u32,
}

impl<B: SpiDevice, W: DelayNs> Flash<B, W> {
    /// Wakes the part, and waits for what a reset may have left it doing.
    ///
    /// # Errors
    /// See [`Error`].
    pub fn new(bus: B, wait: W, bytes: u32) -> Result<Self, Error<B::Error>> {
        let mut flash = Self { bus, wait, bytes };
        flash.bus.write(&[WAKE]).map_err(Error::Bus)?;
        flash.wait.delay_us(ASK_US);
        flash.settle(ERASED_US)?;
        Ok(flash)
    }

    fn status(&mut self) -> Result<u8, Error<B::Error>> {
        let mut status = [0];
        self.bus
            .transaction(&mut [Operation::Write(&[STATUS]), Operation::Read(&mut status)])
            .map_err(Error::Bus)?;
        let [status] = status;
        Ok(status)
    }

    fn settle(&mut self, within_us: u32) -> Result<(), Error<B::Error>> {
        for _ in 0..within_us / ASK_US {
            if self.status()? & BUSY == 0 {
                return Ok(());
            }
            self.wait.delay_us(ASK_US);
        }
        Err(Error::Busy)
    }

    /// One instruction that changes the memory at `offset`.
    fn change(
        &mut self,
        instruction: u8,
        offset: u32,
        bytes: &[u8],
        within_us: u32,
    ) -> Result<(), Error<B::Error>> {
        self.bus.write(&[ENABLE]).map_err(Error::Bus)?;
        if self.status()? & (ENABLED | BUSY) != ENABLED {
            return Err(Error::Locked);
        }
        let head = addressed(instruction, offset);
        self.bus
            .transaction(&mut [Operation::Write(&head), Operation::Write(bytes)])
            .map_err(Error::Bus)?;
        self.settle(within_us)
    }

    fn fetch(&mut self, offset: u32, bytes: &mut [u8]) -> Result<(), Error<B::Error>> {
        let head = addressed(READ, offset);
        self.bus
            .transaction(&mut [Operation::Write(&head), Operation::Read(bytes)])
            .map_err(Error::Bus)
    }

    /// Whether the bytes from `offset` on are these.
    fn check(
        &mut self,
        mut offset: u32,
        mut expected: impl Iterator<Item = u8>,
        length: u32,
    ) -> Result<(), Error<B::Error>> {
        let end = offset.saturating_add(length);
        while offset < end {
            let mut there = [0; CHECKED];
            let count = CHECKED.min(end.saturating_sub(offset) as usize);
            let there = there.get_mut(..count).unwrap_or_default();
            self.fetch(offset, there)?;
            if there.iter().any(|byte| Some(*byte) != expected.next()) {
                return Err(Error::Differs);
            }
            offset = offset.saturating_add(count as u32);
        }
        Ok(())
    }
}

const fn addressed(instruction: u8, offset: u32) -> [u8; 4] {
    let [_, high, middle, low] = offset.to_be_bytes();
    [instruction, high, middle, low]
}

impl<B: SpiDevice, W> ErrorType for Flash<B, W> {
    type Error = Error<B::Error>;
}

impl<B: SpiDevice, W: DelayNs> ReadNorFlash for Flash<B, W> {
    const READ_SIZE: usize = 1;

    fn read(&mut self, offset: u32, bytes: &mut [u8]) -> Result<(), Self::Error> {
        check_read(self, offset, bytes.len()).map_err(Error::Place)?;
        self.fetch(offset, bytes)
    }

    fn capacity(&self) -> usize {
        self.bytes as usize
    }
}

impl<B: SpiDevice, W: DelayNs> NorFlash for Flash<B, W> {
    const WRITE_SIZE: usize = 1;
    const ERASE_SIZE: usize = SECTOR as usize;

    fn erase(&mut self, from: u32, to: u32) -> Result<(), Self::Error> {
        check_erase(self, from, to).map_err(Error::Place)?;
        let mut sector = from;
        while sector < to {
            self.change(ERASE, sector, &[], ERASED_US)?;
            self.check(sector, core::iter::repeat(0xFF), SECTOR)?;
            sector = sector.saturating_add(SECTOR);
        }
        Ok(())
    }

    fn write(&mut self, offset: u32, bytes: &[u8]) -> Result<(), Self::Error> {
        check_write(self, offset, bytes.len()).map_err(Error::Place)?;
        let (mut offset, mut left) = (offset, bytes);
        while !left.is_empty() {
            // Past the end of a page the part would go on at its beginning.
            let room = PAGE.saturating_sub(offset % PAGE) as usize;
            let (page, rest) = left.split_at_checked(room).unwrap_or((left, &[]));
            self.change(PROGRAM, offset, page, PROGRAMMED_US)?;
            let length = page.len() as u32;
            self.check(offset, page.iter().copied(), length)?;
            offset = offset.saturating_add(length);
            left = rest;
        }
        Ok(())
    }
}

#[cfg(test)]
mod tests {
    use std::vec::Vec;

    use super::*;
    use crate::chips::flash::{Chip, Wrong};

    fn flash(chip: &Chip) -> Flash<&Chip, &Chip> {
        Flash::new(chip, chip, chip.bytes()).expect("it answers")
    }

    #[test]
    fn what_was_written_is_read_across_pages() {
        let chip = Chip::new(Wrong::Nothing);
        let mut flash = flash(&chip);
        flash.erase(4096, 12_288).expect("erased");
        let bytes: Vec<u8> = (0..700_u32).map(|n| (n * 7) as u8).collect();
        flash.write(4096 + 200, &bytes).expect("written");
        let mut back = [0; 700];
        flash.read(4096 + 200, &mut back).expect("read");
        assert_eq!(back[..], bytes[..]);
        let mut beside = [0; 1];
        flash.read(4096 + 199, &mut beside).expect("read");
        assert_eq!(beside, [0xFF]);
        chip.assert_well_treated();
    }

    #[test]
    fn a_failing_part_is_told() {
        for (wrong, is_told) in [
            (Wrong::Locked, Error::Locked),
            (Wrong::Worn, Error::Differs),
            (Wrong::NeverDone, Error::Busy),
        ] {
            let chip = Chip::new(wrong);
            let mut flash = flash(&chip);
            assert_eq!(flash.write(0, &[1, 2, 3]), Err(is_told), "{wrong:?}");
        }
        let chip = Chip::new(Wrong::Absent);
        assert_eq!(Flash::new(&chip, &chip, 4096).err(), Some(Error::Busy));
    }

    #[test]
    fn writing_over_what_was_not_erased_is_told() {
        let chip = Chip::new(Wrong::Nothing);
        let mut flash = flash(&chip);
        flash.write(10, &[0x0F]).expect("written");
        assert_eq!(flash.write(10, &[0xF0]), Err(Error::Differs));
        assert!(matches!(flash.erase(1, 4097), Err(Error::Place(_))));
        assert!(matches!(
            flash.write(chip.bytes(), &[0]),
            Err(Error::Place(_))
        ));
    }

    #[test]
    fn a_brown_out_leaves_the_first_bytes_and_nothing_beside_them() {
        for kept in [0, 1, 100, 255] {
            let chip = Chip::new(Wrong::Nothing);
            let mut flash = flash(&chip);
            chip.cut_power_after(kept);
            assert!(flash.write(256, &[0; 256]).is_err(), "the power is gone");
            chip.power_up();
            let mut flash = Flash::new(&chip, &chip, chip.bytes()).expect("it answers");
            let mut there = [0; 512];
            flash.read(256, &mut there).expect("read");
            assert!(there[..kept].iter().all(|byte| *byte == 0), "{kept}");
            assert!(there[kept..].iter().all(|byte| *byte == 0xFF), "{kept}");
        }
    }
}
