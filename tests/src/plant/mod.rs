//! The simulated world against its own table and against physics.

mod codes;
mod stream;
mod table;
