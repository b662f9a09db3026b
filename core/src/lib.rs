//! Guided pour-by-weight for a bench scale: from a converter code to the cue that stops a hand.
//!
//! The core asks no clock, pin or allocator. One input goes in with its time, a short fixed list
//! of outputs comes back, and the next deadline is published; calling early is harmless:
//!
//! ```
//! use pennyweight_core::units::{AdcCode, Grams};
//! use pennyweight_core::{Command, Input, Instant, Mode, Setup, Station};
//!
//! let setup = Setup { zero_code: 120_000, counts_per_gram: 800.0, sps: 80.0, mode: Mode::Service };
//! let mut station = Station::new(setup);
//! let _ = station.handle(Instant::ZERO, Input::Command(Command::Target(Grams(28.4))));
//! for n in 1..=200u64 {
//!     let code = AdcCode(120_000 + (n % 3) as i32);
//!     let out = station.handle(Instant::from_micros(n * 12_500), Input::Code(code));
//!     assert!(out.events().next().is_none(), "an empty, quiet pan says nothing");
//! }
//! assert!(station.deadline().is_some(), "a converter that falls silent would be told");
//! ```
//!
//! What [`Station::handle`] does with a code, in the order in which data runs:
//!
//! | step | where | in | out |
//! |---|---|---|---|
//! | throw out what no mass can cause | [`weigh::gate`] | code | code |
//! | the one conversion | [`weigh::Calibration`] | code | grams |
//! | a line on true timestamps | [`weigh::estimator`] | grams | mass, flow |
//! | what happened on the pan | [`weigh::pan`] | mass, flow | placed, lifted, pour begun ... |
//! | what has landed, how sure | [`weigh::settle`] | samples | early, amended, final value |
//! | when to ease and stop | [`pour`] | mass, flow, habit | cue, verdict |
//! | what the drink needs next | [`build`] | events, verdict | step, record, contents |
//! | which drink is next | [`round`] | orders | drink |
//! | what a bottle holds | [`learn`] | events, reading | density, sugar or strength |
//! | how alike the glasses of a flight are | [`flight`] | records | alike, apart, or not to be told |
//!
//! Before all that the sheet ([`spec`]) and the physics of liquids ([`liquid`]) have turned each
//! volume into what the scale is to show. After it [`Station::view`] gives a plain snapshot that
//! [`panel`] draws. What is to outlive a power cut is kept beside the station, not by it ([`keep`],
//! [`journal`]). Constants of the path stand in [`limits`], each with its unit and reason.
#![no_std]

pub mod build;
mod codec;
pub mod flight;
pub mod input;
pub mod journal;
pub mod keep;
pub mod learn;
pub mod limits;
pub mod link;
pub mod output;
pub mod panel;
pub mod pour;
pub mod round;
pub mod spec;
pub mod station;
pub mod view;

pub use pennyweight_liquids as liquid;
pub use pennyweight_weighing::{self as weigh, time, units};

pub use input::{Command, CommandError, Input, Mode};
pub use output::{Event, Outputs};
pub use station::{Setup, Station};
pub use time::Instant;
pub use view::View;
