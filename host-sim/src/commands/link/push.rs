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
use super::settings::set_clock;

/// How long a scale may be busy, pouring or erasing.
const BUSY: Duration = Duration::from_secs(60);
/// How long a scale may take to restart.
const RESTART: Duration = Duration::from_secs(10);
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
    let utc = clock(client)?;
    client.have_done(Request::Use { crc: checksum })?;
    let started = works_from(client, checksum)?;
    if started != hello.start && utc.is_some() {
        // A board that restarted to use the sheet has lost its clock.
        set_clock(client)?;
    }
    let (drinks, bytes) = (house.drinks().len(), packed.len());
    writeln!(
        out,
        "pushed {}: {drinks} drinks, {bytes} bytes",
        house.name()
    )
    .map_err(Failure::writing)
}

/// The scale's clock, where it is set.
fn clock(client: &mut Client) -> Result<Option<u32>, Failure> {
    let message = client.request(Request::Settings)?;
    match client.reply(&message)? {
        Reply::Settings(settings) => Ok(settings.utc),
        other => Err(client.unexpected(&other)),
    }
}

/// Waits until the scale works from this sheet: it may restart for that; how often it has started.
fn works_from(client: &mut Client, checksum: u32) -> Result<u16, Failure> {
    let until = Instant::now() + RESTART;
    loop {
        let hello = client.greet()?;
        if hello.sheet == checksum {
            return Ok(hello.start);
        }
        if Instant::now() > until {
            return Err(Failure::failed_run(
                "the scale does not work from the sheet",
                client.name(),
                format!(
                    "it works from {:08x}, {} s after it accepted {checksum:08x}",
                    hello.sheet,
                    RESTART.as_secs()
                ),
                "bring firmware and program to the same version, then push again",
            ));
        }
        std::thread::sleep(AGAIN);
    }
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
