//! Building one drink: its steps one after the other, each closed by doing the next thing.
//!
//! ```text
//! Vessel --placed--> Working --last step closed--> Finishing --steady or lifted--> done
//!                     |  ^  ^
//!              lifted |  |  | the same vessel, or the served glass
//!                     v  |  |
//!                  Astray   Away --placed--> Straining
//! ```
//!
//! No step waits for what the scale cannot sense: a note is shown with the step after it and
//! closed by the first thing that happens. A step closes by its verdict; a late drip still goes
//! into its record until the next thing happens.

mod aside;
mod away;
mod back;
mod close;
mod count;
mod dilution;
mod drink;
pub mod fix;
mod fixing;
mod kept;
mod loss;
mod page;
mod rinse;
mod room;
mod step;
mod steps;
mod strain;
mod stray;
mod tally;
mod together;
mod turn;
mod unseen;
mod working;

pub use aside::{Aside, Fit};
pub use drink::Build;
pub use kept::{Stage, UnderWay};
pub use room::{has_room, is_strained};
pub use turn::Turn;
