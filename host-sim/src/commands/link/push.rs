//! `link PORT push`: a sheet in parts, used once it is whole.

use std::io::Write;
use std::path::Path;
use std::time::{Duration, Instant};

use crc::{CRC_32_ISO_HDLC, Crc};
use pennyweight_core::keep::StoreError;
use pennyweight_core::link::{Hello, PART_BYTES, Reply, Request, RequestError};

use super::super::Failure;
use super::client::Client;
use super::named;

/// How long a scale may be busy, pouring or erasing.
const BUSY: Duration = Duration::from_secs(60);
/// How often the announcement is repeated meanwhile.
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
        let message = client.request(Request::Part {
            offset,
            bytes: part,
        })?;
        let end = offset + part.len() as u32;
        match client.reply(&message)? {
            Reply::Filled { bytes } if bytes == end => {}
            other => return Err(client.unexpected(&other)),
        }
    }
    client.have_done(Request::Use { crc: checksum })?;
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
    let crc = Crc::<u32>::new(&CRC_32_ISO_HDLC).checksum(packed);
    let until = Instant::now() + BUSY;
    loop {
        let message = client.request(Request::Sheet { length, crc })?;
        let busy = RequestError::Store(StoreError::Busy);
        let is_busy =
            matches!(Reply::read(&message), Some((_, Reply::Refused(why))) if why == busy);
        if !is_busy || Instant::now() > until {
            return match client.reply(&message)? {
                Reply::Filled { bytes: 0 } => Ok(()),
                other => Err(client.unexpected(&other)),
            };
        }
        std::thread::sleep(AGAIN);
    }
}
