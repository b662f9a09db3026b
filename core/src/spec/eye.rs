//! Fields as postcard writes them, read one after the other: integers as LEB128, signed ones
//! zigzag first, texts with their length, what may be missing as 0, or 1 and the value.

/// What is left of a record. Beyond its end everything reads as 0 and [`Eye::is_done`] says no.
pub(super) struct Eye<'s> {
    left: &'s [u8],
    failed: bool,
}

impl<'s> Eye<'s> {
    pub(super) const fn new(record: &'s [u8]) -> Self {
        Self {
            left: record,
            failed: false,
        }
    }

    /// Everything was there, and nothing is left.
    pub(super) const fn is_done(&self) -> bool {
        self.left.is_empty() && !self.failed
    }

    #[inline(never)]
    pub(super) fn byte(&mut self) -> u8 {
        let (first, left) = self.left.split_first().unwrap_or((&0, &[]));
        self.failed |= self.left.is_empty();
        self.left = left;
        *first
    }

    #[inline(never)]
    pub(super) fn number(&mut self) -> u32 {
        let mut value = 0;
        for shift in (0u32..32).step_by(7) {
            let byte = self.byte();
            // The fifth byte holds the four bits that are left.
            self.failed |= shift == 28 && byte > 0x0F;
            value |= u32::from(byte & 0x7F).wrapping_shl(shift);
            if byte & 0x80 == 0 {
                break;
            }
        }
        value
    }

    #[inline(never)]
    pub(super) fn short(&mut self) -> u16 {
        let value = self.number();
        self.failed |= value > u32::from(u16::MAX);
        value as u16
    }

    pub(super) fn signed_short(&mut self) -> i16 {
        let folded = self.short();
        (folded >> 1).cast_signed() ^ (folded & 1).cast_signed().wrapping_neg()
    }

    /// What may be missing.
    #[inline(never)]
    pub(super) fn perhaps(&mut self) -> Option<u32> {
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
    pub(super) fn text(&mut self) -> Option<&'s str> {
        let length = self.number() as usize;
        let (text, left) = self.left.split_at_checked(length)?;
        self.left = left;
        core::str::from_utf8(text).ok()
    }
}
