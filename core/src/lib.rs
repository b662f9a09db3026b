//! Guided pour-by-weight for a bench scale.
#![no_std]

pub mod build;
pub mod input;
pub mod limits;
pub mod link;
pub mod liquid;
pub mod output;
pub mod panel;
pub mod pour;
pub mod round;
pub mod spec;
pub mod station;
pub mod time;
pub mod units;
pub mod view;
pub mod weigh;

pub use input::{Command, Input, Mode};
pub use output::{Event, Outputs};
pub use station::{Setup, Station};
pub use time::Instant;
pub use view::View;
