//! The desk simulator: a bench with liquid, cell, converter and hand, and the core that runs on
//! the board.

pub mod capture;
pub mod commands;
pub mod desk;
pub mod holds;
pub mod plant;
pub mod screen;
pub mod session;
pub mod sheet;
pub mod trial;
