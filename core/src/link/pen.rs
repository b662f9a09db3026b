//! Bytes as postcard writes them: integers as LEB128, floats by their bits, low byte first, what
//! may be missing as 0, or 1 and the value.

/// Writes one field after the other into a message.
pub(super) struct Pen<'b> {
    message: &'b mut [u8],
    /// Bytes so far; beyond the end of the message they are lost, but counted.
    used: usize,
}

impl<'b> Pen<'b> {
    pub(super) const fn new(message: &'b mut [u8]) -> Self {
        Self { message, used: 0 }
    }

    /// What was written; `None` when it did not fit.
    pub(super) fn finish(self) -> Option<&'b [u8]> {
        self.message.get(..self.used)
    }

    #[inline(never)]
    pub(super) fn byte(&mut self, value: u8) -> &mut Self {
        if let Some(place) = self.message.get_mut(self.used) {
            *place = value;
        }
        self.used = self.used.saturating_add(1);
        self
    }

    pub(super) fn flag(&mut self, value: bool) -> &mut Self {
        self.byte(u8::from(value))
    }

    #[inline(never)]
    pub(super) fn long(&mut self, mut value: u64) -> &mut Self {
        while value > 0x7F {
            self.byte(value as u8 | 0x80);
            value >>= 7;
        }
        self.byte(value as u8)
    }

    #[inline(never)]
    pub(super) fn number(&mut self, value: u32) -> &mut Self {
        self.long(u64::from(value))
    }

    /// Zigzag first, so that small ones of either sign are short.
    pub(super) fn signed(&mut self, value: i32) -> &mut Self {
        self.number((value.wrapping_shl(1) ^ value.wrapping_shr(31)).cast_unsigned())
    }

    #[inline(never)]
    pub(super) fn float(&mut self, value: f32) -> &mut Self {
        for byte in value.to_le_bytes() {
            self.byte(byte);
        }
        self
    }

    #[inline(never)]
    pub(super) fn maybe<T>(&mut self, value: Option<&T>, write: fn(&mut Self, &T)) -> &mut Self {
        self.flag(value.is_some());
        if let Some(value) = value {
            write(self, value);
        }
        self
    }
}
