//! The thin part of the scale: a board, and the loop that joins it to the core.
//!
//! Nothing is decided here. A board that has its own clock runs the superloop of
//! `pennyweight-superloop`. The image in lockstep has a shorter one, since time comes with the
//! messages there: bytes of the link go to the core's `Server`, its answers go back.

#![no_std]

pub mod board;
#[cfg(feature = "keep")]
pub mod kept;
// On the F411 the usual logger over the debug probe is a dependency. It guards itself by a panic, so
// that the image without panics has its own.
#[cfg(any(not(feature = "f411"), feature = "no-panic"))]
pub mod log;
mod panic;
pub mod stack;

#[cfg(feature = "mps2")]
use board::Board;
#[cfg(feature = "mps2")]
use pennyweight_core::Station;
#[cfg(feature = "mps2")]
use pennyweight_core::link::{Device, Note, Server};

/// The sheet in flash: the demonstration sheet, packed on the desk.
pub static SHEET: &[u8] = include_bytes!("../demo.sheet");

/// A board as the link sees it: it measures itself and keeps the log.
#[cfg(feature = "mps2")]
struct Measured<'b, B>(&'b mut B);

#[cfg(feature = "mps2")]
impl<B: Board> Device for Measured<'_, B> {
    fn ticks(&self) -> u32 {
        self.0.ticks()
    }

    fn ticks_per_second(&self) -> u32 {
        B::TICKS_PER_SECOND
    }

    fn stack_peak(&self) -> u32 {
        stack::peak()
    }

    fn note(&mut self, note: Note) {
        match note {
            Note::Reset => defmt::info!("station reset"),
            Note::Refused(why) => defmt::warn!("request refused: {}", why),
            Note::Fault(fault) => defmt::warn!("fault: {}", fault),
        }
    }
}

/// Runs the station on the board for ever, in lockstep over the link.
#[cfg(feature = "mps2")]
pub fn run<B: Board>(
    mut board: B,
    station: &'static mut Station<'static>,
    server: &'static mut Server<'static>,
) -> ! {
    defmt::info!("boot, sheet of {=usize} bytes", SHEET.len());
    server.carry(SHEET);
    loop {
        let Some(byte) = board.receive() else {
            board.rest();
            continue;
        };
        if let Some(reply) = server.take(byte, station, &mut Measured(&mut board)) {
            board.send(reply);
        }
    }
}
