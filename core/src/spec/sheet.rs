//! The packed sheet: read in place, one record at a time.
//!
//! | bytes | what |
//! |---|---|
//! | 4 | `PWSH` |
//! | 1 | version |
//! | 1 | number of liquids |
//! | 1 | number of drinks |
//! | 1 | 0 |
//! | 4 | length of everything, checksum included |
//! | | records: the house, the liquids, each drink followed by its steps |
//! | 2 each | offsets of the liquids, then of the drinks |
//! | 4 | CRC-32 (ISO-HDLC, as zip and PNG use) of everything before it |
//!
//! A record is its length (2 bytes), its kind (1 byte, counted in the length) and its fields as
//! postcard writes them. All numbers are little-endian. The frame and the checksum are checked
//! once; a record is decoded and held against the limits each time it is asked for, and no text
//! is copied.

use core::fmt;

use serde::{Deserialize, Serialize};

use super::bounds::Bounded;
use super::limits::{DRINKS_MAX, LIQUIDS_MAX, SHEET_BYTES_MAX};
use super::{Drink, DrinkId, House, Liquid, LiquidId, Step};
use crate::codec::{self, CRC_32};

/// The first bytes, version included.
const MAGIC: [u8; 5] = *b"PWSH\x02";
/// Where the records begin.
const HEADER: usize = 12;
/// How long the checksum is.
const CHECKSUM: usize = 4;

/// What a record holds.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Kind {
    House = 0,
    Liquid = 1,
    Drink = 2,
    Step = 3,
}

/// A packed sheet, borrowed from wherever it lies.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Sheet<'s> {
    bytes: &'s [u8],
    /// Header and records.
    records: &'s [u8],
    /// Offsets of liquids and drinks.
    table: &'s [u8],
    liquids: u8,
    drinks: u8,
    /// House measures of the scale, which win.
    house: Option<House>,
}

/// Why a packed sheet cannot be read or written.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum SheetError {
    /// It does not begin as a sheet of this version does.
    Version,
    /// Its checksum is wrong.
    Checksum,
    /// A record is missing, damaged, out of order or beyond the limits of a sheet.
    Record,
    /// No such liquid, drink or step.
    Missing,
    /// The buffer, or what a sheet may take, is too small.
    Full,
}

impl<'s> Sheet<'s> {
    /// Checks the frame of `bytes` and borrows them; what lies behind the sheet is ignored.
    ///
    /// # Errors
    /// [`SheetError::Version`], [`SheetError::Checksum`] or [`SheetError::Record`].
    pub fn new(bytes: &'s [u8]) -> Result<Self, SheetError> {
        if !bytes.starts_with(&MAGIC) {
            return Err(SheetError::Version);
        }
        let liquids = bytes.get(5).copied().unwrap_or(0);
        let drinks = bytes.get(6).copied().unwrap_or(0);
        let length = bytes
            .get(8..HEADER)
            .and_then(|length| length.try_into().ok())
            .map(u32::from_le_bytes)
            .and_then(|length| usize::try_from(length).ok())
            .filter(|length| *length <= SHEET_BYTES_MAX)
            .ok_or(SheetError::Record)?;
        let bytes = bytes.get(..length).ok_or(SheetError::Record)?;
        let (content, checksum) = bytes
            .split_last_chunk::<CHECKSUM>()
            .map(|(content, checksum)| (content, u32::from_le_bytes(*checksum)))
            .ok_or(SheetError::Record)?;
        if CRC_32.checksum(content) != checksum {
            return Err(SheetError::Checksum);
        }
        let offsets = usize::from(liquids)
            .saturating_add(usize::from(drinks))
            .saturating_mul(2);
        let (records, table) = content
            .len()
            .checked_sub(offsets)
            .filter(|records| *records >= HEADER)
            .and_then(|records| content.split_at_checked(records))
            .ok_or(SheetError::Record)?;
        if liquids > LIQUIDS_MAX || drinks > DRINKS_MAX {
            return Err(SheetError::Record);
        }
        Ok(Self {
            bytes,
            records,
            table,
            liquids,
            drinks,
            house: None,
        })
    }

