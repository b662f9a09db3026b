//! The image in the emulator against the core on the desk.
//!
//! What needs the embedded target or the emulator is ignored by a plain `cargo test`; `tests/run`
//! includes it. The rest runs everywhere.

mod boards;
mod budget;
mod build;
mod compare;
mod demo_sheet;
mod desk;
mod emulator;
mod figures;
mod framing;
mod loading;
mod locks;
mod lockstep;
mod log;
mod packages;
mod panic_free;
mod ports;
mod requests;
mod scenarios;
mod seeded;
mod stored;
mod table;
mod timed;
mod worst_case;
