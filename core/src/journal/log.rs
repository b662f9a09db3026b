//! The ring of sectors: entries are appended, the oldest sector is given up.
//!
//! ```text
//!   unready --erased--> spare --begun--> used ... used --carried over, erased--> spare
//!            (tidy)           (writing)    oldest        (tidy)
//! ```
//!
//! Sectors are begun in the order in which they lie, so each is erased as often as the others.
//! Writing never erases, and never begins the last spare sector: that one takes what has to be
//! carried over from the oldest before it may be erased. What is cut off in between is done again.

use super::entry::{self, Buffer, EMPTY, Walk};
use super::flash::{Medium, Shape, is_erased};
use super::key::{RECORDS, is_record};
use super::limits::{ENTRY_MAX, FREE_PART, TRIES};
use super::read::number_of;
use super::sector::{self, Begun, Sector};
use super::{Condition, Tidied, WriteError};

/// The journal apart from its flash.
#[derive(Clone, Copy, Debug)]
pub(super) struct Log {
    pub(super) shape: Shape,
    pub(super) active: Option<Active>,
    /// How many sectors were begun.
    sequence: u32,
    /// The number of the next record.
    pub(super) number: u32,
    spare: u16,
    /// Sectors still to be made spare.
    unready: u16,
    /// Where to look for them next.
    tried: u16,
    /// Sectors begun before this many were tried in vain: they stay until the next start.
    worn: u32,
}

/// The sector being written.
#[derive(Clone, Copy, Debug)]
pub(super) struct Active {
    pub(super) sector: u16,
    /// Where the next entry goes.
    at: u32,
}

/// Who writes.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Writer {
    /// Anybody, who leaves the last spare sector alone.
    Anybody,
    /// What is carried over.
    Carrying,
}

/// Where nothing can lie.
const NOWHERE: u32 = u32::MAX;

impl Log {
    /// Looks at the flash; nothing is written, but over what says that it is erased and is not.
    #[inline(never)]
    pub(super) fn open(flash: &mut impl Medium, shape: Shape) -> (Self, Condition) {
        let mut log = Self {
            shape,
            active: None,
            sequence: 0,
            number: 0,
            spare: 0,
            unready: 0,
            tried: 0,
            worn: 0,
        };
        let mut blank = true;
        let mut newest: Option<(u16, Begun)> = None;
        for sector in 0..shape.sectors {
            match sector::look(flash, &shape, sector) {
                Sector::Spare if is_erased(flash, shape.body(sector), shape.end(sector)) => {
                    log.spare = log.spare.saturating_add(1);
                }
                Sector::Spare => {
                    sector::spoil(flash, &shape, sector);
                    log.unready = log.unready.saturating_add(1);
                    blank = false;
                }
                Sector::Unready => {
                    log.unready = log.unready.saturating_add(1);
                    blank &= sector::is_blank(flash, &shape, sector);
                }
                Sector::Used(begun) => {
                    if newest.is_none_or(|(_, newest)| begun.sequence >= newest.sequence) {
                        newest = Some((sector, begun));
                    }
                }
            }
        }
        let Some((sector, begun)) = newest else {
            let condition = if blank {
                Condition::Blank
            } else {
                Condition::Damaged
            };
            return (log, condition);
        };
        log.sequence = begun.sequence.saturating_add(1);
        log.number = begun.number;
        let mut walk = Walk::new(shape.body(sector), shape.end(sector));
        while let Some(placed) = walk.next(flash, &shape) {
            if is_record(placed.head.key)
                && entry::is_whole(flash, &placed)
                && let Some(number) = number_of(flash, &placed)
            {
                log.number = log.number.max(number.saturating_add(1));
            }
        }
        // Something behind what is erased is no end: what is written now would lie before it.
        let end = shape.end(sector);
        let at = if is_erased(flash, walk.at, end) {
            walk.at
        } else {
            end
        };
        log.active = Some(Active { sector, at });
        (log, Condition::Whole)
    }

