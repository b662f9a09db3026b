//! The packed sheet in flash: two places, one in use while the other takes a new one.
//!
//! ```text
//! in use | other, anything --prepare, tidy ...--> ready --begin, part ...--> whole --commit--> in use
//! ```
//!
//! A place is half of its flash and begins with a mark that it was erased to its end (8 bytes),
//! then a head (24 bytes): which sheet it is, counted; its length; its CRC-32; the three once more,
//! every bit turned over. Both are rounded up to the words of the flash; the sheet follows in one piece, so that it
//! can be read in place. The head is written last. Until then the sheet before counts, and if the
//! new one is ever found damaged, it counts again.

use core::ops::Range;

use embedded_storage::nor_flash::NorFlash;

use super::Unfit;
use super::flash::{Medium, Shape, is_erased, stream, write};
use super::limits::WORD_MAX;
use super::sector::{Twice, is_marked, read_twice, write_padded};
use crate::codec::CRC_32;
use crate::spec::limits::SHEET_BYTES_MAX;

/// Erased to its end, and the layout of what follows.
const MARK: [u8; 8] = *b"PWSHEET\x01";
const HEAD: usize = 24;

/// Where a sheet lies in its flash, bytes from its beginning.
pub type Span = Range<u32>;

/// Why a sheet is not taken.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub enum PlaceError {
    /// The place is not erased yet: [`SheetPlaces::prepare`], then [`SheetPlaces::tidy`].
    Busy,
    /// Longer than a sheet may be, or than the place.
    Length,
    /// Not the part that comes next, or not a multiple of 32 bytes and not the last.
    Order,
    /// What arrived is not what was announced.
    Checksum,
    /// The flash does not take it.
    Flash,
}

/// The two places.
#[derive(Debug)]
pub struct SheetPlaces<F> {
    flash: F,
    places: Places,
}

#[derive(Clone, Copy, Debug)]
struct Places {
    shape: Shape,
    /// What one place takes, bytes.
    size: u32,
    /// Where in it the head lies.
    head: u32,
    /// Where in it the sheet begins.
    body: u32,
    /// The place in use and its sheet.
    used: Option<(u8, Head)>,
    /// What happens to the other.
    other: Other,
    /// The sheet that was to be in use is not what was taken.
    damaged: bool,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Other {
    /// Nobody has asked for it.
    Left,
    /// Being erased; the next sector of it.
    Erasing(u16),
    /// It could not be erased, which is still to be told.
    Worn,
    /// Erased and empty.
    Ready,
    /// Filled so far.
    Filling { head: Head, filled: u32 },
}

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
struct Head {
    count: u32,
    length: u32,
    crc: u32,
}

impl Head {
    fn read(flash: &mut impl Medium, at: u32) -> Option<Self> {
        let mut figures = [0; 3];
        let whole = matches!(read_twice(flash, at, &mut figures), Twice::Whole);
        let [count, length, crc] = figures;
        whole.then_some(Self { count, length, crc })
    }

    fn write(&self, flash: &mut impl Medium, shape: &Shape, at: u32) -> bool {
        let Self { count, length, crc } = *self;
        let words = [count, length, crc, !count, !length, !crc].map(u32::to_le_bytes);
        write_padded(flash, shape, at, words.as_flattened())
    }
}

impl Places {
    #[inline(never)]
    fn open(flash: &mut impl Medium, shape: Shape) -> Self {
        let head = shape.whole(MARK.len() as u32);
        let mut places = Self {
            shape,
            size: shape.base(shape.sectors >> 1),
            head,
            body: head.wrapping_add(shape.whole(HEAD as u32)),
            used: None,
            other: Other::Left,
            damaged: false,
        };
        let mut newest = None;
        for place in 0..2 {
            // The head is written last: behind it the sheet was whole once.
            let count = Head::read(flash, places.head(place)).map(|head| head.count);
            newest = newest.max(count);
            if let Some(head) = places.look(flash, place)
                && places.used.is_none_or(|(_, used)| head.count >= used.count)
            {
                places.used = Some((place, head));
            }
        }
        places.damaged = newest > places.used.map(|(_, head)| head.count);
        let other = places.other();
        if is_marked(flash, places.base(other), &MARK)
            && is_erased(
                flash,
                places.head(other),
                places.base(other).wrapping_add(places.size),
            )
        {
            places.other = Other::Ready;
        }
        places
    }

    /// The sheet of a place, where it is whole.
    fn look(&self, flash: &mut impl Medium, place: u8) -> Option<Head> {
        let head = Head::read(flash, self.head(place))?;
        (head.length <= self.room() && self.is_whole(flash, place, &head)).then_some(head)
    }

    fn is_whole(&self, flash: &mut impl Medium, place: u8, head: &Head) -> bool {
        let mut sum = CRC_32.digest();
        stream(flash, self.body(place), head.length, &mut sum) && sum.finalize() == head.crc
    }

