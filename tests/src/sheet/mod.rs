//! Sheets, good and bad.

mod amounts;
mod card;
mod demo;
mod holds;
mod hostile;
mod mistakes;
mod packed;
mod readings;
