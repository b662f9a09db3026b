//! A stretch of a flash that others use too.

use core::cell::RefCell;

use embedded_storage::nor_flash::{
    ErrorType, NorFlash, NorFlashError, NorFlashErrorKind, ReadNorFlash,
};

/// Bytes `base` to `base + length` of a shared flash, as a flash of its own.
#[derive(Debug)]
pub struct Partition<'f, F> {
    flash: &'f RefCell<F>,
    base: u32,
    length: u32,
}

impl<'f, F: NorFlash> Partition<'f, F> {
    /// `None` unless both figures are whole sectors and lie within the flash.
    pub fn new(flash: &'f RefCell<F>, base: u32, length: u32) -> Option<Self> {
        let sector = F::ERASE_SIZE as u32;
        let end = base.checked_add(length)? as usize;
        let whole = base.is_multiple_of(sector) && length.is_multiple_of(sector);
        let fits = end <= flash.try_borrow().ok()?.capacity();
        (whole && fits).then_some(Self {
            flash,
            base,
            length,
        })
    }

    fn at<T>(
        &self,
        from: u32,
        length: usize,
        work: impl FnOnce(&mut F, u32) -> Result<T, F::Error>,
    ) -> Result<T, Error<F::Error>> {
        let end = u32::try_from(length)
            .ok()
            .and_then(|length| from.checked_add(length));
        if end.is_none_or(|end| end > self.length) {
            return Err(Error::OutOfBounds);
        }
        let mut flash = self.flash.try_borrow_mut().map_err(|_| Error::InUse)?;
        work(&mut flash, self.base.wrapping_add(from)).map_err(Error::Flash)
    }
}

/// Why a stretch of flash could not be used.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Error<E> {
    /// The flash failed.
    Flash(E),
    /// Beyond the end of the stretch.
    OutOfBounds,
    /// Another stretch of it is being used right now.
    InUse,
}

impl<E: NorFlashError> NorFlashError for Error<E> {
    fn kind(&self) -> NorFlashErrorKind {
        match self {
            Self::Flash(error) => error.kind(),
            Self::OutOfBounds => NorFlashErrorKind::OutOfBounds,
            Self::InUse => NorFlashErrorKind::Other,
        }
    }
}

impl<F: NorFlash> ErrorType for Partition<'_, F> {
    type Error = Error<F::Error>;
}

impl<F: NorFlash> ReadNorFlash for Partition<'_, F> {
    const READ_SIZE: usize = F::READ_SIZE;

    fn read(&mut self, offset: u32, bytes: &mut [u8]) -> Result<(), Self::Error> {
        self.at(offset, bytes.len(), |flash, at| flash.read(at, bytes))
    }

    fn capacity(&self) -> usize {
        self.length as usize
    }
}

impl<F: NorFlash> NorFlash for Partition<'_, F> {
    const WRITE_SIZE: usize = F::WRITE_SIZE;
    const ERASE_SIZE: usize = F::ERASE_SIZE;

    fn erase(&mut self, from: u32, to: u32) -> Result<(), Self::Error> {
        let length = to.saturating_sub(from);
        self.at(from, length as usize, |flash, at| {
            flash.erase(at, at.wrapping_add(length))
        })
    }

    fn write(&mut self, offset: u32, bytes: &[u8]) -> Result<(), Self::Error> {
        self.at(offset, bytes.len(), |flash, at| flash.write(at, bytes))
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::chips::flash::{Chip, Wrong};
    use crate::flash::Flash;

    #[test]
    fn two_stretches_of_one_flash_keep_apart() {
        let chip = Chip::new(Wrong::Nothing);
        let flash = Flash::new(&chip, &chip, chip.bytes()).expect("it answers");
        let shared = RefCell::new(flash);
        let mut first = Partition::new(&shared, 0, 8192).expect("it fits");
        let mut second = Partition::new(&shared, 8192, 4096).expect("it fits");
        first.write(8190, &[1, 2]).expect("written");
        second.write(0, &[3, 4]).expect("written");
        assert!(first.write(8191, &[1, 2]).is_err(), "beyond its end");
        assert!(first.read(u32::MAX, &mut [0; 2]).is_err(), "beyond any end");
        second.erase(0, 4096).expect("erased");
        let mut bytes = [0; 2];
        first.read(8190, &mut bytes).expect("read");
        assert_eq!(bytes, [1, 2]);
        second.read(0, &mut bytes).expect("read");
        assert_eq!(bytes, [0xFF, 0xFF]);
    }

    #[test]
    fn what_is_not_of_the_flash_is_refused() {
        let chip = Chip::new(Wrong::Nothing);
        let shared = RefCell::new(Flash::new(&chip, &chip, chip.bytes()).expect("it answers"));
        assert!(Partition::new(&shared, 1, 4096).is_none());
        assert!(Partition::new(&shared, 0, 4097).is_none());
        assert!(Partition::new(&shared, chip.bytes(), 4096).is_none());
        assert!(Partition::new(&shared, u32::MAX - 4095, 4096).is_none());
    }
}