    fn other(&self) -> u8 {
        self.used.map_or(0, |(used, _)| 1 ^ used)
    }

    fn base(&self, place: u8) -> u32 {
        if place == 0 { 0 } else { self.size }
    }

    fn head(&self, place: u8) -> u32 {
        self.base(place).wrapping_add(self.head)
    }

    fn body(&self, place: u8) -> u32 {
        self.base(place).wrapping_add(self.body)
    }

    /// The longest sheet.
    fn room(&self) -> u32 {
        let place = self.size.saturating_sub(self.body);
        place.min(SHEET_BYTES_MAX as u32)
    }

    fn span(&self, place: u8, head: &Head) -> Span {
        let body = self.body(place);
        body..body.wrapping_add(head.length)
    }

    #[inline(never)]
    fn tidy(&mut self, flash: &mut impl Medium) -> Result<bool, PlaceError> {
        let Other::Erasing(done) = self.other else {
            return Ok(false);
        };
        // The first sector first: with it the head is gone, and the rest counts for nothing.
        let other = self.other();
        let from = self.base(other).wrapping_add(self.shape.base(done));
        let next = done.wrapping_add(1);
        // Once tried in vain is enough: each try stops the scale for as long as one that does it.
        self.other = Other::Worn;
        if !flash.erase(from, from.wrapping_add(self.shape.sector)) {
            return Err(PlaceError::Flash);
        }
        self.other = if next < self.shape.sectors >> 1 {
            Other::Erasing(next)
        } else if write_padded(flash, &self.shape, self.base(other), &MARK) {
            Other::Ready
        } else {
            return Err(PlaceError::Flash);
        };
        Ok(true)
    }

    #[inline(never)]
    fn begin(&mut self, length: u32, crc: u32) -> Result<(), PlaceError> {
        if length > self.room() || length == 0 {
            return Err(PlaceError::Length);
        }
        let count = self
            .used
            .map_or(0, |(_, head)| head.count.saturating_add(1));
        let head = Head { count, length, crc };
        match self.other {
            Other::Ready => {
                self.other = Other::Filling { head, filled: 0 };
                Ok(())
            }
            Other::Worn => {
                self.other = Other::Left;
                Err(PlaceError::Flash)
            }
            Other::Left | Other::Erasing(_) | Other::Filling { .. } => Err(PlaceError::Busy),
        }
    }

    #[inline(never)]
    fn part(
        &mut self,
        flash: &mut impl Medium,
        offset: u32,
        bytes: &[u8],
    ) -> Result<(), PlaceError> {
        let Other::Filling { head, filled } = self.other else {
            return Err(PlaceError::Order);
        };
        let length = u32::try_from(bytes.len()).map_err(|_| PlaceError::Length)?;
        let end = offset.checked_add(length).ok_or(PlaceError::Length)?;
        if end > head.length {
            return Err(PlaceError::Length);
        }
        let whole = bytes.len().is_multiple_of(WORD_MAX) || end == head.length;
        if offset != filled || !whole {
            return Err(PlaceError::Order);
        }
        let at = self.body(self.other()).wrapping_add(offset);
        let (words, rest) = bytes.as_chunks::<WORD_MAX>();
        let written = write(flash, at, words.as_flattened());
        let at = at.wrapping_add(words.as_flattened().len() as u32);
        if !written || !(rest.is_empty() || write_padded(flash, &self.shape, at, rest)) {
            self.other = Other::Left;
            return Err(PlaceError::Flash);
        }
        self.other = Other::Filling { head, filled: end };
        Ok(())
    }

    #[inline(never)]
    fn staged(&self, flash: &mut impl Medium) -> Result<Span, PlaceError> {
        let Other::Filling { head, filled } = self.other else {
            return Err(PlaceError::Order);
        };
        if filled < head.length {
            return Err(PlaceError::Order);
        }
        if !self.is_whole(flash, self.other(), &head) {
            return Err(PlaceError::Checksum);
        }
        Ok(self.span(self.other(), &head))
    }

    #[inline(never)]
    fn commit(&mut self, flash: &mut impl Medium) -> Result<Span, PlaceError> {
        let span = self.staged(flash)?;
        let other = self.other();
        if let Other::Filling { head, .. } = self.other {
            self.other = Other::Left;
            if !head.write(flash, &self.shape, self.head(other)) {
                return Err(PlaceError::Flash);
            }
            self.used = Some((other, head));
            self.damaged = false;
        }
        Ok(span)
    }
}

impl<F: NorFlash> SheetPlaces<F> {
    /// Opens what `flash` holds; nothing is written. All of `flash` belongs to the two places, and
    /// half of it is to take [`SHEET_BYTES_MAX`] and 64 bytes.
    ///
    /// # Errors
    /// [`Unfit`].
    pub fn open(mut flash: F) -> Result<Self, Unfit> {
        let shape = Shape::of::<F>(flash.capacity(), 1, 2).ok_or(Unfit)?;
        let places = Places::open(&mut flash, shape);
        Ok(Self { flash, places })
    }

