//! `link PORT watch`: what happens, as it happens.

use std::io::Write;
use std::path::PathBuf;
use std::time::Duration;

use clap::Args;
use pennyweight_core::link::Request;

use super::super::Failure;
use super::super::events::write_event;
use super::client::Client;
use super::named;

/// Outputs granted at once: what a scale may send before it needs another grant.
const CREDIT: u8 = 32;
/// Granted anew once so many are left.
const LOW: u8 = 8;

/// What is followed.
#[derive(Args, Clone, Debug)]
pub struct WatchArgs {
    /// The sheet the scale works from, where it is not the demo
    #[arg(long, value_name = "FILE")]
    pub sheet: Option<PathBuf>,

    /// End after so many outputs
    #[arg(long, value_name = "N")]
    pub count: Option<u32>,

    /// End once nothing has happened for so many seconds
    #[arg(long, value_name = "S", value_parser = clap::value_parser!(u64).range(1..=86_400))]
    pub quiet: Option<u64>,
}

pub(super) fn watch(
    client: &mut Client,
    args: &WatchArgs,
    out: &mut dyn Write,
) -> Result<(), Failure> {
    let (_, names, _) = named(args.sheet.as_deref())?;
    let patience = Duration::from_secs(args.quiet.unwrap_or(1));
    // Whoever watched before may have gone without a word: numbers begin anew.
    client.have_done(Request::Watch { credit: 0 })?;
    client.drop_live();
    client.have_done(Request::Watch { credit: CREDIT })?;
    let (mut left, mut told, mut expected) = (CREDIT, 0, 0);
    while args.count.is_none_or(|count| told < count) {
        let Some(live) = client.next_live(patience)? else {
            if args.quiet.is_some() {
                break;
            }
            // A scale that began anew knows nothing of it, one that is gone does not answer, and
            // what was lost on the way was granted for nothing.
            client.have_done(Request::Watch { credit: CREDIT })?;
            left = CREDIT;
            continue;
        };
        if live.number > expected {
            let missed = live.number - expected;
            writeln!(out, "{{\"event\":\"missed\",\"outputs\":{missed}}}")
                .map_err(Failure::writing)?;
        }
        expected = live.number.saturating_add(1);
        for event in live.outputs.events() {
            write_event(&mut &mut *out, live.at, &event, &names).map_err(Failure::writing)?;
        }
        out.flush().map_err(Failure::writing)?;
        told += 1;
        left = left.saturating_sub(1);
        if left <= LOW {
            client.have_done(Request::Watch { credit: CREDIT })?;
            left = CREDIT;
        }
    }
    client.have_done(Request::Watch { credit: 0 })
}