    /// These are the first bytes of a packed sheet that this firmware reads.
    #[must_use]
    pub fn is_begun_by(bytes: [u8; 8]) -> bool {
        bytes.starts_with(&MAGIC)
    }

    /// The same sheet with other house measures.
    #[must_use]
    pub const fn measured_by(self, house: House) -> Self {
        Self {
            house: Some(house),
            ..self
        }
    }

    /// The house measures.
    ///
    /// # Errors
    /// [`SheetError::Record`] when damaged.
    pub fn house(&self) -> Result<House, SheetError> {
        if let Some(house) = self.house {
            return Ok(house);
        }
        let (body, _) = record(self.records, HEADER)?;
        self.decode(body, Kind::House)
    }

    /// One liquid.
    ///
    /// # Errors
    /// [`SheetError::Missing`] or [`SheetError::Record`].
    pub fn liquid(&self, id: LiquidId) -> Result<Liquid<'s>, SheetError> {
        if id.0 >= self.liquids {
            return Err(SheetError::Missing);
        }
        let (body, _) = record(self.records, self.offset(usize::from(id.0))?)?;
        self.decode(body, Kind::Liquid)
    }

    /// One drink.
    ///
    /// # Errors
    /// [`SheetError::Missing`] or [`SheetError::Record`].
    pub fn drink(&self, id: DrinkId) -> Result<Drink<'s>, SheetError> {
        self.drink_and_first_step(id).map(|(drink, _)| drink)
    }

    /// One step of a drink.
    ///
    /// # Errors
    /// [`SheetError::Missing`] or [`SheetError::Record`].
    pub fn step(&self, drink: DrinkId, step: u8) -> Result<Step<'s>, SheetError> {
        let (drink, mut at) = self.drink_and_first_step(drink)?;
        if step >= drink.steps {
            return Err(SheetError::Missing);
        }
        for _ in 0..step {
            (_, at) = record(self.records, at)?;
        }
        let (body, _) = record(self.records, at)?;
        self.decode(body, Kind::Step)
    }

    /// The drink of this name, in either case.
    ///
    /// # Errors
    /// [`SheetError::Missing`] or, when a drink before it is damaged, [`SheetError::Record`].
    pub fn find_drink(&self, name: &str) -> Result<DrinkId, SheetError> {
        for id in (0..self.drinks).map(DrinkId) {
            let found = self.drink(id)?.name.chars().flat_map(char::to_lowercase);
            if found.eq(name.chars().flat_map(char::to_lowercase)) {
                return Ok(id);
            }
        }
        Err(SheetError::Missing)
    }

    /// How many drinks there are.
    #[must_use]
    pub fn drinks(&self) -> u8 {
        self.drinks
    }

    /// How many liquids there are.
    #[must_use]
    pub fn liquids(&self) -> u8 {
        self.liquids
    }

    /// Its own checksum, which tells one sheet from another.
    #[must_use]
    pub fn checksum(&self) -> u32 {
        let last = self.bytes.last_chunk::<CHECKSUM>();
        last.map_or(0, |checksum| u32::from_le_bytes(*checksum))
    }

    /// Every record can be read.
    ///
    /// # Errors
    /// The first drink that cannot, none where it is a liquid or the house.
    #[cold]
    pub fn check(&self) -> Result<(), Option<DrinkId>> {
        let liquids = (0..self.liquids).all(|id| self.liquid(LiquidId(id)).is_ok());
        if self.house().is_err() || !liquids {
            return Err(None);
        }
        for id in 0..self.drinks {
            let id = DrinkId(id);
            let drink = self.drink(id).map_err(|_| Some(id))?;
            for step in 0..drink.steps {
                self.step(id, step).map_err(|_| Some(id))?;
            }
        }
        Ok(())
    }

    /// The packed bytes, without what lay behind them.
    #[must_use]
    pub fn bytes(&self) -> &'s [u8] {
        self.bytes
    }

    fn drink_and_first_step(&self, id: DrinkId) -> Result<(Drink<'s>, usize), SheetError> {
        if id.0 >= self.drinks {
            return Err(SheetError::Missing);
        }
        let index = usize::from(self.liquids).saturating_add(usize::from(id.0));
        let (body, next) = record(self.records, self.offset(index)?)?;
        Ok((self.decode(body, Kind::Drink)?, next))
    }

    fn offset(&self, index: usize) -> Result<usize, SheetError> {
        self.table
            .get(index.saturating_mul(2)..)
            .and_then(|from| from.first_chunk::<2>())
            .map(|offset| usize::from(u16::from_le_bytes(*offset)))
            .ok_or(SheetError::Record)
    }

    fn decode<T: Deserialize<'s> + Bounded>(
        &self,
        body: &'s [u8],
        kind: Kind,
    ) -> Result<T, SheetError> {
        let fields = match body.split_first() {
            Some((found, fields)) if *found == kind as u8 => fields,
            _ => return Err(SheetError::Record),
        };
        codec::read(fields)
            .filter(|value: &T| value.fits(self.liquids))
            .ok_or(SheetError::Record)
    }
}

