//! A CRC-32 added to piece by piece.

use crate::sum::crc_32;

/// The CRC-32 (ISO-HDLC) of what was added.
pub(super) struct Sum(u32);

impl Sum {
    pub(super) const fn new() -> Self {
        Self(0)
    }

    pub(super) fn add(&mut self, bytes: &[u8]) {
        self.0 = crc_32(self.0, bytes);
    }

    pub(super) const fn finish(&self) -> u32 {
        self.0
    }

    pub(super) const fn is(&self, expected: u32) -> bool {
        self.0 == expected
    }
}

/// The CRC-32 of these bytes.
pub(super) fn sum(bytes: &[u8]) -> u32 {
    crc_32(0, bytes)
}
