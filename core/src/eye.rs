//! Fields as postcard writes them, read one after the other: integers as LEB128, signed ones
//! zigzag first, texts with their length, what may be missing as 0, or 1 and the value.

/// What is left of a record or a message. Beyond its end everything reads as 0 and [`Eye::is_done`] says no.
pub(crate) struct Eye<'s> {
    left: &'s [u8],
    failed: bool,
}

impl<'s> Eye<'s> {
    pub(crate) const fn new(record: &'s [u8]) -> Self {
        Self {
            left: record,
            failed: false,
        }
    }

    /// Everything was there, and nothing is left.
    pub(crate) const fn is_done(&self) -> bool {
        self.left.is_empty() && !self.failed
    }

    #[inline(never)]
    pub(crate) fn byte(&mut self) -> u8 {
        let (first, left) = self.left.split_first().unwrap_or((&0, &[]));
        self.failed |= self.left.is_empty();
        self.left = left;
        *first
    }

    #[inline(never)]
    pub(crate) fn long(&mut self) -> u64 {
        let mut value = 0;
        for shift in (0u32..64).step_by(7) {
            let byte = self.byte();
            // The tenth byte holds the one bit that is left.
            self.failed |= shift == 63 && byte > 1;
            value |= u64::from(byte & 0x7F).wrapping_shl(shift);
            if byte & 0x80 == 0 {
                break;
            }
        }
        value
    }

    /// As far as `most`, in no more bytes than that takes.
    #[inline(never)]
    fn within(&mut self, most: u32, bytes: usize) -> u32 {
        let before = self.left.len();
        let value = self.long();
        let used = before.saturating_sub(self.left.len());
        self.failed |= value > u64::from(most) || used > bytes;
        value as u32
    }

    pub(crate) fn number(&mut self) -> u32 {
        self.within(u32::MAX, 5)
    }

    pub(crate) fn short(&mut self) -> u16 {
        self.within(u16::MAX.into(), 3) as u16
    }

    #[inline(never)]
    pub(crate) fn signed(&mut self) -> i32 {
        let folded = self.number();
        (folded >> 1).cast_signed() ^ (folded & 1).cast_signed().wrapping_neg()
    }

    pub(crate) fn signed_short(&mut self) -> i16 {
        let folded = self.short();
        (folded >> 1).cast_signed() ^ (folded & 1).cast_signed().wrapping_neg()
    }

    pub(crate) fn float(&mut self) -> f32 {
        f32::from_le_bytes([self.byte(), self.byte(), self.byte(), self.byte()])
    }

    /// What may be missing.
    #[inline(never)]
    pub(crate) fn perhaps(&mut self) -> Option<u32> {
        match self.byte() {
            0 => None,
            1 => Some(self.number()),
            _ => {
                self.failed = true;
                None
            }
        }
    }

    #[inline(never)]
    pub(crate) fn text(&mut self) -> Option<&'s str> {
        let length = self.number() as usize;
        let (text, left) = self.left.split_at_checked(length)?;
        self.left = left;
        core::str::from_utf8(text).ok()
    }
}
