//! One way to bytes and back: serde derives the form of a type, postcard writes it.
//!
//! [postcard]'s wire format: a byte as it is; wider integers as LEB128, signed ones zigzag first;
//! floats by their bits, low byte first; an option as 0, or 1 and the value; a list or a text as
//! its length and its elements; an enum as the number of its variant and the fields.
//!
//! [postcard]: https://docs.rs/postcard

use crc::{CRC_32_ISO_HDLC, Crc, NoTable};
use serde::{Deserialize, Serialize};

/// The CRC-32 of zip and PNG (ISO-HDLC). Without a table: what is summed is short.
pub(crate) static CRC_32: Crc<u32, NoTable> = Crc::<u32, NoTable>::new(&CRC_32_ISO_HDLC);

/// Writes `value` to the front of `bytes`; `None` where it does not fit.
pub(crate) fn write<'b, T: Serialize>(value: &T, bytes: &'b mut [u8]) -> Option<&'b [u8]> {
    postcard::to_slice(value, bytes).ok().map(|used| &*used)
}

/// The value in `bytes`; `None` unless they hold one such value and nothing else.
pub(crate) fn read<'b, T: Deserialize<'b>>(bytes: &'b [u8]) -> Option<T> {
    match postcard::take_from_bytes(bytes) {
        Ok((value, [])) => Some(value),
        Ok(_) | Err(_) => None,
    }
}
