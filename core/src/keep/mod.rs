//! Between the station and its flash: what is kept after each call, and taken up at power-up.
//!
//! The station knows nothing of flash. Whoever drives it calls [`Shelf::keep`] after each
//! [`Station::handle`](crate::Station::handle) and [`Shelf::rest`] whenever there is nothing else to do; flash is erased
//! in there and nowhere else, and only while nothing is poured. Before the first input
//! [`Keeper::power_up`] hands the station what was kept.
//!
//! A drink moves on by two writes: its place first, then the round that lists it. Cut off between
//! the two, the round as it was says what counts
//! ([`RoundState`]).

mod open;
mod power_up;
mod shelf;
mod write;

pub use open::waiting;
pub use shelf::{Shelf, StoreError};

use open::Place;

use embedded_storage::nor_flash::NorFlash;

use crate::journal::limits::{HABITS_MAX, OPEN_MAX};
#[cfg(doc)]
use crate::journal::payload::RoundState;
use crate::journal::payload::{BottleHabit, Moment, Stamp};
use crate::journal::{Condition, Journal, SheetPlaces, Span, Unfit};
use crate::spec::{DrinkId, House};
use crate::station::Shift;
use crate::time::Instant;

/// Has a stretch of the sheets' flash read in place; `None` where that is not possible before the
/// board has restarted, as where the sheet in use was copied to the one place in RAM.
pub type Map<'s, F> = fn(&mut F, Span) -> Option<&'s [u8]>;

/// What is kept of one station.
pub struct Keeper<'s, F> {
    journal: Journal<F>,
    condition: Condition,
    places: SheetPlaces<F>,
    map: Map<'s, F>,
    memory: Memory,
}

/// Whose habit it is: the hand and the bottle's key, where they are known.
type HabitOwner = (Option<u8>, Option<u32>);

/// What the keeper has to remember itself.
struct Memory {
    /// How often the power came on.
    start: u16,
    /// The time that was set, and when.
    clock: Option<(u32, Instant)>,
    /// The low half of the sheet's checksum.
    sheet: u16,
    house: Option<House>,
    shift: Option<Shift>,
    /// The drink that has the pan: what is recorded next is of it.
    on_pan: Option<(u16, DrinkId)>,
    places: [Place; OPEN_MAX as usize],
    /// The round that was written last.
    waiting: u32,
    /// Which habit lies where.
    owners: [Option<HabitOwner>; HABITS_MAX as usize],
    /// The place whose habit gives way next.
    habit_next: u8,
    /// The habit written last.
    taught: Option<BottleHabit>,
    /// The sheet that is to come: length and CRC-32.
    announced: Option<(u32, u32)>,
    /// Another sheet is to be used, which needs a restart.
    restart_due: bool,
    /// The flash held something else, or did not take something, which is still to be told.
    to_tell: bool,
    /// That was told, and not yet read.
    doubted: bool,
    /// What came last could not be written.
    troubled: bool,
}

impl<'s, F: NorFlash> Keeper<'s, F> {
    /// Opens the two pieces of flash; nothing is written yet.
    ///
    /// # Errors
    /// [`Unfit`].
    pub fn open(journal: F, sheets: F, map: Map<'s, F>) -> Result<Self, Unfit> {
        let (journal, condition) = Journal::open(journal)?;
        Ok(Self {
            journal,
            condition,
            places: SheetPlaces::open(sheets)?,
            map,
            memory: Memory::NEW,
        })
    }

    /// What was found in the journal's flash.
    #[must_use]
    pub const fn condition(&self) -> Condition {
        self.condition
    }

    /// The journal.
    pub const fn journal(&mut self) -> &mut Journal<F> {
        &mut self.journal
    }

    /// The flash of the sheets.
    pub const fn sheets(&mut self) -> &mut F {
        self.places.flash()
    }

    /// Gives both pieces of flash back, the journal's first.
    pub fn release(self) -> (F, F) {
        (self.journal.release(), self.places.release())
    }
}

impl Memory {
    const NEW: Self = Self {
        start: 0,
        clock: None,
        sheet: 0,
        house: None,
        shift: None,
        on_pan: None,
        places: [Place::FREE; OPEN_MAX as usize],
        waiting: 0,
        owners: [None; HABITS_MAX as usize],
        habit_next: 0,
        taught: None,
        announced: None,
        restart_due: false,
        to_tell: false,
        doubted: false,
        troubled: false,
    };

    /// The time of day, where it was set.
    fn utc(&self, now: Instant) -> Option<u32> {
        let (utc, set) = self.clock?;
        Some(utc.saturating_add(now.seconds_since(set) as u32))
    }

    fn stamp(&self, now: Instant) -> Stamp {
        Stamp {
            start: self.start,
            at: match self.utc(now) {
                Some(utc) => Moment::Utc(utc),
                None => Moment::SincePowerUp(now.tenths()),
            },
            sheet: self.sheet,
        }
    }
}
