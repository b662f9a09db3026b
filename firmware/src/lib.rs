//! The thin part of the scale: a board, and the loop that joins it to the core.
//!
//! Nothing is decided here. A board that has its own clock runs the superloop of
//! `pennyweight-superloop`. A board in lockstep has a shorter loop, since time comes with the
//! messages there: bytes of the link go to the core's `Server`, its replies go back.

#![no_std]

pub mod board;
// On the F411 the usual logger over the debug probe is a dependency. It guards itself by a panic, so
// that the image without panics has its own.
#[cfg(any(not(feature = "f411"), feature = "no-panic"))]
pub mod log;
mod panic;
pub mod stack;

#[cfg(feature = "mps2")]
use board::Board;
#[cfg(feature = "mps2")]
use embedded_storage::nor_flash::NorFlash;
#[cfg(feature = "mps2")]
use pennyweight_core::journal::Condition;
#[cfg(feature = "mps2")]
use pennyweight_core::keep::{Keeper, Shelf};
#[cfg(feature = "mps2")]
use pennyweight_core::link::{Device, Logged, Note, Server};
#[cfg(feature = "mps2")]
use pennyweight_core::{Instant, Station};

/// The sheet in flash: the demonstration sheet, packed on the desk.
pub static SHEET: &[u8] = include_bytes!("../demo.sheet");

/// A board as the link sees it: it measures itself and writes the log.
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
pub fn run<B: Board, F: NorFlash>(
    mut board: B,
    station: &'static mut Station<'static>,
    server: &'static mut Server<'static>,
    keeper: &'static mut Keeper<'static, F>,
) -> ! {
    defmt::info!("boot, sheet of {=usize} bytes", SHEET.len());
    server.carry(SHEET);
    let condition = keeper.condition();
    if condition == Condition::Damaged {
        defmt::warn!("the flash held no journal");
    }
    server.log(Instant::ZERO, Logged::PowerUp(condition));
    keeper.power_up(station, Some(SHEET));
    loop {
        let Some(byte) = board.receive() else {
            if !keeper.rest(station) {
                board.rest();
            }
            continue;
        };
        let mut measured = Measured(&mut board);
        if let Some(reply) = server.take(byte, station, &mut measured, Some(keeper)) {
            board.send(reply);
            while let Some(live) = server.live() {
                board.send(live);
            }
        }
    }
}
