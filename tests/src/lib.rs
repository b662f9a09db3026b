//! Checks against the outside world, one binary for all of them.
#![cfg(test)]

mod building;
mod capture;
mod desk;
mod edges;
mod flight;
mod fuzzed;
mod image;
mod journal;
mod layering;
mod link;
mod liquid;
mod panel;
mod plant;
mod pouring;
mod round;
mod sheet;
mod weighing;
