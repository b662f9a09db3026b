//! Why the station does not carry out a command now.

use pennyweight_core::input::Command;
use pennyweight_core::limits::OVERLOAD_G;
use pennyweight_core::round::ORDERS;

/// In words, with the bound where there is one.
pub(super) fn unheeded(command: &Command) -> String {
    match command {
        Command::Target(_) => format!("a target is more than 0 g and less than {OVERLOAD_G} g"),
        Command::Order(_) => {
            format!("no sheet is loaded that has the drink, or {ORDERS} orders wait already")
        }
        Command::Void(_) => "no such drink is ordered, or it is done".to_owned(),
        Command::Change(..) => {
            format!("no such drink waits, or {ORDERS} orders wait already")
        }
        Command::Skip => "nothing is open that could be skipped".to_owned(),
        Command::Fix => "no over-pour can be mended now".to_owned(),
        Command::Two => {
            "two are made of a drink that is strained and has room, between two pours".to_owned()
        }
        Command::Again => "no drink is under way that could be begun again".to_owned(),
        Command::Other => "nobody asked which of two is meant".to_owned(),
        Command::Zero => "the pan is not empty and still".to_owned(),
        Command::Learn(_) => "such a measure is not weighed".to_owned(),
        Command::Serve(_) => format!("a glass holds from 0 ml to less than {OVERLOAD_G} ml"),
        Command::Mode(_) | Command::Hand(_) | Command::Forget => "not now".to_owned(),
    }
}
