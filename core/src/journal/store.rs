//! Payloads into entries and back, whatever flash they lie in.
//!
//! None of it depends on what is kept: what a board builds of the journal is a few calls of these.

use super::entry::{Buffer, EMPTY};
use super::flash::Medium;
use super::key::is_record;
use super::limits::HEAD;
use super::log::Log;
use super::read::NUMBER;
use super::{Kind, WriteError};

/// A log and the flash it lies in.
pub(super) struct LogIn<'j, M> {
    pub log: &'j mut Log,
    pub flash: &'j mut M,
}

/// Writes a payload; how many bytes it took.
type Encode<'p> = dyn FnMut(&mut [u8]) -> Option<usize> + 'p;

/// Appends a state.
#[inline(never)]
pub(super) fn put(
    at: LogIn<'_, impl Medium>,
    (kind, version): (Kind, u8),
    index: u8,
    encode: &mut Encode<'_>,
) -> Result<(), WriteError> {
    let key = kind
        .key(index)
        .filter(|key| !is_record(*key))
        .ok_or(WriteError::TooLong)?;
    write(at, (key, version), 0, encode)
}

/// Appends a record; its number.
#[inline(never)]
pub(super) fn append(
    at: LogIn<'_, impl Medium>,
    (kind, version): (Kind, u8),
    encode: &mut Encode<'_>,
) -> Result<u32, WriteError> {
    let key = kind
        .key(0)
        .filter(|key| is_record(*key))
        .ok_or(WriteError::TooLong)?;
    let LogIn { log, flash } = at;
    let number = log.number;
    write(LogIn { log, flash }, (key, version), NUMBER, encode)?;
    log.number = number.saturating_add(1);
    Ok(number)
}

/// The payload behind so many bytes of the record's number.
fn write(
    LogIn { log, flash }: LogIn<'_, impl Medium>,
    (key, version): (u8, u8),
    numbered: usize,
    encode: &mut Encode<'_>,
) -> Result<(), WriteError> {
    let mut entry = EMPTY;
    let number = log.number.to_le_bytes();
    for (place, byte) in entry.iter_mut().skip(HEAD).zip(&number) {
        *place = *byte;
    }
    let length = entry
        .get_mut(HEAD.wrapping_add(numbered)..)
        .and_then(encode)
        .ok_or(WriteError::TooLong)?
        .wrapping_add(numbered);
    log.append(flash, (key, version), length, &mut entry)
}

/// The last state of this index: its version and payload.
#[inline(never)]
pub(super) fn get<'b>(
    at: LogIn<'_, impl Medium>,
    kind: Kind,
    index: u8,
    entry: &'b mut Buffer,
) -> Option<(u8, &'b [u8])> {
    let (version, length) = at.log.find(at.flash, kind.key(index)?, entry)?;
    Some((version, entry.get(HEAD..HEAD.wrapping_add(length))?))
}
