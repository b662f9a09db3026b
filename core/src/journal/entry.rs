//! One entry: what stands in front of its payload, and how a sector is walked.
//!
//! | bytes | what |
//! |---|---|
//! | 1 | key: what it is, see [`super::Kind`] |
//! | 1 | version of the payload |
//! | 1 | length of the payload |
//! | 1 | how many bits of these three are 0 |
//! | 4 | CRC-32 (ISO-HDLC, as zip and PNG use) of these four bytes and the payload |
//!
//! The count of zeros is Berger's code (J. M. Berger, Information and Control 4(1), 1961): it
//! finds every error in which bits went one way only, and a write that was cut off leaves ones
//! where zeros belong, never the other way round. So a head that was cut off is always seen, and
//! since words are written in their order nothing lies behind it: the walk goes one step on. A
//! payload that was cut off is seen by its CRC and passed over by its length.
//!
//! A head damaged otherwise has a payload behind it. Until the walk has found its way, only an
//! entry whose CRC is right counts.

use super::flash::{ERASED, Medium, Shape, stream, write};
use super::limits::{ENTRY_MAX, HEAD, PAYLOAD_MAX, STEP_MIN, WORD_MAX};
use crate::codec::CRC_32;

/// What stands in front of a payload.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Head {
    pub key: u8,
    pub version: u8,
    pub length: u8,
    crc: u32,
}

/// An entry and where it lies.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Placed {
    pub at: u32,
    pub head: Head,
}

impl Head {
    fn parse(bytes: [u8; HEAD]) -> Option<Self> {
        let [key, version, length, check, a, b, c, d] = bytes;
        let whole = check == zeros(key, version, length) && usize::from(length) <= PAYLOAD_MAX;
        whole.then_some(Self {
            key,
            version,
            length,
            crc: u32::from_le_bytes([a, b, c, d]),
        })
    }

    /// What the entry takes.
    pub(super) fn size(&self, shape: &Shape) -> u32 {
        size(shape, usize::from(self.length))
    }
}

/// What an entry with such a payload takes.
pub(super) const fn size(shape: &Shape, payload: usize) -> u32 {
    shape.whole(HEAD.wrapping_add(payload) as u32)
}

/// How many of their bits are 0.
#[inline(never)]
fn zeros(key: u8, version: u8, length: u8) -> u8 {
    u32::from_le_bytes([key, version, length, 0xFF]).count_zeros() as u8
}

/// An entry being put together; its payload begins after [`HEAD`] bytes.
pub(super) type Buffer = [u8; ENTRY_MAX];

/// An empty one.
pub(super) const EMPTY: Buffer = [ERASED; ENTRY_MAX];

/// Puts the head before the payload.
#[inline(never)]
pub(super) fn seal(entry: &mut Buffer, key: u8, version: u8, length: usize) -> Option<()> {
    let length = u8::try_from(length).ok()?;
    let zeros = zeros(key, version, length);
    let payload = entry.get(HEAD..HEAD.wrapping_add(usize::from(length)))?;
    let [a, b, c, d] = crc_of([key, version, length, zeros], payload).to_le_bytes();
    *entry.first_chunk_mut()? = [key, version, length, zeros, a, b, c, d];
    Some(())
}

fn crc_of(front: [u8; 4], payload: &[u8]) -> u32 {
    let mut sum = CRC_32.digest();
    sum.update(&front);
    sum.update(payload);
    sum.finalize()
}

/// Writes a sealed entry whose payload has so many bytes; what lies behind it is 0xFF.
///
/// Head first, and only once that stands there the rest: a head that did not come out right has
/// nothing behind it.
pub(super) fn put(
    flash: &mut impl Medium,
    shape: &Shape,
    at: u32,
    entry: &Buffer,
    length: usize,
) -> bool {
    let first = shape.whole(HEAD as u32);
    let head = entry.get(..first as usize).unwrap_or(&[]);
    let all = size(shape, length) as usize;
    let rest = entry.get(first as usize..all).unwrap_or(&[]);
    write(flash, at, head) && (rest.is_empty() || write(flash, at.wrapping_add(first), rest))
}

/// The CRC of the payload is right.
#[inline(never)]
pub(super) fn is_whole(flash: &mut impl Medium, placed: &Placed) -> bool {
    let Head {
        key,
        version,
        length,
        crc,
    } = placed.head;
    let mut sum = CRC_32.digest();
    sum.update(&[key, version, length, zeros(key, version, length)]);
    let from = placed.at.wrapping_add(HEAD as u32);
    stream(flash, from, u32::from(length), &mut sum) && sum.finalize() == crc
}

/// Reads an entry as it was sealed; `false` when its CRC is wrong.
#[inline(never)]
pub(super) fn load(flash: &mut impl Medium, placed: &Placed, entry: &mut Buffer) -> bool {
    *entry = EMPTY;
    let all = HEAD.wrapping_add(usize::from(placed.head.length));
    is_whole(flash, placed)
        && entry
            .get_mut(..all.next_multiple_of(STEP_MIN))
            .is_some_and(|place| flash.read(placed.at, place))
}

/// A walk over the entries between two places.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Walk {
    pub at: u32,
    to: u32,
    astray: bool,
}

impl Walk {
    /// From `at`, where an entry begins or may begin, to the end of its sector.
    pub(super) const fn new(at: u32, to: u32) -> Self {
        Self {
            at,
            to,
            astray: false,
        }
    }

    /// The next entry, its payload not yet checked; afterwards [`Walk::at`] is where the next one
    /// may be written.
    #[inline(never)]
    pub(super) fn next(&mut self, flash: &mut impl Medium, shape: &Shape) -> Option<Placed> {
        let unit = shape.whole(HEAD as u32);
        loop {
            if self.to.saturating_sub(self.at) < unit {
                self.at = self.to;
                return None;
            }
            let mut bytes = [0; WORD_MAX];
            if let Some(bytes) = bytes.get_mut(..unit as usize)
                && flash.read(self.at, bytes)
            {
                if bytes.iter().all(|byte| *byte == ERASED) {
                    return None;
                }
                let head = bytes.first_chunk().and_then(|head| Head::parse(*head));
                if let Some(placed) = head.map(|head| Placed { at: self.at, head }) {
                    let next = self.at.wrapping_add(placed.head.size(shape));
                    if next <= self.to && (!self.astray || is_whole(flash, &placed)) {
                        self.astray = false;
                        self.at = next;
                        return Some(placed);
                    }
                }
            }
            self.astray = true;
            self.at = self.at.wrapping_add(shape.step);
        }
    }
}
