//! The command line.

use std::io::{self, Write};
use std::process::ExitCode;

use clap::{Parser, Subcommand};
use pennyweight_sim::commands::Failure;
use pennyweight_sim::commands::check::{self, CheckArgs};
use pennyweight_sim::commands::desk::{self, DeskArgs};
use pennyweight_sim::commands::failure::FailureKind;
use pennyweight_sim::commands::link::{self, LinkArgs};
use pennyweight_sim::commands::liquid::{self, LiquidArgs};
use pennyweight_sim::commands::replay::{self, ReplayArgs};
use pennyweight_sim::commands::run::{self, RunArgs};
use pennyweight_sim::commands::station::{self, StationArgs};
use pennyweight_sim::commands::sub::{self, SubArgs};
use pennyweight_sim::commands::sweep::{self, SweepArgs};

/// Drinks poured by weight: the core of the bench scale, on the desk.
///
/// Without a verb it plays three drinks on the simulated station, as `run` does.
///
/// Not approved for trade; strength, sugar and volume are estimates.
#[derive(Parser)]
#[command(name = "pennyweight", version, args_conflicts_with_subcommands = true)]
struct CommandLine {
    #[command(subcommand)]
    verb: Option<Verb>,

    #[command(flatten)]
    run: RunArgs,
}

#[derive(Subcommand)]
enum Verb {
    /// Play drinks on the simulated station, with a simulated hand (the default)
    Run(RunArgs),
    /// Pour with your own hand, in a page on this machine
    Desk(DeskArgs),
    /// Drive the core over standard input and output, line by line
    Station(StationArgs),
    /// Play a recorded trace to the core
    Replay(ReplayArgs),
    /// Check a sheet, and tell what every drink of it holds
    Check(CheckArgs),
    /// Tell what one liquid weighs
    Liquid(LiquidArgs),
    /// Tell what the house has that could stand in for a liquid of a drink
    Sub(SubArgs),
    /// Pour many pours: guided beside a plain scale and beside the limit
    Sweep(SweepArgs),
    /// Talk to a scale: push a sheet, order, fetch records, follow it, set it up
    Link(LinkArgs),
}

fn main() -> ExitCode {
    let line = CommandLine::parse();
    let outcome = match line.verb {
        None => run::run(&line.run),
        Some(Verb::Run(args)) => run::run(&args),
        Some(Verb::Desk(args)) => desk::run(&args),
        Some(Verb::Station(args)) => station::run(&args),
        Some(Verb::Replay(args)) => replay::run(&args),
        Some(Verb::Check(args)) => check::run(&args),
        Some(Verb::Liquid(args)) => liquid::run(&args),
        Some(Verb::Sub(args)) => sub::run(&args),
        Some(Verb::Sweep(args)) => sweep::run(&args),
        Some(Verb::Link(args)) => link::run(&args),
    };
    match outcome {
        Ok(()) => ExitCode::SUCCESS,
        Err(failure) => complain(&failure),
    }
}

fn complain(failure: &Failure) -> ExitCode {
    if failure.kind != FailureKind::ClosedOutput {
        // Nobody is left to tell when this cannot be written either.
        let _ = writeln!(io::stderr(), "{failure}");
    }
    ExitCode::from(failure.exit_code())
}
