//! Boards, a file each. The image is for the one that is re-exported here; its memory map is
//! named in `build.rs`.

#[cfg(feature = "keep")]
mod memory_flash;
mod mps2;

pub use mps2::{Mps2 as ThisBoard, put_log};

/// What a board must offer.
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
