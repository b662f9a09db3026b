//! What a link asks of a keeper, whatever flash it has.

use embedded_storage::nor_flash::NorFlash;
use serde::{Deserialize, Serialize};

use super::Keeper;
use super::open::matters;
use crate::input::{Command, Input};
use crate::journal::limits::ENTRY_MAX;
use crate::journal::payload::FaultSeen;
use crate::journal::{Cursor, PlaceError, Tidied, WriteError};
use crate::output::{Fault, Outputs};
use crate::spec::limits::SHEET_BYTES_MAX;
use crate::spec::{DrinkId, House, Sheet};
use crate::station::Station;
use crate::time::Instant;
use crate::weigh::Calibration;

/// Bytes before the payload of a record told over a link: number, kind, version, length.
const RECORD_HEAD: usize = 7;

/// Why the store does not do what a host requests, with the bound that was crossed.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub enum StoreError {
    /// Flash is being made ready, which waits until nothing is poured: request it again.
    Busy,
    /// A sheet of more than this many bytes, or of none.
    Length(u32),
    /// The part that begins at this byte is the next.
    Part(u32),
    /// What arrived is not what was announced.
    Checksum,
    /// The flash does not write.
    Flash,
    /// No sheet of this firmware: the first drink that cannot be read, none where it is a liquid
    /// or the house.
    Sheet(Option<DrinkId>),
    /// Orders wait or are under way: finish or void them first.
    Open,
}

