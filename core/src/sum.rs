//! CRC-32, as zip and PNG use it: ISO-HDLC, polynomial 0x04C11DB7 with its bits turned round
//! (ITU-T V.42, 8.1.1.6.2).

/// The CRC-32 of what had this sum and of `bytes` behind it; nothing has the sum 0.
///
/// Bit by bit: what is summed is short, and a table would take a kilobyte of flash.
#[must_use]
#[inline(never)]
pub(crate) fn crc_32(before: u32, bytes: &[u8]) -> u32 {
    let mut sum = !before;
    for byte in bytes {
        sum ^= u32::from(*byte);
        for _ in 0..8 {
            let odd = sum & 1 != 0;
            sum >>= 1;
            if odd {
                sum ^= 0xEDB8_8320;
            }
        }
    }
    !sum
}
