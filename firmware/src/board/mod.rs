//! Boards, a file each. The image is for the one that its feature names; memory maps are named in
//! `build.rs`.

#[cfg(any(feature = "mps2", feature = "mps2-timed"))]
mod cmsdk;
#[cfg(feature = "f411")]
mod f411;
#[cfg(any(feature = "mps2", feature = "mps2-timed"))]
mod memory_flash;
#[cfg(feature = "mps2")]
mod mps2;
#[cfg(feature = "mps2-timed")]
mod mps2_timed;

#[cfg(all(feature = "f411", feature = "no-panic"))]
pub use f411::put_log;
#[cfg(feature = "f411")]
pub use f411::{F411 as ThisBoard, SETUP, last_words};
#[cfg(any(feature = "mps2", feature = "mps2-timed"))]
pub use memory_flash::MemoryFlash;
#[cfg(feature = "mps2")]
pub use mps2::{Mps2 as ThisBoard, last_words, put_log};
#[cfg(feature = "mps2-timed")]
pub use mps2_timed::{Mps2Timed as ThisBoard, SETUP, last_words, put_log};

/// What a board in lockstep must offer. One that runs by its own clock is a
/// `pennyweight_superloop::Board`.
#[cfg(feature = "mps2")]
pub trait Board {
    /// The next byte of the link, when there is one.
    fn receive(&mut self) -> Option<u8>;

    /// Sends bytes over the link; waits until they are out.
    fn send(&mut self, bytes: &[u8]);

    /// Sleeps until a byte of the link may be there.
    fn rest(&mut self);

    /// A counter that runs up and wraps.
    fn ticks(&self) -> u32;

    /// Ticks of it in a second.
    const TICKS_PER_SECOND: u32;
}
