//! The desk: the bench in a page, in real time, with the very core that runs on the board.
//!
//! ```text
//!  browser  --wish-->  socket  --bounded queue-->  bench thread: hands, plant, station
//!     ^                                                 |
//!     +------- socket  <---latest state, lossy----------+
//! ```
//!
//! One thread keeps the bench. It never waits for anybody: wishes come through a bounded queue,
//! and what is to be seen goes into a cell that always holds the latest state, out of which each
//! connection sends what its browser has not seen yet. A slow or vanished browser misses states;
//! it stalls nothing.
//!
//! The server answers on loopback only. What a hostile page in the same browser could do to it is
//! prevented by [`guard`]; what arrives is bounded in size before it is read.

pub mod bench;
pub mod glasses;
pub mod guard;
pub mod hands;
pub mod house;
pub mod page;
pub mod record;
pub mod server;
pub mod socket;
pub mod state;
pub mod told;
pub mod wish;
