//! Sheets, good and bad.

mod amounts;
mod demo;
mod hostile;
mod mistakes;
mod packed;
mod readings;