/// What a link asks of a keeper.
pub trait Shelf<'s> {
    /// Keeps what one call of [`Station::handle`] brought; to be called after each. Never erases:
    /// a few milliseconds at most. The first time something cannot be kept it adds the fault.
    fn keep(&mut self, input: &Input, out: &mut Outputs, station: &mut Station<'_>);

    /// Erases at most one sector where that is due and nothing is poured; `true` when it did.
    fn rest(&mut self, station: &Station<'s>) -> bool;

    /// How often the power came on.
    fn start(&self) -> u16;

    /// A packed sheet of this length and CRC-32 is to come.
    ///
    /// # Errors
    /// [`StoreError::Busy`] until its place is erased; [`StoreError::Length`].
    fn announce(&mut self, length: u32, crc: u32) -> Result<u32, StoreError>;

    /// A part of it; how much has come.
    ///
    /// # Errors
    /// [`StoreError`]: nothing has changed, or it is to be announced again.
    fn part(&mut self, offset: u32, bytes: &[u8]) -> Result<u32, StoreError>;

    /// The sheet that has come, of this checksum, is used from now on.
    ///
    /// # Errors
    /// [`StoreError`]: the one before stands.
    fn take(&mut self, checksum: u32, station: &mut Station<'s>) -> Result<(), StoreError>;

    /// A sheet that was accepted is used once the board has restarted; until then nothing else is
    /// to be done.
    fn is_restart_due(&self) -> bool;

    /// Records from `since` on, one after the other, as many as fit; their bytes, where to go on,
    /// and the number of the next new one.
    fn records(&mut self, since: u32, into: &mut [u8]) -> (usize, u32, u32);

    /// Stores a calibration that can be used.
    ///
    /// # Errors
    /// [`StoreError::Flash`].
    fn calibrated(&mut self, calibration: &Calibration) -> Result<(), StoreError>;

    /// Stores house measures.
    ///
    /// # Errors
    /// [`StoreError::Flash`].
    fn measured(&mut self, house: House) -> Result<(), StoreError>;

    /// The house measures that were set.
    fn house(&self) -> Option<House>;

    /// The clock is set: seconds since 1970.
    fn set_clock(&mut self, utc: u32, now: Instant);

    /// The clock, where it was set.
    fn utc(&self, now: Instant) -> Option<u32>;
}

impl<'s, F: NorFlash> Shelf<'s> for Keeper<'s, F> {
    fn keep(&mut self, input: &Input, out: &mut Outputs, station: &mut Station<'_>) {
        if matters(input, out) {
            let mut written = self.write(out, station);
            if *input == Input::Command(Command::Forget) {
                written = written.and(self.forget_habits());
            }
            self.memory.to_tell |= written.is_err() && !self.memory.troubled;
            self.memory.troubled = written.is_err();
        }
        // One fault a call: the other one first.
        if self.memory.to_tell && out.fault.is_none() {
            self.memory.to_tell = false;
            self.memory.doubted = true;
            let fault = Fault::Memory;
            out.fault = Some(fault);
            station.call();
            let stamp = self.memory.stamp(station.now());
            // Where nothing is taken any more there is nobody else to tell.
            let _ = self.journal.log(&FaultSeen { stamp, fault });
        }
        if self.memory.doubted {
            // Read: the next glass stands there, or a hand rested on the pan.
            self.memory.doubted = station.doubt_memory(out.pressed || out.placed.is_some());
        }
    }

    fn rest(&mut self, station: &Station<'s>) -> bool {
        if !station.is_paused() {
            return false;
        }
        if self.places.is_untidy() {
            return self.places.tidy().is_ok();
        }
        self.journal.is_untidy() && self.journal.tidy() == Ok(Tidied::Erased)
    }

    fn start(&self) -> u16 {
        self.memory.start
    }

    fn announce(&mut self, length: u32, crc: u32) -> Result<u32, StoreError> {
        let same = self.memory.announced == Some((length, crc));
        match self.places.begin(length, crc) {
            Ok(()) => self.memory.announced = Some((length, crc)),
            // Asked again because the answer was lost.
            Err(PlaceError::Busy) if same && self.places.filled() == 0 => {}
            Err(PlaceError::Busy) => {
                self.memory.announced = None;
                self.places.prepare();
                return Err(StoreError::Busy);
            }
            Err(why) => return Err(place_error(why)),
        }
        Ok(0)
    }

    fn part(&mut self, offset: u32, bytes: &[u8]) -> Result<u32, StoreError> {
        let filled = self.places.filled();
        let again = offset.saturating_add(bytes.len() as u32) == filled;
        match self.places.part(offset, bytes) {
            Ok(()) => Ok(self.places.filled()),
            Err(PlaceError::Order) if again && filled > 0 => Ok(filled),
            Err(PlaceError::Order) => Err(StoreError::Part(filled)),
            Err(why) => {
                // It has to be announced again, and its place erased.
                self.memory.announced = None;
                Err(place_error(why))
            }
        }
    }

    fn take(&mut self, checksum: u32, station: &mut Station<'s>) -> Result<(), StoreError> {
        if station.sheet().is_some_and(|it| it.checksum() == checksum) {
            return Ok(());
        }
        if station.round().is_some_and(|round| !round.is_empty()) {
            return Err(StoreError::Open);
        }
        let span = self.places.staged().map_err(place_error)?;
        let Some(bytes) = (self.map)(self.places.flash(), span) else {
            // It is read whole after the restart; until then its frame has to do.
            if !station.is_paused() {
                return Err(StoreError::Busy);
            }
            let (begins, ends) = self.places.ends().map_err(place_error)?;
            if !Sheet::is_begun_by(begins) {
                return Err(StoreError::Sheet(None));
            }
            if ends != checksum {
                return Err(StoreError::Checksum);
            }
            self.places.commit().map_err(place_error)?;
            self.memory.restart_due = true;
            return Ok(());
        };
        let sheet = Sheet::new(bytes).map_err(|_| StoreError::Sheet(None))?;
        sheet.check().map_err(StoreError::Sheet)?;
        if sheet.checksum() != checksum {
            return Err(StoreError::Checksum);
        }
        self.memory.announced = None;
        self.places.commit().map_err(place_error)?;
        self.hand_over(station, sheet);
        // Bottles go by other numbers now: what was taught of each is found by its name.
        station.forget_hands();
        self.teach(station, &sheet);
        Ok(())
    }

    fn is_restart_due(&self) -> bool {
        self.memory.restart_due
    }

    fn records(&mut self, since: u32, into: &mut [u8]) -> (usize, u32, u32) {
        let mut cursor = Cursor::since(since);
        let mut buffer = [0; ENTRY_MAX];
        let mut used = 0usize;
        let mut next = since;
        while let Some(kept) = self.journal.next(&mut cursor, &mut buffer) {
            let end = used
                .saturating_add(RECORD_HEAD)
                .saturating_add(kept.payload.len());
            let Some(place) = into.get_mut(used..end) else {
                break;
            };
            let [a, b, c, d] = kept.number.to_le_bytes();
            let length = kept.payload.len() as u8;
            let told = [a, b, c, d, kept.kind.number(), kept.version, length];
            for (place, byte) in place.iter_mut().zip(told.iter().chain(kept.payload)) {
                *place = *byte;
            }
            used = end;
            next = kept.number.saturating_add(1);
        }
        (used, next, self.journal.next_number())
    }

    fn calibrated(&mut self, calibration: &Calibration) -> Result<(), StoreError> {
        self.journal.put(0, calibration).map_err(not_written)
    }

    fn measured(&mut self, house: House) -> Result<(), StoreError> {
        self.journal.put(0, &house).map_err(not_written)?;
        self.memory.house = Some(house);
        Ok(())
    }

    fn house(&self) -> Option<House> {
        self.memory.house
    }

    fn set_clock(&mut self, utc: u32, now: Instant) {
        self.memory.clock = Some((utc, now));
    }

    fn utc(&self, now: Instant) -> Option<u32> {
        self.memory.utc(now)
    }
}

fn place_error(why: PlaceError) -> StoreError {
    match why {
        PlaceError::Busy => StoreError::Busy,
        PlaceError::Length => StoreError::Length(SHEET_BYTES_MAX as u32),
        PlaceError::Order => StoreError::Part(0),
        PlaceError::Checksum => StoreError::Checksum,
        PlaceError::Flash => StoreError::Flash,
    }
}

fn not_written(why: WriteError) -> StoreError {
    match why {
        WriteError::Full => StoreError::Busy,
        WriteError::TooLong | WriteError::Flash => StoreError::Flash,
    }
}
