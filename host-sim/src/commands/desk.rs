//! `desk`: the bench in a page.

use std::io::{self, Write};
use std::path::PathBuf;
use std::process::{Command, Stdio};

use clap::Args;

use super::failure::Failure;
use super::options::ModeName;
use crate::desk::bench::BenchPlan;
use crate::desk::server::{Desk, USUAL_PORT};
use crate::sheet::load;

/// Options of `desk`.
#[derive(Args, Clone, Debug)]
pub struct DeskArgs {
    /// The port to listen on, 0 for any [default: 7413, or any when that is taken]
    #[arg(long, value_name = "N")]
    pub port: Option<u16>,

    /// Open the page in the usual browser
    #[arg(long)]
    pub open: bool,

    /// A sheet of drinks in place of the demo
    #[arg(long, value_name = "FILE")]
    pub sheet: Option<PathBuf>,

    /// Chance of the simulated bench
    #[arg(long, value_name = "N", default_value_t = 1)]
    pub seed: u64,

    /// The way of working to begin with
    #[arg(long, value_enum, default_value_t)]
    pub mode: ModeName,
}

/// Conversions per second of the desk's scale.
const SPS: f64 = 80.0;

/// Serves the page until the process is ended.
///
/// # Errors
/// A sheet that cannot be used; a port that is taken; an output that cannot be written.
pub fn run(args: &DeskArgs) -> Result<(), Failure> {
    let house = load(args.sheet.as_deref())?;
    let plan = BenchPlan {
        seed: args.seed,
        sps: SPS,
        mode: args.mode.into(),
    };
    let desk = Desk::open(house, plan, args.port).map_err(|error| unopened(args.port, &error))?;
    let address = format!("http://127.0.0.1:{}/", desk.port());
    let mut out = io::stdout().lock();
    writeln!(out, "the desk is at {address} (end it with Ctrl-C)")
        .and_then(|()| out.flush())
        .map_err(Failure::writing)?;
    drop(out);
    if args.open {
        open_browser(&address);
    }
    desk.serve().map_err(|error| {
        Failure::failed_run(
            "the desk has stopped",
            address,
            error.to_string(),
            "start it again",
        )
    })
}

fn unopened(port: Option<u16>, error: &io::Error) -> Failure {
    let port = port.unwrap_or(USUAL_PORT);
    Failure::failed_run(
        "the desk cannot be opened",
        format!("port {port} on loopback"),
        error.to_string(),
        "name another --port, or 0 for any that is free",
    )
}

/// Asks the system to show the page; where it cannot, the address stands on the terminal.
fn open_browser(address: &str) {
    let program = if cfg!(target_os = "macos") {
        "open"
    } else if cfg!(target_os = "windows") {
        "explorer"
    } else {
        "xdg-open"
    };
    let started = Command::new(program)
        .arg(address)
        .stdin(Stdio::null())
        .stdout(Stdio::null())
        .stderr(Stdio::null())
        .spawn();
    if let Err(error) = started {
        // Nobody is left to tell when this cannot be written either.
        let _ = writeln!(io::stderr(), "no browser was opened ({program}: {error})");
    }
}
