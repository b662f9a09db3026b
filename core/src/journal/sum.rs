//! CRC-32, as zip and PNG use it.

use crc::{CRC_32_ISO_HDLC, Crc, Digest, NoTable};

/// Bit by bit: an entry is short, and a table would take a kilobyte of flash.
static CRC: Crc<u32, NoTable> = Crc::<u32, NoTable>::new(&CRC_32_ISO_HDLC);

/// The CRC-32 (ISO-HDLC) of what was added.
pub(super) struct Sum(Digest<'static, u32, NoTable>);

impl Sum {
    pub(super) fn new() -> Self {
        Self(CRC.digest())
    }

    #[inline(never)]
    pub(super) fn add(&mut self, bytes: &[u8]) {
        self.0.update(bytes);
    }

    pub(super) fn finish(self) -> u32 {
        self.0.finalize()
    }

    pub(super) fn is(self, expected: u32) -> bool {
        self.finish() == expected
    }
}

/// The CRC-32 of these bytes.
pub(super) fn sum(bytes: &[u8]) -> u32 {
    let mut sum = Sum::new();
    sum.add(bytes);
    sum.finish()
}
