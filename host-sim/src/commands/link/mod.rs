//! `link`: talk to a scale over a serial device, a pseudo-terminal or TCP.

mod calibrate;
mod client;
mod export;
mod learn;
mod orders;
mod port;
mod push;
mod settings;
mod time;
mod watch;

pub use client::Client;
pub use export::{Format, Row, write_header, write_rows};
pub use port::Port;
pub use time::utc_text;

use std::io::{self, Write};
use std::path::PathBuf;

use clap::{Args, Subcommand};
use pennyweight_core::link::host::{Ask, Hello, Logged, Tell, capability};
use pennyweight_core::output::Fault;

use super::Failure;
use super::events::fault_kind;
use super::names::Names;
use crate::sheet::{HouseSheet, load};

/// Where the scale is, and what is wanted of it.
#[derive(Args, Debug)]
pub struct LinkArgs {
    /// A serial device such as /dev/ttyACM0, a pseudo-terminal, or tcp:HOST:PORT
    pub port: String,

    /// Bits per second of a serial device
    #[arg(long, default_value_t = 115_200, value_parser = clap::value_parser!(u32).range(1_200..=4_000_000))]
    pub baud: u32,

    /// Seconds to wait for an answer; a slow flash stops a scale for up to two
    #[arg(long, default_value_t = 3, value_parser = clap::value_parser!(u64).range(1..=60))]
    pub patience: u64,

    /// What is wanted
    #[command(subcommand)]
    pub wish: Wish,
}

/// What is wanted of a scale.
#[derive(Clone, Debug, Subcommand)]
pub enum Wish {
    /// Who is there
    Hello,
    /// Have it work from a sheet
    Push {
        /// The sheet; the demo without one
        sheet: Option<PathBuf>,
    },
    /// Order drinks, change or void an order, or list what waits
    Order(orders::OrderArgs),
    /// Fetch what was recorded
    Pull(export::PullArgs),
    /// Follow what happens, as it happens
    Watch(watch::WatchArgs),
    /// Tell what is set, after setting what is named
    Settings(settings::SettingsArgs),
    /// Tell the last lines of its log
    Logs,
    /// Calibrate with weights, or set a line that is known
    Calibrate(calibrate::CalibrateArgs),
    /// Weigh a measure filled from a bottle, and learn what is in it
    Learn(learn::LearnArgs),
}

/// Does what is wanted.
///
/// # Errors
/// A port that cannot be opened, a scale that does not answer, refuses or speaks another version;
/// what was given and cannot be used.
pub fn run(args: &LinkArgs) -> Result<(), Failure> {
    let port = Port::open(&args.port, args.baud)?;
    let mut client = Client::new(port, &args.port, args.patience);
    let hello = client.greet()?;
    let out = &mut io::BufWriter::new(io::stdout().lock());
    match &args.wish {
        Wish::Hello => tell_hello(&hello, out),
        Wish::Push { sheet } => push::push(&mut client, &hello, sheet.as_deref(), out),
        Wish::Order(args) => orders::order(&mut client, &hello, args, out),
        Wish::Pull(args) => export::pull(&mut client, args, out),
        Wish::Watch(args) => watch::watch(&mut client, args, out),
        Wish::Settings(args) => settings::settings(&mut client, args, out),
        Wish::Logs => logs(&mut client, out),
        Wish::Calibrate(args) => calibrate::calibrate(&mut client, args, out),
        Wish::Learn(args) => learn::learn(&mut client, args, out),
    }?;
    out.flush().map_err(Failure::writing)
}

fn tell_hello(hello: &Hello, out: &mut dyn Write) -> Result<(), Failure> {
    let can = [
        (capability::KEEPS, "keeps sheets and records"),
        (capability::LIVE, "tells what happens"),
        (capability::LOG, "keeps a log"),
    ];
    let can: Vec<&str> = can
        .iter()
        .filter(|(bit, _)| hello.can & bit != 0)
        .map(|(_, words)| *words)
        .collect();
    writeln!(
        out,
        "a scale of version {}; it {}\nsheet {:08x}, power came on {} times",
        hello.version,
        can.join(", "),
        hello.sheet,
        hello.start
    )
    .map_err(Failure::writing)
}

/// What was found in the flash, by number.
const JOURNALS: [&str; 3] = ["whole", "blank", "damaged"];
/// What was refused, by number.
const REFUSED: [&str; 7] = [
    "frame",
    "message",
    "sheet",
    "strip",
    "setup",
    "reply too long",
    "ask",
];
/// Faults, by number.
const FAULTS: [Fault; 10] = [
    Fault::Saturated,
    Fault::Overload,
    Fault::Stuck,
    Fault::Silent,
    Fault::Time,
    Fault::Range,
    Fault::Glitch,
    Fault::Sheet,
    Fault::Zero,
    Fault::Memory,
];

fn logs(client: &mut Client, out: &mut dyn Write) -> Result<(), Failure> {
    let (mut since, faults) = (0, FAULTS.map(fault_kind));
    loop {
        let answer = client.ask(Ask::Log { since })?;
        let Tell::Log(Some(line)) = client.told(&answer)? else {
            return Ok(());
        };
        let (what, details): (_, &[&str]) = match line.logged {
            Logged::PowerUp => ("power up, journal ", &JOURNALS),
            Logged::Reset => ("station reset", &[""]),
            Logged::Refused => ("refused: ", &REFUSED),
            Logged::Fault => ("fault: ", &faults),
            Logged::Sheet => ("sheet taken into use", &[""]),
        };
        let detail = details.get(usize::from(line.detail)).unwrap_or(&"unknown");
        let seconds = f64::from(line.tenths) / 10.0;
        writeln!(out, "{seconds:>9.1} s  {what}{detail}").map_err(Failure::writing)?;
        since = line.number.saturating_add(1);
    }
}

/// The names of a sheet, and which sheet it is.
fn named(path: Option<&std::path::Path>) -> Result<(HouseSheet, Names, u32), Failure> {
    let house = load(path)?;
    let sheet = house.sheet()?;
    let (names, checksum) = (Names::of(&sheet), sheet.checksum());
    Ok((house, names, checksum))
}

#[cfg(test)]
mod tests {
    use super::FAULTS;

    #[test]
    fn faults_go_by_their_numbers() {
        for (number, fault) in (0u8..).zip(FAULTS) {
            assert_eq!(fault as u8, number, "{fault:?}");
        }
    }
}