    /// Appends an entry whose payload of `length` bytes already stands in the buffer.
    pub(super) fn append(
        &mut self,
        flash: &mut impl Medium,
        (key, version): (u8, u8),
        length: usize,
        buffer: &mut Buffer,
    ) -> Result<(), WriteError> {
        entry::seal(buffer, key, version, length).ok_or(WriteError::TooLong)?;
        self.write(flash, buffer, length, Writer::Anybody)
    }

    #[inline(never)]
    fn write(
        &mut self,
        flash: &mut impl Medium,
        entry: &Buffer,
        length: usize,
        writer: Writer,
    ) -> Result<(), WriteError> {
        let size = entry::size(&self.shape, length);
        for _ in 0..TRIES {
            let active = self.place(flash, size, writer)?;
            if entry::put(flash, &self.shape, active.at, entry, length) {
                self.active = Some(Active {
                    at: active.at.wrapping_add(size),
                    ..active
                });
                return Ok(());
            }
            self.pass_over(flash, active);
        }
        Err(WriteError::Flash)
    }

    /// Where an entry of this size goes, a spare sector begun for it where need be.
    #[inline(never)]
    fn place(
        &mut self,
        flash: &mut impl Medium,
        size: u32,
        writer: Writer,
    ) -> Result<Active, WriteError> {
        let kept = u16::from(writer == Writer::Anybody);
        if let Some(active) = self.active
            && self.spare >= kept
            && self.left() >= size
        {
            return Ok(active);
        }
        if self.spare <= kept {
            return Err(WriteError::Full);
        }
        let from = self
            .active
            .map_or(0, |active| active.sector.wrapping_add(1));
        let sector = self
            .first(flash, from, Sector::Spare)
            .ok_or(WriteError::Full)?;
        self.spare = self.spare.saturating_sub(1);
        let begun = Begun {
            sequence: self.sequence,
            number: self.number,
        };
        if !sector::begin(flash, &self.shape, sector, begun) {
            self.unready = self.unready.saturating_add(1);
            return Err(WriteError::Flash);
        }
        self.sequence = self.sequence.saturating_add(1);
        let active = Active {
            sector,
            at: self.shape.body(sector),
        };
        self.active = Some(active);
        Ok(active)
    }

    /// Goes on where a later walk would.
    fn pass_over(&mut self, flash: &mut impl Medium, active: Active) {
        let end = self.shape.end(active.sector);
        let mut walk = Walk::new(self.shape.body(active.sector), end);
        while walk.next(flash, &self.shape).is_some() {}
        // Where nothing was taken a walk would end: whatever lay behind it would be lost.
        let at = if walk.at > active.at { walk.at } else { end };
        self.active = Some(Active { at, ..active });
    }

    /// Bytes left in the sector being written.
    fn left(&self) -> u32 {
        self.active.map_or(0, |active| {
            self.shape.end(active.sector).saturating_sub(active.at)
        })
    }

    /// Bytes that can be written before a pause is needed.
    pub(super) fn free(&self) -> u32 {
        match self.spare.checked_sub(1) {
            Some(spare) => self
                .left()
                .wrapping_add(self.shape.room().wrapping_mul(u32::from(spare))),
            None => 0,
        }
    }

    /// Whether [`Log::tidy`] has anything to do.
    #[inline(never)]
    pub(super) fn is_untidy(&self) -> bool {
        let sectors = u32::from(self.shape.sectors.wrapping_sub(1));
        let wanted = self.shape.room().wrapping_mul(sectors);
        self.unready > 0 || self.free() < wanted.checked_div(FREE_PART).unwrap_or(0)
    }

    /// Erases one sector where that is needed.
    #[inline(never)]
    pub(super) fn tidy(&mut self, flash: &mut impl Medium) -> Result<Tidied, WriteError> {
        if !self.is_untidy() {
            return Ok(Tidied::Nothing);
        }
        if self.unready > 0 {
            self.unready = self.unready.saturating_sub(1);
            if let Some(sector) = self.first(flash, self.tried, Sector::Unready) {
                self.tried = sector.wrapping_add(1);
                return self.erase(flash, sector);
            }
        }
        let Some((oldest, begun)) = self.oldest(flash, self.worn) else {
            return Ok(Tidied::Nothing);
        };
        if self.active.is_some_and(|active| active.sector == oldest) {
            // It happens where all others but one are worn.
            if self.left() >= ENTRY_MAX as u32 {
                return Ok(Tidied::Nothing);
            }
            self.active = None;
            self.place(flash, ENTRY_MAX as u32, Writer::Carrying)?;
        }
        self.carry_over(flash, oldest)?;
        let erased = self.erase(flash, oldest);
        if erased.is_err() {
            self.worn = begun.sequence.saturating_add(1);
        }
        erased
    }

