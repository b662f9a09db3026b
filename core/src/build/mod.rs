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

mod away;
mod close;
mod count;
mod dilution;
mod drink;
pub mod fix;
mod page;
mod resume;
mod step;
mod strain;
mod tally;
mod together;
mod unseen;

pub use drink::Build;
