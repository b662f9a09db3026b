//! The packed sheet: read in place, one record at a time.

use super::{Drink, DrinkId, House, Liquid, LiquidId, Step};

/// A packed sheet, borrowed from wherever it lies.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Sheet<'s> {
    bytes: &'s [u8],
}

/// Why a packed sheet cannot be read or written.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum SheetError {
    /// It does not begin as a sheet of this version does.
    Version,
    /// Its checksum is wrong.
    Checksum,
    /// A record is missing or damaged.
    Record,
    /// No such liquid, drink or step.
    Missing,
    /// The buffer is too small.
    Full,
}

impl<'s> Sheet<'s> {
    /// Checks the frame of `bytes` and borrows them.
    ///
    /// # Errors
    /// [`SheetError::Version`], [`SheetError::Checksum`] or [`SheetError::Record`].
    pub fn new(bytes: &'s [u8]) -> Result<Self, SheetError> {
        Ok(Self { bytes })
    }

    /// The house measures.
    ///
    /// # Errors
    /// [`SheetError::Record`] when damaged.
    pub fn house(&self) -> Result<House, SheetError> {
        Err(SheetError::Missing)
    }

    /// One liquid.
    ///
    /// # Errors
    /// [`SheetError::Missing`] or [`SheetError::Record`].
    pub fn liquid(&self, id: LiquidId) -> Result<Liquid<'s>, SheetError> {
        let _ = id;
        Err(SheetError::Missing)
    }

    /// One drink.
    ///
    /// # Errors
    /// [`SheetError::Missing`] or [`SheetError::Record`].
    pub fn drink(&self, id: DrinkId) -> Result<Drink<'s>, SheetError> {
        let _ = id;
        Err(SheetError::Missing)
    }

    /// One step of a drink.
    ///
    /// # Errors
    /// [`SheetError::Missing`] or [`SheetError::Record`].
    pub fn step(&self, drink: DrinkId, step: u8) -> Result<Step<'s>, SheetError> {
        let _ = (drink, step);
        Err(SheetError::Missing)
    }

    /// How many drinks there are.
    #[must_use]
    pub fn drinks(&self) -> u8 {
        0
    }

    /// How many liquids there are.
    #[must_use]
    pub fn liquids(&self) -> u8 {
        0
    }

    /// The packed bytes.
    #[must_use]
    pub fn bytes(&self) -> &'s [u8] {
        self.bytes
    }
}

/// Writes a packed sheet into a buffer: house, liquids, then drinks each with its steps.
pub struct Packer<'b> {
    buffer: &'b mut [u8],
}

impl<'b> Packer<'b> {
    /// Starts a sheet.
    ///
    /// # Errors
    /// [`SheetError::Full`].
    pub fn new(buffer: &'b mut [u8], house: &House) -> Result<Self, SheetError> {
        let _ = house;
        Ok(Self { buffer })
    }

    /// Appends a liquid; they are numbered in this order.
    ///
    /// # Errors
    /// [`SheetError::Full`].
    pub fn liquid(&mut self, liquid: &Liquid<'_>) -> Result<(), SheetError> {
        let _ = liquid;
        Ok(())
    }

    /// Appends a drink; its steps must follow.
    ///
    /// # Errors
    /// [`SheetError::Full`].
    pub fn drink(&mut self, drink: &Drink<'_>) -> Result<(), SheetError> {
        let _ = drink;
        Ok(())
    }

    /// Appends a step to the last drink.
    ///
    /// # Errors
    /// [`SheetError::Full`].
    pub fn step(&mut self, step: &Step<'_>) -> Result<(), SheetError> {
        let _ = step;
        Ok(())
    }

    /// Closes the sheet with its checksum; the number of bytes used.
    ///
    /// # Errors
    /// [`SheetError::Full`].
    pub fn finish(self) -> Result<usize, SheetError> {
        let _ = self.buffer;
        Ok(0)
    }
}
