//! What the journal may hold, with the reason for each figure.

/// Most payload bytes of one entry: with the eight bytes in front of it an entry is at most 256.
pub const PAYLOAD_MAX: usize = 248;

/// Bytes in front of a payload: key, version, length, check, CRC-32.
pub(super) const HEAD: usize = 8;

/// The longest entry.
pub const ENTRY_MAX: usize = HEAD + PAYLOAD_MAX;

/// The widest word a part writes at once, bytes: 4 or 8 on most microcontrollers, up to 32.
pub(super) const WORD_MAX: usize = 32;

/// Entries begin at multiples of this, or of the word where that is wider.
pub(super) const STEP_MIN: usize = 4;

/// The least sector the journal reckons with, bytes; several of a part's smaller ones make one.
/// What is carried over when a sector is given up must fit one: `STATES_MAX`.
pub(super) const SECTOR_MIN: usize = 8 * 1024;

/// The fewest sectors: one written, one given up, one in hand.
pub const SECTORS_MIN: usize = 3;

/// A stretch of flash that does not take what is written is passed over so many times, then the
/// write is reported as failed.
pub(super) const TRIES: u8 = 4;

/// Share of the flash that is kept free for writing, as a divisor: a third, the rest being
/// records and what is carried over. So much is written before a pause is needed.
pub(super) const FREE_PART: u32 = 3;

/// Habits kept: hands with bottles, as many as [`crate::limits::HABITS`].
pub const HABITS_MAX: u8 = 24;

/// Places for drinks under way: as many as there can be at once, and one more, so that none is
/// written over before the round is written without it.
pub const OPEN_MAX: u8 = 5;

/// Orders that can wait, twice what a round takes today.
pub const WAITING_MAX: usize = 24;

/// The steps of one drink: [`crate::spec::limits::STEPS_MAX`] as it was when the payload froze.
pub const BROUGHT_MAX: usize = 24;

/// Everything that is carried over, each at its longest, in words of 32 bytes: what one sector
/// must take, with room for writes that were cut off.
const STATES_MAX: usize = {
    const fn entry(payload: usize) -> usize {
        HEAD.saturating_add(payload).next_multiple_of(WORD_MAX)
    }
    const fn several(count: u8, payload: usize) -> usize {
        entry(payload).saturating_mul(count as usize)
    }
    // Calibration, house, start, shift and orders; then those of which there are several.
    entry(10)
        .saturating_add(entry(15))
        .saturating_add(entry(3))
        .saturating_add(entry(8))
        .saturating_add(entry(103))
        .saturating_add(several(OPEN_MAX, 236))
        .saturating_add(several(HABITS_MAX, 57))
};

/// Eight carryings cut off one after the other still leave room.
const _: () = assert!(STATES_MAX + 8 * ENTRY_MAX < SECTOR_MIN);
