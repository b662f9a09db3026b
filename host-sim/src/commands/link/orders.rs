//! `link PORT order`.

use std::io::Write;
use std::path::PathBuf;

use clap::Args;
use pennyweight_core::input::Command;
use pennyweight_core::link::{Hello, Reply, Request, RequestError};
use pennyweight_core::spec::DrinkId;

use super::super::Failure;
use super::super::names::Names;
use super::super::order::order as read_order;
use super::client::Client;
use super::named;

/// What is ordered.
#[derive(Args, Clone, Debug)]
pub struct OrderArgs {
    /// Drinks by name, between commas; without any, what waits is listed
    pub drinks: Option<String>,

    /// The sheet the scale works from, where it is not the demo
    #[arg(long, value_name = "FILE")]
    pub sheet: Option<PathBuf>,

    /// Make the drink in the place of this one, which waits
    #[arg(long, value_name = "DRINK", requires = "drinks")]
    pub change: Option<String>,

    /// Take this drink back: the last one of it that waits, else the one under way
    #[arg(long, value_name = "DRINK", conflicts_with_all = ["drinks", "change"])]
    pub void: Option<String>,
}

pub(super) fn order(
    client: &mut Client,
    hello: &Hello,
    args: &OrderArgs,
    out: &mut dyn Write,
) -> Result<(), Failure> {
    let (_, names, checksum) = named(args.sheet.as_deref())?;
    let known = checksum == hello.sheet;
    let (text, place) = match (&args.drinks, &args.void) {
        (Some(drinks), _) => (drinks, "order"),
        (None, Some(drink)) => (drink, "--void"),
        (None, None) => return list(client, &names, known, out),
    };
    let drinks = read_order(text, place, &names)?;
    if !known {
        return Err(Failure::bad_input(
            "the order cannot be taken",
            args.sheet.as_ref().map_or_else(
                || "the demo sheet".to_owned(),
                |path| path.display().to_string(),
            ),
            format!(
                "the scale works from another sheet: {:08x}, not {checksum:08x}",
                hello.sheet
            ),
            "push this sheet first, or name the other with --sheet",
        ));
    }
    let name = |drink| names.drink(drink).unwrap_or("?");
    if let Some(from) = &args.change {
        let (from, to) = (one(from, "--change", &names)?, one(text, place, &names)?);
        take_back(
            client,
            Command::Change(from, to),
            &format!("--change {}", name(from)),
        )?;
        return writeln!(out, "changed: {} for {}", name(to), name(from)).map_err(Failure::writing);
    }
    if args.void.is_some() {
        let drink = one(text, place, &names)?;
        take_back(
            client,
            Command::Void(drink),
            &format!("--void {}", name(drink)),
        )?;
        return writeln!(out, "voided: {}", name(drink)).map_err(Failure::writing);
    }
    for drink in drinks {
        client.have_done(Request::Command(Command::Order(drink)))?;
        writeln!(out, "ordered: {}", name(drink)).map_err(Failure::writing)?;
    }
    Ok(())
}

/// Has an order changed or voided; a refusal is about `place`.
fn take_back(client: &mut Client, command: Command, place: &str) -> Result<(), Failure> {
    let message = client.request(Request::Command(command))?;
    if let Some((_, Reply::Refused(RequestError::Command(why)))) = Reply::read(&message) {
        return Err(Failure::failed_run(
            "the scale refuses",
            place,
            why.to_string(),
            "`link PORT order` lists what waits",
        ));
    }
    match client.reply(&message)? {
        Reply::Done => Ok(()),
        other => Err(client.unexpected(&other)),
    }
}

/// The one drink that is named.
fn one(text: &str, place: &str, names: &Names) -> Result<DrinkId, Failure> {
    match read_order(text, place, names)?[..] {
        [drink] => Ok(drink),
        ref drinks => Err(Failure::bad_input(
            "the order cannot be changed",
            text,
            format!("{} drinks are named", drinks.len()),
            "name the one drink that it is about",
        )),
    }
}

fn list(
    client: &mut Client,
    names: &Names,
    known: bool,
    out: &mut dyn Write,
) -> Result<(), Failure> {
    let message = client.request(Request::Round)?;
    let round = match client.reply(&message)? {
        Reply::Round(round) => round,
        other => return Err(client.unexpected(&other)),
    };
    let name = |drink: DrinkId| {
        let name = names.drink(drink).filter(|_| known);
        name.map_or_else(|| format!("drink {}", drink.0), str::to_owned)
    };
    for (number, drink) in &round.under_way {
        writeln!(out, "under way: {} (number {number})", name(*drink)).map_err(Failure::writing)?;
    }
    for order in &round.orders {
        let glasses = match order.glasses {
            1 => String::new(),
            glasses => format!(", {glasses} glasses"),
        };
        writeln!(out, "waits: {}{glasses}", name(order.drink)).map_err(Failure::writing)?;
    }
    if round.under_way.is_empty() && round.orders.is_empty() {
        writeln!(out, "nothing waits").map_err(Failure::writing)?;
    }
    Ok(())
}
