//! `link PORT order`.

use std::io::Write;
use std::path::PathBuf;

use clap::Args;
use pennyweight_core::input::Command;
use pennyweight_core::link::host::{Ask, Hello, Tell};

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

    /// Put the drink in the place of this order
    #[arg(long, value_name = "ORDER", requires = "drinks")]
    pub change: Option<u16>,

    /// Take this order out
    #[arg(long, value_name = "ORDER", conflicts_with_all = ["drinks", "change"])]
    pub void: Option<u16>,
}

pub(super) fn order(
    client: &mut Client,
    hello: &Hello,
    args: &OrderArgs,
    out: &mut dyn Write,
) -> Result<(), Failure> {
    let (_, names, checksum) = named(args.sheet.as_deref())?;
    let known = checksum == hello.sheet;
    if let Some(order) = args.void {
        client.have(Ask::Do(Command::Void(order)))?;
        return writeln!(out, "order {order} is out").map_err(Failure::writing);
    }
    let Some(text) = &args.drinks else {
        return list(client, &names, known, out);
    };
    let drinks = read_order(text, &names)?;
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
    if let Some(order) = args.change {
        let [drink] = drinks[..] else {
            return Err(Failure::bad_input(
                "the order cannot be changed",
                format!("--change {order}"),
                format!("{} drinks are named", drinks.len()),
                "name the one drink that is to be made instead",
            ));
        };
        client.have(Ask::Do(Command::Change(order, drink)))?;
        return writeln!(out, "order {order} is changed").map_err(Failure::writing);
    }
    for drink in drinks {
        let answer = client.ask(Ask::Do(Command::Order(drink)))?;
        if let Tell::Ordered { order } = client.told(&answer)? {
            let name = names.drink(drink).unwrap_or("?");
            writeln!(out, "order {order}: {name}").map_err(Failure::writing)?;
        }
    }
    Ok(())
}

fn list(
    client: &mut Client,
    names: &Names,
    known: bool,
    out: &mut dyn Write,
) -> Result<(), Failure> {
    let answer = client.ask(Ask::Round)?;
    let Tell::Round { open, waiting } = client.told(&answer)? else {
        return Ok(());
    };
    if let Some(order) = open {
        writeln!(out, "order {order}: under way").map_err(Failure::writing)?;
    }
    for order in &waiting.orders {
        let name = names.drink(order.drink()).filter(|_| known);
        let name = name.map_or_else(|| format!("drink {}", order.drink), str::to_owned);
        writeln!(out, "order {}: {name}", order.order).map_err(Failure::writing)?;
    }
    Ok(())
}
