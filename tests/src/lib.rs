//! Checks against the outside world, one binary for all of them.
#![cfg(test)]

mod building;
mod desk;
mod double;
mod edges;
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