    /// Where the sheet in use lies.
    #[must_use]
    pub fn used(&self) -> Option<Span> {
        let (place, head) = self.places.used?;
        Some(self.places.span(place, &head))
    }

    /// The sheet that was taken last is damaged; the one before counts again, or none.
    #[must_use]
    pub const fn is_damaged(&self) -> bool {
        self.places.damaged
    }

    /// The CRC-32 of the sheet in use. It is the same of all sheets that end with their own
    /// checksum.
    #[must_use]
    pub fn crc(&self) -> Option<u32> {
        self.places.used.map(|(_, head)| head.crc)
    }

    /// Asks for the other place to be erased, unless it is already; what it was filled with so far
    /// is dropped.
    pub fn prepare(&mut self) {
        match self.places.other {
            Other::Left | Other::Worn | Other::Filling { .. } => {
                self.places.other = Other::Erasing(0);
            }
            Other::Erasing(_) | Other::Ready => {}
        }
    }

    /// Whether [`SheetPlaces::tidy`] has anything to do.
    #[must_use]
    pub const fn is_untidy(&self) -> bool {
        matches!(self.places.other, Other::Erasing(_))
    }

    /// Erases at most one sector, where the other place was asked for; `true` when it did. To be
    /// called only while nothing is poured.
    ///
    /// # Errors
    /// [`PlaceError::Flash`]: it is not tried again until it is prepared anew.
    pub fn tidy(&mut self) -> Result<bool, PlaceError> {
        self.places.tidy(&mut self.flash)
    }

    /// Announces a sheet by its length in bytes and its CRC-32 (ISO-HDLC).
    ///
    /// # Errors
    /// [`PlaceError::Length`]; [`PlaceError::Busy`]; [`PlaceError::Flash`] where the place could not
    /// be erased, told once: it may be prepared again.
    pub fn begin(&mut self, length: u32, crc: u32) -> Result<(), PlaceError> {
        self.places.begin(length, crc)
    }

    /// Takes the part that begins at `offset`; all but the last are multiples of 32 bytes.
    ///
    /// # Errors
    /// [`PlaceError::Length`], [`PlaceError::Order`]: nothing has changed.
    /// [`PlaceError::Flash`]: to be prepared and begun again.
    pub fn part(&mut self, offset: u32, bytes: &[u8]) -> Result<(), PlaceError> {
        self.places.part(&mut self.flash, offset, bytes)
    }

    /// How much of the announced sheet has arrived, bytes.
    #[must_use]
    pub const fn filled(&self) -> u32 {
        match self.places.other {
            Other::Filling { filled, .. } => filled,
            Other::Left | Other::Erasing(_) | Other::Worn | Other::Ready => 0,
        }
    }

    /// Where the new sheet lies once it is whole, so that it can be read before it is used.
    ///
    /// # Errors
    /// [`PlaceError::Order`] while parts are missing; [`PlaceError::Checksum`].
    pub fn staged(&mut self) -> Result<Span, PlaceError> {
        self.places.staged(&mut self.flash)
    }

    /// The first eight bytes of the new sheet and its last four, its own checksum.
    ///
    /// # Errors
    /// As [`SheetPlaces::staged`], and [`PlaceError::Flash`].
    pub fn ends(&mut self) -> Result<([u8; 8], u32), PlaceError> {
        let span = self.staged()?;
        let (mut first, mut last) = ([0; 8], [0; 8]);
        // Parts read four bytes at once, from where a multiple of four begins.
        let end = span.end.checked_sub(4).ok_or(PlaceError::Length)?;
        let from = end & !3;
        let read = Medium::read(&mut self.flash, span.start, &mut first)
            && Medium::read(&mut self.flash, from, &mut last);
        let within = last.get(end.wrapping_sub(from) as usize..);
        let word = within.and_then(|within| within.first_chunk());
        match word {
            Some(word) if read => Ok((first, u32::from_le_bytes(*word))),
            Some(_) | None => Err(PlaceError::Flash),
        }
    }

    /// Uses the new sheet from now on; cut off, the one before.
    ///
    /// # Errors
    /// As [`SheetPlaces::staged`], and [`PlaceError::Flash`]; the one before stands.
    pub fn commit(&mut self) -> Result<Span, PlaceError> {
        self.places.commit(&mut self.flash)
    }

    /// The flash, for whoever reads the sheet.
    pub const fn flash(&mut self) -> &mut F {
        &mut self.flash
    }

    /// Gives the flash back.
    pub fn release(self) -> F {
        self.flash
    }
}
