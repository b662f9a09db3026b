//! A CRC-32 added to piece by piece.

use crc::{CRC_32_ISO_HDLC, Crc, Digest, NoTable};

/// Bit by bit: what is summed is short, and a table would take a kilobyte of flash.
static CRC_32: Crc<u32, NoTable> = Crc::<u32, NoTable>::new(&CRC_32_ISO_HDLC);

/// The CRC-32 (ISO-HDLC) of what was added.
pub(super) struct Sum(Digest<'static, u32, NoTable>);

impl Sum {
    pub(super) const fn new() -> Self {
        Self(CRC_32.digest())
    }

    pub(super) fn add(&mut self, bytes: &[u8]) {
        self.0.update(bytes);
    }

    pub(super) const fn finish(self) -> u32 {
        self.0.finalize()
    }

    pub(super) const fn is(self, expected: u32) -> bool {
        self.finish() == expected
    }
}

/// The CRC-32 of these bytes.
pub(super) fn sum(bytes: &[u8]) -> u32 {
    CRC_32.checksum(bytes)
}
