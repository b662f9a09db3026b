//! The journal: what outlives a power cut, in NOR flash.
//!
//! - **state**: one value a key, the last one written: calibration, house measures, habits,
//!   the open round. Never lost: it is carried over when its sector is given up;
//! - **record**: a pour, a drink, a loss, a bottle learned, a fault; numbered, the oldest give way;
//! - **entry**: a state or a record as it lies in flash, each with its CRC (`entry`);
//! - **sector**: what is erased at once; they form a ring (`log`);
//! - **tidying**: erasing a sector to have it in hand. Nothing else erases. An erase stops many a
//!   part for up to two seconds, so it is done only when the caller says so: no pour is open;
//! - **sheet**: the packed sheet, in one of two places of its own ([`SheetPlaces`]), swapped once
//!   the new one is whole.
//!
//! Nothing is kept in RAM but where to write next; a state is looked for in flash when asked for,
//! and records are read one by one. Every word is written once after an erase, so that flash with
//! a checksum of its own a word will do.
//!
//! A payload is a type of the core with its serde form and a version ([`Payload`]). An entry of a
//! version that is not known, left by a later firmware, is carried over like any other.
//!
//! A flash that holds something else is told ([`Condition::Damaged`]) and made a journal by
//! tidying.

mod entry;
mod flash;
mod key;
pub mod limits;
mod log;
pub mod payload;
mod read;
mod sector;
mod sheet;

pub use key::Kind;
pub use payload::{Payload, Record};
pub use read::Kept;
pub use sheet::{PlaceError, SheetPlaces, Span};

use embedded_storage::nor_flash::NorFlash;
use serde::{Deserialize, Serialize};

use crate::codec::{self, CRC_32};
use entry::{Buffer, EMPTY};
use flash::Shape;
use key::is_record;
use limits::{ENTRY_MAX, HEAD};
use log::Log;
use read::{NUMBER, Reached};

/// Tells one value from another: the CRC-32 of its bytes, never 0.
pub(crate) fn fingerprint<P: Payload>(value: &P) -> u32 {
    let mut bytes = [0; limits::PAYLOAD_MAX];
    let used = codec::write(value, &mut bytes).unwrap_or(&[]);
    CRC_32.checksum(used).max(1)
}

/// The journal in its flash.
#[derive(Debug)]
pub struct Journal<F> {
    flash: F,
    log: Log,
}

/// What was found in the flash.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub enum Condition {
    /// A journal.
    Whole,
    /// Flash fresh from the factory.
    Blank,
    /// Something else, or a journal beyond reading: a clean start, and a fault to tell.
    Damaged,
}

/// The flash is not for a journal: its words are wider than 32 bytes, it cannot be read by four
/// bytes, or it has fewer than three sectors of 8 KiB or more.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub struct Unfit;

/// Why something was not written.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub enum WriteError {
    /// No room until [`Journal::tidy`] has had its turn.
    Full,
    /// There is no such key, or the payload is longer than [`limits::PAYLOAD_MAX`].
    TooLong,
    /// The flash does not take it.
    Flash,
}

/// Why a value cannot be read.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub enum ReadError {
    /// A later firmware wrote it, in a form that this one does not know.
    Version(u8),
    /// Its figures are beyond what can be.
    Value,
}

/// What tidying has done.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub enum Tidied {
    /// There was nothing to do.
    Nothing,
    /// One sector was erased; there may be more to do.
    Erased,
}

/// Where a reader of records stands; outlives whatever happens to the journal meanwhile.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Cursor(Reached);

impl Cursor {
    /// Before the record of this number.
    #[must_use]
    pub fn since(number: u32) -> Self {
        Self(Reached::since(number))
    }

    /// No record before this number is still to come.
    #[must_use]
    pub const fn number(&self) -> u32 {
        self.0.number
    }
}

impl<F: NorFlash> Journal<F> {
    /// Opens what `flash` holds; nothing is written, but over what says that it is erased and is not.
    /// All of `flash` belongs to the journal.
    ///
    /// # Errors
    /// [`Unfit`].
    pub fn open(mut flash: F) -> Result<(Self, Condition), Unfit> {
        let shape = Shape::of_journal::<F>(flash.capacity()).ok_or(Unfit)?;
        let (log, condition) = Log::open(&mut flash, shape);
        Ok((Self { flash, log }, condition))
    }

