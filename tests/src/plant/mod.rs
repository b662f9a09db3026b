//! The simulated world against its own table and against physics.

mod codes;
mod hand;
mod ice;
mod lockstep;
mod methods;
mod stream;
mod table;
