//! `link PORT settings`.

use std::io::Write;
use std::time::{SystemTime, UNIX_EPOCH};

use clap::Args;
use pennyweight_core::input::{Command, Mode};
use pennyweight_core::link::{Reply, Request};
use pennyweight_core::spec::House;
use pennyweight_core::units::Millilitres;

use super::super::Failure;
use super::super::options::{self, ModeName};
use super::client::Client;
use super::time::utc_text;

/// What is set.
#[derive(Args, Clone, Debug)]
pub struct SettingsArgs {
    /// The way of working
    #[arg(long)]
    pub mode: Option<ModeName>,

    /// Who pours now, by number
    #[arg(long, value_name = "N")]
    pub hand: Option<u8>,

    /// What every strained glass is to hold, ml; 0 is all there is
    #[arg(long, value_name = "ML", value_parser = options::serve_ml)]
    pub serve: Option<f32>,

    /// House measures: dash, barspoon and drop, microlitres each (1 to 20,000)
    #[arg(long, value_name = "UL", num_args = 3, value_parser = clap::value_parser!(u32).range(1..=20_000))]
    pub house: Option<Vec<u32>>,

    /// Set the clock from this computer
    #[arg(long)]
    pub clock: bool,
}

/// Sets the scale's clock from this computer's.
pub(super) fn set_clock(client: &mut Client) -> Result<(), Failure> {
    let since = SystemTime::now().duration_since(UNIX_EPOCH);
    let utc = since.map_or(0, |since| since.as_secs() as u32);
    client.have_done(Request::Clock { utc })
}

pub(super) fn settings(
    client: &mut Client,
    args: &SettingsArgs,
    out: &mut dyn Write,
) -> Result<(), Failure> {
    if let Some(mode) = args.mode {
        client.have_done(Request::Command(Command::Mode(mode.into())))?;
    }
    if let Some(hand) = args.hand {
        client.have_done(Request::Command(Command::Hand(hand)))?;
    }
    if let Some(ml) = args.serve {
        client.have_done(Request::Command(Command::Serve(Millilitres(ml))))?;
    }
    if let Some(&[dash_ul, barspoon_ul, drop_ul]) = args.house.as_deref() {
        client.have_done(Request::House(House {
            dash_ul,
            barspoon_ul,
            drop_ul,
        }))?;
    }
    if args.clock {
        set_clock(client)?;
    }
    let message = client.request(Request::Settings)?;
    let settings = match client.reply(&message)? {
        Reply::Settings(settings) => settings,
        other => return Err(client.unexpected(&other)),
    };
    let mode = match settings.shift.mode {
        Mode::Service => "service",
        Mode::Develop => "develop",
        Mode::Prep => "prep",
        Mode::Plain => "plain",
    };
    let counts = settings.calibration.counts_per_gram;
    let house = settings.house.map_or_else(
        || "as the sheet has them".to_owned(),
        |house| {
            format!(
                "dash {} ul, barspoon {} ul, drop {} ul",
                house.dash_ul, house.barspoon_ul, house.drop_ul
            )
        },
    );
    let hand = settings
        .shift
        .hand
        .map_or_else(|| "not named".to_owned(), |hand| hand.to_string());
    let serve = settings.shift.serve.map_or_else(
        || "all there is".to_owned(),
        |serve| format!("{:.1} ml", serve.0),
    );
    let clock = settings.utc.map_or_else(|| "not set".to_owned(), utc_text);
    writeln!(
        out,
        "calibration  {counts} codes per gram, empty pan at code {}\nhouse        {house}\n\
         mode         {mode}\nhand         {hand}\nserve        {serve}\nclock        {clock}\nlearned      {} hands with \
         bottles",
        settings.calibration.zero_code, settings.habits
    )
    .map_err(Failure::writing)
}