    /// A worn sector stays as it is until the next start; the others have to do.
    fn erase(&mut self, flash: &mut impl Medium, sector: u16) -> Result<Tidied, WriteError> {
        if sector::erase(flash, &self.shape, sector) {
            self.spare = self.spare.saturating_add(1);
            Ok(Tidied::Erased)
        } else {
            Err(WriteError::Flash)
        }
    }

    /// Appends what is valid in the oldest sector and nowhere else.
    #[inline(never)]
    fn carry_over(&mut self, flash: &mut impl Medium, oldest: u16) -> Result<(), WriteError> {
        let mut last = [NOWHERE; RECORDS as usize];
        self.find_last(flash, 0, &mut last);
        let mut walk = self.walk(oldest);
        while let Some(placed) = walk.next(flash, &self.shape) {
            let mut buffer = EMPTY;
            if last.get(usize::from(placed.head.key)) == Some(&placed.at)
                && entry::load(flash, &placed, &mut buffer)
            {
                let length = usize::from(placed.head.length);
                self.write(flash, &buffer, length, Writer::Carrying)?;
            }
        }
        Ok(())
    }

    /// Where the last valid entry of each key lies, for as many keys from `first` on as `last`
    /// takes.
    #[inline(never)]
    fn find_last(&self, flash: &mut impl Medium, first: u8, last: &mut [u32]) {
        let mut least = Some(0);
        while let Some((sector, begun)) = least.and_then(|least| self.oldest(flash, least)) {
            let mut walk = self.walk(sector);
            while let Some(placed) = walk.next(flash, &self.shape) {
                let index = usize::from(placed.head.key.wrapping_sub(first));
                if let Some(place) = last.get_mut(index)
                    && entry::is_whole(flash, &placed)
                {
                    *place = placed.at;
                }
            }
            least = begun.sequence.checked_add(1);
        }
    }

    /// The last valid entry of a state, read into the buffer; its version and length.
    pub(super) fn find(
        &self,
        flash: &mut impl Medium,
        key: u8,
        buffer: &mut Buffer,
    ) -> Option<(u8, usize)> {
        let mut last = [NOWHERE];
        self.find_last(flash, key, &mut last);
        let [at] = last;
        // An entry is found where it is looked for, and nothing at the end of all addresses.
        let placed = Walk::new(at, at.saturating_add(ENTRY_MAX as u32)).next(flash, &self.shape)?;
        entry::load(flash, &placed, buffer)
            .then_some((placed.head.version, usize::from(placed.head.length)))
    }

    /// All of a sector.
    pub(super) fn walk(&self, sector: u16) -> Walk {
        Walk::new(self.shape.body(sector), self.shape.end(sector))
    }

    /// The oldest sector in use whose sequence is at least `least`.
    #[inline(never)]
    pub(super) fn oldest(&self, flash: &mut impl Medium, least: u32) -> Option<(u16, Begun)> {
        let mut found: Option<(u16, Begun)> = None;
        for sector in 0..self.shape.sectors {
            if let Sector::Used(begun) = sector::look(flash, &self.shape, sector)
                && begun.sequence >= least
                && found.is_none_or(|(_, found)| begun.sequence < found.sequence)
            {
                found = Some((sector, begun));
            }
        }
        found
    }

    /// The first sector of this kind, in the order in which they lie, from `from` on.
    #[inline(never)]
    fn first(&self, flash: &mut impl Medium, from: u16, kind: Sector) -> Option<u16> {
        let sectors = self.shape.sectors;
        let mut sector = from;
        for _ in 0..sectors {
            if sector >= sectors {
                sector = 0;
            }
            if sector::look(flash, &self.shape, sector) == kind {
                return Some(sector);
            }
            sector = sector.wrapping_add(1);
        }
        None
    }
}
