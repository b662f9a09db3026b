//! Records read one after the other, oldest first.

use super::entry::{self, Buffer, Placed, Walk};
use super::flash::Medium;
use super::key::Kind;
use super::limits::HEAD;
use super::log::Log;

/// Bytes of a record's number, in front of its payload.
pub(super) const NUMBER: usize = 4;

/// Where a walk over the records stands.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub(super) struct Reached {
    /// The sector, by its sequence.
    sequence: u32,
    /// How far into it; 0 before its first entry.
    within: u32,
    /// No record before this number.
    pub(super) number: u32,
}

impl Reached {
    /// Before the record of this number.
    pub(super) fn since(number: u32) -> Self {
        Self {
            number,
            ..Self::default()
        }
    }
}

/// A record in the buffer.
pub(super) struct Found {
    pub(super) number: u32,
    pub(super) kind: Kind,
    pub(super) version: u8,
    pub(super) length: usize,
}

impl Log {
    /// The next record; `None` once there is none yet.
    pub(super) fn next(
        &self,
        flash: &mut dyn Medium,
        reached: &mut Reached,
        buffer: &mut Buffer,
    ) -> Option<Found> {
        loop {
            let (sector, begun) = self.oldest(flash, reached.sequence)?;
            if begun.sequence != reached.sequence {
                reached.within = 0;
            }
            reached.sequence = begun.sequence;
            let mut walk = self.walk(sector);
            walk.at = walk.at.saturating_add(reached.within);
            let found = self.next_in(flash, &mut walk, reached.number, buffer);
            reached.within = walk.at.saturating_sub(self.shape.body(sector));
            if let Some(found) = found {
                reached.number = found.number.saturating_add(1);
                return Some(found);
            }
            // In the sector being written more will follow.
            if self.active.is_none_or(|active| active.sector == sector) {
                return None;
            }
            reached.sequence = begun.sequence.checked_add(1)?;
            reached.within = 0;
        }
    }

    fn next_in(
        &self,
        flash: &mut dyn Medium,
        walk: &mut Walk,
        least: u32,
        buffer: &mut Buffer,
    ) -> Option<Found> {
        while let Some(placed) = walk.next(flash, &self.shape) {
            let Some(kind) = Kind::of_record(placed.head.key) else {
                continue;
            };
            let number = number_of(flash, &placed).filter(|number| *number >= least);
            if let Some(number) = number
                && entry::load(flash, &placed, buffer)
            {
                return Some(Found {
                    number,
                    kind,
                    version: placed.head.version,
                    length: usize::from(placed.head.length),
                });
            }
        }
        None
    }
}

/// The number of a record.
pub(super) fn number_of(flash: &mut dyn Medium, placed: &Placed) -> Option<u32> {
    let mut number = [0; NUMBER];
    let long = usize::from(placed.head.length) >= NUMBER;
    (long && flash.read(placed.at.saturating_add(HEAD as u32), &mut number))
        .then(|| u32::from_le_bytes(number))
}
