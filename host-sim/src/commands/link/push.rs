//! `link PORT push`: a sheet in parts, used once it is whole.

use std::io::Write;
use std::path::Path;
use std::time::{Duration, Instant};

use pennyweight_core::link::host::{Ask, Hello, PART_BYTES, Refused, Tell};

use super::super::Failure;
use super::client::Client;
use super::named;

/// How long a scale may be busy, pouring or erasing.
const BUSY: Duration = Duration::from_secs(60);
/// How often it is asked meanwhile.
const AGAIN: Duration = Duration::from_millis(200);

pub(super) fn push(
    client: &mut Client,
    hello: &Hello,
    path: Option<&Path>,
    out: &mut dyn Write,
) -> Result<(), Failure> {
    let (house, _, checksum) = named(path)?;
    let packed = house.pack();
    if hello.sheet == checksum {
        return writeln!(out, "the scale works from this sheet already").map_err(Failure::writing);
    }
    announce(client, packed)?;
    for (index, part) in packed.chunks(PART_BYTES).enumerate() {
        let offset = (index * PART_BYTES) as u32;
        client.have(Ask::Part {
            offset,
            bytes: part,
        })?;
    }
    client.have(Ask::Use { crc: checksum })?;
    let (drinks, bytes) = (house.drinks().len(), packed.len());
    writeln!(
        out,
        "pushed {}: {drinks} drinks, {bytes} bytes",
        house.name()
    )
    .map_err(Failure::writing)
}

/// Announces the sheet, and waits until its place is ready.
fn announce(client: &mut Client, packed: &[u8]) -> Result<(), Failure> {
    let length = packed.len() as u32;
    let crc = crc32(packed);
    let until = Instant::now() + BUSY;
    loop {
        let answer = client.ask(Ask::Sheet { length, crc })?;
        let busy = matches!(Tell::read(&answer), Some((_, Tell::Refused(Refused::Busy))));
        if !busy || Instant::now() > until {
            return client.told(&answer).map(drop);
        }
        std::thread::sleep(AGAIN);
    }
}

/// CRC-32 (ISO-HDLC, as zip and PNG use it).
pub(super) fn crc32(bytes: &[u8]) -> u32 {
    let mut register = u32::MAX;
    for byte in bytes {
        register ^= u32::from(*byte);
        for _ in 0..8 {
            let low = register & 1;
            register >>= 1;
            if low == 1 {
                register ^= 0xEDB8_8320;
            }
        }
    }
    !register
}

#[cfg(test)]
mod tests {
    /// The check value that the catalogue of parametrised CRC algorithms gives.
    #[test]
    fn the_checksum_is_the_published_one() {
        assert_eq!(super::crc32(b"123456789"), 0xCBF4_3926);
    }
}
