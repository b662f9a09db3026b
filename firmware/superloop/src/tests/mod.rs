//! The loop on a board of chip models, in their time: what it does, and when.

mod dimming;
mod faults;
mod stopped;
mod timing;
mod watchdog;

mod bench;
mod session;