/// The record at `offset` without its length, and where the next one begins.
fn record(records: &[u8], offset: usize) -> Result<(&[u8], usize), SheetError> {
    let (length, rest) = records
        .get(offset..)
        .and_then(|from| from.split_first_chunk::<2>())
        .ok_or(SheetError::Record)?;
    let length = usize::from(u16::from_le_bytes(*length));
    let body = rest.get(..length).ok_or(SheetError::Record)?;
    Ok((body, offset.saturating_add(2).saturating_add(length)))
}

impl fmt::Display for SheetError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Self::Version => "no packed sheet of this version; pack it anew",
            Self::Checksum => "the packed sheet is damaged; load it anew",
            Self::Record => "a record of the packed sheet is damaged or beyond its limits",
            Self::Missing => "the packed sheet has no such entry",
            Self::Full => "the sheet is too large; a packed sheet takes at most 32 KiB",
        })
    }
}

impl core::error::Error for SheetError {}

/// Writes a packed sheet into a buffer: house, liquids, then drinks each with its steps.
pub struct Packer<'b> {
    buffer: &'b mut [u8],
    used: usize,
    liquids: u8,
    drinks: u8,
    /// Steps of the last drink that have yet to come.
    steps_due: u8,
}

impl<'b> Packer<'b> {
    /// Starts a sheet.
    ///
    /// # Errors
    /// [`SheetError::Full`]; [`SheetError::Record`] when a measure is beyond its limit.
    pub fn new(buffer: &'b mut [u8], house: &House) -> Result<Self, SheetError> {
        let mut packer = Self {
            buffer,
            used: 0,
            liquids: 0,
            drinks: 0,
            steps_due: 0,
        };
        packer.append(&MAGIC)?;
        packer.append(&[0; HEADER.saturating_sub(MAGIC.len())])?;
        packer.record(Kind::House, house)?;
        Ok(packer)
    }

    /// Appends a liquid; they are numbered in this order. All of them precede the drinks.
    ///
    /// # Errors
    /// [`SheetError::Full`]; [`SheetError::Record`] when out of order or beyond a limit.
    pub fn liquid(&mut self, liquid: &Liquid<'_>) -> Result<(), SheetError> {
        if self.drinks > 0 {
            return Err(SheetError::Record);
        }
        if self.liquids >= LIQUIDS_MAX {
            return Err(SheetError::Full);
        }
        self.record(Kind::Liquid, liquid)?;
        self.liquids = self.liquids.saturating_add(1);
        Ok(())
    }

