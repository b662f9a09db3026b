//! The thin part of the scale: a board, and the loop that joins it to the core.
//!
//! Nothing is decided here. Bytes of the link go to the core's [`Server`], its answers go back;
//! time comes with the messages.

#![no_std]

mod arithmetic;
pub mod board;
#[cfg(feature = "keep")]
pub mod kept;
pub mod log;
mod memory;
pub mod stack;

use board::Board;
use pennyweight_core::Station;
use pennyweight_core::link::{Device, Note, Server};

/// The sheet in flash: the demonstration sheet, packed on the desk.
pub static SHEET: &[u8] = include_bytes!("../demo.sheet");

/// A board as the link sees it: it measures itself and keeps the log.
struct Measured<'b, B>(&'b mut B);

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

/// Runs the station on the board for ever.
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
