//! Records read one after the other, oldest first.

use super::entry::{self, Buffer, Placed};
use super::flash::{Medium, word};
use super::key::Kind;
use super::limits::HEAD;
use super::log::Log;
use super::{ReadError, Record};

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

/// A record as it was kept.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Kept<'b> {
    /// Its number.
    pub number: u32,
    /// What it is.
    pub kind: Kind,
    /// The version of its payload.
    pub version: u8,
    /// Its payload.
    pub payload: &'b [u8],
}

impl Kept<'_> {
    /// What it says.
    ///
    /// # Errors
    /// [`ReadError`].
    pub fn record(&self) -> Result<Record, ReadError> {
        Record::decode(self.kind, self.version, self.payload)
    }
}

/// Where the payload of a record begins in its entry.
const PAYLOAD: usize = HEAD + NUMBER;

impl Log {
    /// The next record; `None` once there is none yet.
    #[inline(never)]
    pub(super) fn next<'b>(
        &self,
        flash: &mut impl Medium,
        reached: &mut Reached,
        buffer: &'b mut Buffer,
    ) -> Option<Kept<'b>> {
        let (number, kind, placed) = self.reach(flash, reached, buffer)?;
        let end = HEAD.wrapping_add(usize::from(placed.head.length));
        Some(Kept {
            number,
            kind,
            version: placed.head.version,
            payload: buffer.get(PAYLOAD..end).unwrap_or(&[]),
        })
    }

    fn reach(
        &self,
        flash: &mut impl Medium,
        reached: &mut Reached,
        buffer: &mut Buffer,
    ) -> Option<(u32, Kind, Placed)> {
        loop {
            let (sector, begun) = self.oldest(flash, reached.sequence)?;
            if begun.sequence != reached.sequence {
                *reached = Reached {
                    sequence: begun.sequence,
                    within: 0,
                    ..*reached
                };
            }
            let mut walk = self.walk(sector);
            walk.at = walk.at.saturating_add(reached.within);
            while let Some(placed) = walk.next(flash, &self.shape) {
                reached.within = walk.at.wrapping_sub(self.shape.body(sector));
                if let Some(kind) = Kind::of_record(placed.head.key)
                    && let Some(number) = number_of(flash, &placed)
                    && number >= reached.number
                    && entry::load(flash, &placed, buffer)
                {
                    reached.number = number.saturating_add(1);
                    return Some((number, kind, placed));
                }
            }
            // In the sector being written more will follow.
            if self.active.is_none_or(|active| active.sector == sector) {
                return None;
            }
            reached.sequence = begun.sequence.checked_add(1)?;
            reached.within = 0;
        }
    }
}

/// The number of a record.
pub(super) fn number_of(flash: &mut impl Medium, placed: &Placed) -> Option<u32> {
    let long = usize::from(placed.head.length) >= NUMBER;
    word(flash, placed.at.wrapping_add(HEAD as u32)).filter(|_| long)
}