    /// Appends a drink; its steps must follow.
    ///
    /// # Errors
    /// [`SheetError::Full`]; [`SheetError::Record`] when steps of the drink before it are
    /// missing, or beyond a limit.
    pub fn drink(&mut self, drink: &Drink<'_>) -> Result<(), SheetError> {
        if self.steps_due > 0 {
            return Err(SheetError::Record);
        }
        if self.drinks >= DRINKS_MAX {
            return Err(SheetError::Full);
        }
        self.record(Kind::Drink, drink)?;
        self.drinks = self.drinks.saturating_add(1);
        self.steps_due = drink.steps;
        Ok(())
    }

    /// Appends a step to the last drink.
    ///
    /// # Errors
    /// [`SheetError::Full`]; [`SheetError::Record`] when no step is due, or beyond a limit.
    pub fn step(&mut self, step: &Step<'_>) -> Result<(), SheetError> {
        let due = self.steps_due.checked_sub(1).ok_or(SheetError::Record)?;
        self.record(Kind::Step, step)?;
        self.steps_due = due;
        Ok(())
    }

    /// Closes the sheet with its checksum; the number of bytes used.
    ///
    /// # Errors
    /// [`SheetError::Full`]; [`SheetError::Record`] when steps of the last drink are missing.
    pub fn finish(mut self) -> Result<usize, SheetError> {
        if self.steps_due > 0 {
            return Err(SheetError::Record);
        }
        let records_end = self.used;
        let mut at = HEADER;
        while at < records_end {
            let (body, next) = record(self.buffer.get(..records_end).unwrap_or(&[]), at)?;
            let kind = body.first().copied();
            if kind == Some(Kind::Liquid as u8) || kind == Some(Kind::Drink as u8) {
                let offset = u16::try_from(at).map_err(|_| SheetError::Full)?;
                self.append(&offset.to_le_bytes())?;
            }
            at = next;
        }
        let length = self.used.saturating_add(CHECKSUM);
        let written = u32::try_from(length).map_err(|_| SheetError::Full)?;
        self.write(5, &[self.liquids, self.drinks, 0])?;
        self.write(8, &written.to_le_bytes())?;
        let checksum = CRC_32.checksum(self.buffer.get(..self.used).unwrap_or(&[]));
        self.append(&checksum.to_le_bytes())?;
        Ok(self.used)
    }

    fn record<T: Serialize + Bounded>(&mut self, kind: Kind, value: &T) -> Result<(), SheetError> {
        if !value.fits(self.liquids) {
            return Err(SheetError::Record);
        }
        let start = self.used;
        let fields = start.saturating_add(3);
        let free = self.buffer.get_mut(fields..).ok_or(SheetError::Full)?;
        let length = codec::write(value, free)
            .ok_or(SheetError::Full)?
            .len()
            .saturating_add(1);
        let prefix = u16::try_from(length).map_err(|_| SheetError::Full)?;
        self.write(start, &prefix.to_le_bytes())?;
        self.write(start.saturating_add(2), &[kind as u8])?;
        let used = start.saturating_add(2).saturating_add(length);
        if used > SHEET_BYTES_MAX {
            return Err(SheetError::Full);
        }
        self.used = used;
        Ok(())
    }

    fn append(&mut self, bytes: &[u8]) -> Result<(), SheetError> {
        self.write(self.used, bytes)?;
        self.used = self.used.saturating_add(bytes.len());
        if self.used > SHEET_BYTES_MAX {
            return Err(SheetError::Full);
        }
        Ok(())
    }

    fn write(&mut self, at: usize, bytes: &[u8]) -> Result<(), SheetError> {
        self.buffer
            .get_mut(at..at.saturating_add(bytes.len()))
            .ok_or(SheetError::Full)?
            .copy_from_slice(bytes);
        Ok(())
    }
}
