//! Integers as postcard writes them, both ways by one description.
//!
//! postcard's wire format: a byte as it is; wider integers as LEB128, signed ones zigzag first;
//! an option as 0 or 1 and the value; a list as its length and its elements. Own code, because
//! postcard's writer keeps a panic where the core is built for size, and because reading and
//! writing by the same description cost half the flash. The checks hold it against postcard.

use heapless::Vec;

/// A payload being read or written.
pub struct Coder<'b> {
    side: Side<'b>,
    at: usize,
    failed: bool,
}

enum Side<'b> {
    Read(&'b [u8]),
    Write(&'b mut [u8]),
}

/// Something that is stored: lists its fields once, in their order.
pub trait Fields {
    /// Reads or writes every field.
    fn fields(&mut self, coder: &mut Coder<'_>);
}

/// Reads `bytes` into `value`; `false` unless they are one such value and nothing else, and then
/// only a part of it may have been read.
#[must_use]
#[inline(never)]
pub fn read(bytes: &[u8], value: &mut dyn Fields) -> bool {
    let mut coder = Coder::reading(bytes);
    value.fields(&mut coder);
    coder.finish().is_some()
}

/// Writes `value`; how many bytes it took, `None` when `bytes` is too short.
#[inline(never)]
pub fn write(value: &mut dyn Fields, bytes: &mut [u8]) -> Option<usize> {
    let mut coder = Coder::writing(bytes);
    value.fields(&mut coder);
    coder.finish()
}

impl<'b> Coder<'b> {
    /// Begins to read.
    #[must_use]
    pub const fn reading(bytes: &'b [u8]) -> Self {
        Self {
            side: Side::Read(bytes),
            at: 0,
            failed: false,
        }
    }

    /// Begins to write.
    #[must_use]
    pub const fn writing(bytes: &'b mut [u8]) -> Self {
        Self {
            side: Side::Write(bytes),
            at: 0,
            failed: false,
        }
    }

    /// How many bytes were read or written; `None` when something went wrong or was left over.
    #[must_use]
    pub fn finish(&self) -> Option<usize> {
        let whole = match &self.side {
            Side::Read(bytes) => self.at == bytes.len(),
            Side::Write(_) => true,
        };
        (whole && !self.failed).then_some(self.at)
    }

    /// Bytes, their length first; read in place.
    #[inline(never)]
    pub fn bytes(&mut self, value: &mut &'b [u8]) {
        let mut length = value.len() as u32;
        self.number(&mut length);
        let end = self.at.saturating_add(length as usize);
        let done = match &mut self.side {
            Side::Read(bytes) => bytes.get(self.at..end).map(|found| *value = found),
            Side::Write(bytes) => bytes.get_mut(self.at..end).map(|places| {
                for (place, byte) in places.iter_mut().zip(*value) {
                    *place = *byte;
                }
            }),
        };
        self.failed |= done.is_none();
        self.at = end;
    }

    /// Everything that is left, where it reads.
    #[must_use]
    pub fn rest(&mut self) -> &'b [u8] {
        match &self.side {
            Side::Read(bytes) => {
                let rest = bytes.get(self.at..).unwrap_or(&[]);
                self.at = bytes.len();
                rest
            }
            Side::Write(_) => &[],
        }
    }

    /// A byte.
    #[inline(never)]
    pub fn byte(&mut self, value: &mut u8) {
        let place = match &mut self.side {
            Side::Read(bytes) => bytes.get(self.at).map(|byte| *value = *byte),
            Side::Write(bytes) => bytes.get_mut(self.at).map(|byte| *byte = *value),
        };
        self.failed |= place.is_none();
        self.at = self.at.saturating_add(1);
    }

    /// An unsigned integer of up to 32 bits.
    #[inline(never)]
    pub fn number(&mut self, value: &mut u32) {
        let begun = self.at;
        let mut wide = u64::from(*value);
        self.long(&mut wide);
        // More than five bytes are no way to write it.
        let short = self.at.wrapping_sub(begun) <= 5;
        match u32::try_from(wide) {
            Ok(found) if short => *value = found,
            _ => self.failed = true,
        }
    }

    /// An unsigned integer of up to 64 bits.
    #[inline(never)]
    pub fn long(&mut self, value: &mut u64) {
        let mut left = *value;
        let mut found = 0u64;
        for shift in (0u32..64).step_by(7) {
            let low = (left & 0x7F) as u8;
            left >>= 7;
            let mut byte = low | if left > 0 { 0x80 } else { 0 };
            self.byte(&mut byte);
            // The tenth byte holds the one bit that is left.
            self.failed |= shift == 63 && byte > 1;
            found |= u64::from(byte & 0x7F).wrapping_shl(shift);
            if byte & 0x80 == 0 || self.failed {
                break;
            }
        }
        *value = found;
    }

    /// An unsigned integer of up to 16 bits.
    #[inline(never)]
    pub fn short(&mut self, value: &mut u16) {
        let mut wide = u32::from(*value);
        self.number(&mut wide);
        match u16::try_from(wide) {
            Ok(found) => *value = found,
            Err(_) => self.failed = true,
        }
    }

    /// A signed integer.
    #[inline(never)]
    pub fn signed(&mut self, value: &mut i32) {
        let mut folded = (value.wrapping_shl(1) ^ value.wrapping_shr(31)) as u32;
        self.number(&mut folded);
        *value = (folded >> 1) as i32 ^ ((folded & 1) as i32).wrapping_neg();
    }

    /// A signed integer of up to 16 bits.
    #[inline(never)]
    pub fn signed_short(&mut self, value: &mut i16) {
        let mut wide = i32::from(*value);
        self.signed(&mut wide);
        match i16::try_from(wide) {
            Ok(found) => *value = found,
            Err(_) => self.failed = true,
        }
    }

    /// A signed byte, as it is.
    pub fn signed_byte(&mut self, value: &mut i8) {
        let mut byte = value.cast_unsigned();
        self.byte(&mut byte);
        *value = byte.cast_signed();
    }

    /// It reads; otherwise it writes.
    #[must_use]
    pub const fn is_reading(&self) -> bool {
        matches!(self.side, Side::Read(_))
    }

    /// What was read cannot be.
    pub const fn refuse(&mut self) {
        self.failed = true;
    }

    /// Whether something is there that may be missing.
    #[inline(never)]
    fn there(&mut self, is_there: bool) -> bool {
        let mut byte = u8::from(is_there);
        self.byte(&mut byte);
        self.failed |= byte > 1;
        byte == 1 && !self.failed
    }

    /// Something that may be missing.
    #[inline]
    pub fn option<T: Default>(&mut self, value: &mut Option<T>, inner: fn(&mut Self, &mut T)) {
        if self.there(value.is_some()) {
            inner(self, value.get_or_insert_default());
        } else if self.is_reading() {
            *value = None;
        }
    }

    /// A list of what the coder stores.
    #[inline]
    pub fn list<T: Fields + Default, const N: usize>(&mut self, list: &mut Vec<T, N>) {
        let mut count = list.len() as u32;
        self.number(&mut count);
        if self.is_reading() {
            list.clear();
            self.failed |= count as usize > N;
            while !self.failed && list.len() < count as usize {
                // There is room, see above.
                let _ = list.push(T::default());
            }
        }
        for item in list {
            item.fields(self);
        }
    }
}

/// Reads fields one after the other.
pub(crate) struct Eye<'c, 'b>(pub(crate) &'c mut Coder<'b>);

impl<'b> Eye<'_, 'b> {
    #[inline(never)]
    pub(crate) fn byte(&mut self) -> u8 {
        let mut value = 0;
        self.0.byte(&mut value);
        value
    }

    #[inline(never)]
    pub(crate) fn number(&mut self) -> u32 {
        let mut value = 0;
        self.0.number(&mut value);
        value
    }

    #[inline(never)]
    pub(crate) fn short(&mut self) -> u16 {
        let mut value = 0;
        self.0.short(&mut value);
        value
    }

    pub(crate) fn bytes(&mut self) -> &'b [u8] {
        let mut bytes: &'b [u8] = &[];
        self.0.bytes(&mut bytes);
        bytes
    }
}

/// Writes one field after the other.
pub(crate) struct Pen<'c, 'b>(pub(crate) &'c mut Coder<'b>);

impl Pen<'_, '_> {
    #[inline(never)]
    pub(crate) fn byte(&mut self, mut value: u8) -> &mut Self {
        self.0.byte(&mut value);
        self
    }

    /// Bytes as they are.
    pub(crate) fn raw(&mut self, bytes: &[u8]) -> &mut Self {
        for byte in bytes {
            self.byte(*byte);
        }
        self
    }

    pub(crate) fn flag(&mut self, value: bool) -> &mut Self {
        self.byte(u8::from(value))
    }

    #[inline(never)]
    pub(crate) fn number(&mut self, mut value: u32) -> &mut Self {
        self.0.number(&mut value);
        self
    }

    #[inline(never)]
    pub(crate) fn signed(&mut self, mut value: i32) -> &mut Self {
        self.0.signed(&mut value);
        self
    }
}
