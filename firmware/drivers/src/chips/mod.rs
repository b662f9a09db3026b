//! Chips as drivers see them: pins or a bus, timing that is checked, and what goes wrong.
//!
//! Each keeps a list of what was done to it that its data sheet forbids; a test that does not
//! mean to provoke that asserts that the list is empty.

pub mod flash;
pub mod panel;
pub mod registers;
pub mod two_wire;
