//! What a link asks of a keeper, whatever flash it has.

use embedded_storage::nor_flash::NorFlash;

use super::open::matters;
use super::{Keeper, Refused};
use crate::input::{Command, Input};
use crate::journal::limits::ENTRY_MAX;
use crate::journal::payload::{CalibrationV1, HouseV1, Seen};
use crate::journal::{Cursor, Kind, PlaceError, Tidied, WriteError};
use crate::output::{Fault, Outputs};
use crate::spec::limits::SHEET_BYTES_MAX;
use crate::spec::{House, Sheet};
use crate::station::Station;
use crate::time::Instant;

/// Bytes before the payload of a record told over a link: number, kind, version, length.
const RECORD_HEAD: usize = 7;

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
    /// [`Refused::Busy`] until its place is erased; [`Refused::Length`].
    fn announce(&mut self, length: u32, crc: u32) -> Result<u32, Refused>;

    /// A part of it; how much has come.
    ///
    /// # Errors
    /// [`Refused`]: nothing has changed, or it is to be announced again.
    fn part(&mut self, offset: u32, bytes: &[u8]) -> Result<u32, Refused>;

    /// The sheet that has come, of this checksum, is used from now on.
    ///
    /// # Errors
    /// [`Refused`]: the one before stands.
    fn take(&mut self, checksum: u32, station: &mut Station<'s>) -> Result<(), Refused>;

    /// Records from `since` on, one after the other, as many as fit; their bytes, where to go on,
    /// and the number of the next new one.
    fn records(&mut self, since: u32, into: &mut [u8]) -> (usize, u32, u32);

    /// Keeps a calibration that can be used.
    ///
    /// # Errors
    /// [`Refused::Flash`].
    fn calibrated(&mut self, line: CalibrationV1) -> Result<(), Refused>;

    /// Keeps house measures: their form and what it means.
    ///
    /// # Errors
    /// [`Refused::Flash`].
    fn measured(&mut self, form: HouseV1, house: House) -> Result<(), Refused>;

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
            let _ = self.journal.log(&Seen { stamp, fault });
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

    fn announce(&mut self, length: u32, crc: u32) -> Result<u32, Refused> {
        let same = self.memory.announced == Some((length, crc));
        match self.places.begin(length, crc) {
            Ok(()) => self.memory.announced = Some((length, crc)),
            // Asked again because the answer was lost.
            Err(PlaceError::Busy) if same && self.places.filled() == 0 => {}
            Err(PlaceError::Busy) => {
                self.memory.announced = None;
                self.places.prepare();
                return Err(Refused::Busy);
            }
            Err(why) => return Err(refused(why)),
        }
        Ok(0)
    }

    fn part(&mut self, offset: u32, bytes: &[u8]) -> Result<u32, Refused> {
        let filled = self.places.filled();
        let again = offset.saturating_add(bytes.len() as u32) == filled;
        match self.places.part(offset, bytes) {
            Ok(()) => Ok(self.places.filled()),
            Err(PlaceError::Order) if again && filled > 0 => Ok(filled),
            Err(PlaceError::Order) => Err(Refused::Part(filled)),
            Err(why) => {
                // It has to be announced again, and its place erased.
                self.memory.announced = None;
                Err(refused(why))
            }
        }
    }

    fn take(&mut self, checksum: u32, station: &mut Station<'s>) -> Result<(), Refused> {
        if station.sheet().is_some_and(|it| it.checksum() == checksum) {
            return Ok(());
        }
        if station.round().is_some_and(|round| !round.is_empty()) {
            return Err(Refused::Open);
        }
        let span = self.places.staged().map_err(refused)?;
        let bytes = (self.map)(self.places.flash(), span);
        let sheet = Sheet::new(bytes).map_err(|_| Refused::Sheet(u32::from(u8::MAX)))?;
        sheet
            .check()
            .map_err(|drink| Refused::Sheet(u32::from(drink)))?;
        if sheet.checksum() != checksum {
            return Err(Refused::Checksum);
        }
        self.memory.announced = None;
        self.places.commit().map_err(refused)?;
        self.hand_over(station, sheet);
        // Bottles go by other numbers now: what was taught of each is found by its name.
        station.forget_hands();
        self.teach(station, &sheet);
        Ok(())
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

    fn calibrated(&mut self, line: CalibrationV1) -> Result<(), Refused> {
        let mut line = line;
        self.journal
            .keep(Kind::Calibration, 0, &mut line)
            .map_err(not_kept)
    }

    fn measured(&mut self, form: HouseV1, house: House) -> Result<(), Refused> {
        let mut form = form;
        self.journal
            .keep(Kind::House, 0, &mut form)
            .map_err(not_kept)?;
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

fn refused(why: PlaceError) -> Refused {
    match why {
        PlaceError::Busy => Refused::Busy,
        PlaceError::Length => Refused::Length(SHEET_BYTES_MAX as u32),
        PlaceError::Order => Refused::Part(0),
        PlaceError::Checksum => Refused::Checksum,
        PlaceError::Flash => Refused::Flash,
    }
}

fn not_kept(why: WriteError) -> Refused {
    match why {
        WriteError::Full => Refused::Busy,
        WriteError::TooLong | WriteError::Flash => Refused::Flash,
    }
}
