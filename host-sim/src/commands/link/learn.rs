//! `link PORT learn`.

use std::io::Write;

use clap::Args;
use pennyweight_core::input::Command;
use pennyweight_core::link::Request;

use super::super::Failure;
use super::super::learning::{SAMPLE_WORDS, sample};
use super::client::Client;

/// What is learned.
#[derive(Args, Clone, Debug)]
pub struct LearnArgs {
    /// The measure that is filled, and what the label says: "50 ml", "50 ml abv 24 at 18"
    #[arg(value_name = "SAMPLE")]
    pub words: String,
}

pub(super) fn learn(
    client: &mut Client,
    args: &LearnArgs,
    out: &mut dyn Write,
) -> Result<(), Failure> {
    let sample = sample(&args.words).map_err(|why| {
        Failure::bad_input("nothing is learned", args.words.as_str(), why, SAMPLE_WORDS)
    })?;
    client.have_done(Request::Command(Command::Learn(sample)))?;
    writeln!(
        out,
        "the panel says what to do; `watch` tells each fill, and `pull` has it with the records\n\
         an order ends it"
    )
    .map_err(Failure::writing)
}