    /// Stores a state; the one of this index where there are several.
    ///
    /// Once it returns `Ok`, the state is in flash. Cut off before, the earlier one is still there.
    /// Never erases: a few milliseconds at most.
    ///
    /// # Errors
    /// [`WriteError`]; the earlier state is still there.
    pub fn put<P: Payload>(&mut self, index: u8, state: &P) -> Result<(), WriteError> {
        let key = P::KIND.key(index).filter(|key| !is_record(*key));
        self.append(key.ok_or(WriteError::TooLong)?, 0, state)
    }

    /// Appends a record; its number, one more than the last one's.
    ///
    /// As [`Journal::put`].
    ///
    /// # Errors
    /// [`WriteError`].
    pub fn log<P: Payload>(&mut self, record: &P) -> Result<u32, WriteError> {
        let key = P::KIND.key(0).filter(|key| is_record(*key));
        let number = self.log.number;
        self.append(key.ok_or(WriteError::TooLong)?, NUMBER, record)?;
        self.log.number = number.saturating_add(1);
        Ok(number)
    }

    /// Appends an entry; its payload lies behind `numbered` bytes of the record's number.
    fn append<P: Payload>(
        &mut self,
        key: u8,
        numbered: usize,
        payload: &P,
    ) -> Result<(), WriteError> {
        let mut entry: Buffer = EMPTY;
        let number = self.log.number.to_le_bytes();
        for (place, byte) in entry.iter_mut().skip(HEAD).zip(&number) {
            *place = *byte;
        }
        let length = entry
            .get_mut(HEAD.wrapping_add(numbered)..)
            .and_then(|bytes| codec::write(payload, bytes))
            .map(|used| used.len().wrapping_add(numbered))
            .ok_or(WriteError::TooLong)?;
        let end = HEAD.wrapping_add(length);
        // What the writer left behind the payload is to be as after an erase.
        if let Some(rest) = entry.get_mut(end..) {
            rest.fill(flash::ERASED);
        }
        self.log
            .append(&mut self.flash, (key, P::VERSION), length, &mut entry)
    }

    /// The state of this index; `None` where it was never stored.
    ///
    /// # Errors
    /// [`ReadError`].
    pub fn get<P: Payload>(&mut self, index: u8) -> Result<Option<P>, ReadError> {
        let mut entry = [0; ENTRY_MAX];
        let found = P::KIND
            .key(index)
            .and_then(|key| self.log.find(&mut self.flash, key, &mut entry));
        let Some((version, length)) = found else {
            return Ok(None);
        };
        let bytes = entry.get(HEAD..HEAD.wrapping_add(length)).unwrap_or(&[]);
        payload::decode(version, bytes).map(Some)
    }

    /// The next record, read into `buffer`; `None` when there is none yet. Records that have given
    /// way meanwhile are passed over: their numbers are missing.
    pub fn next<'b>(
        &mut self,
        cursor: &mut Cursor,
        buffer: &'b mut [u8; ENTRY_MAX],
    ) -> Option<Kept<'b>> {
        self.log.next(&mut self.flash, &mut cursor.0, buffer)
    }

    /// The number that the next record gets.
    #[must_use]
    pub const fn next_number(&self) -> u32 {
        self.log.number
    }

    /// Bytes that can be written before [`Journal::tidy`] must have had its turn; an entry takes
    /// up to [`limits::ENTRY_MAX`].
    #[must_use]
    pub fn free(&self) -> u32 {
        self.log.free()
    }

    /// Whether [`Journal::tidy`] has anything to do.
    #[must_use]
    pub fn is_untidy(&self) -> bool {
        self.log.is_untidy()
    }

    /// Erases at most one sector, where one is needed, and first carries over what it holds of
    /// states. To be called only while nothing is poured: it takes as long as an erase of this
    /// flash.
    ///
    /// # Errors
    /// [`WriteError`] when the flash is worn; nothing is lost.
    pub fn tidy(&mut self) -> Result<Tidied, WriteError> {
        self.log.tidy(&mut self.flash)
    }

    /// The flash, for whoever shares it.
    pub const fn flash(&mut self) -> &mut F {
        &mut self.flash
    }

    /// Gives the flash back.
    pub fn release(self) -> F {
        self.flash
    }
}
