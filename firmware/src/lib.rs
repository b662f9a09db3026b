//! The thin part of the scale: a board, and the loop that joins it to the core.
//!
//! Nothing is decided here. Bytes of the link go to the core's [`Server`], its answers go back;
//! time comes with the messages.

#![no_std]

mod arithmetic;
pub mod board;
pub mod log;
mod memory;
pub mod stack;

use board::Board;
use pennyweight_core::journal::Condition;
use pennyweight_core::keep::{Keeper, Shelf};
use pennyweight_core::link::host::Logged;
use pennyweight_core::link::{Device, Note, Server};
use pennyweight_core::{Instant, Station};

/// The sheet in flash: the demonstration sheet, packed on the desk.
pub static SHEET: &[u8] = include_bytes!("../demo.sheet");

/// A board as the link sees it: it measures itself, keeps the log, the sheet and the records.
struct Kept<'b, B: Board> {
    board: &'b mut B,
    keeper: Option<&'b mut Keeper<'static, B::Flash>>,
}

impl<B: Board> Device<'static> for Kept<'_, B> {
    fn shelf(&mut self) -> Option<&mut dyn Shelf<'static>> {
        match &mut self.keeper {
            Some(keeper) => Some(*keeper),
            None => None,
        }
    }

    fn ticks(&self) -> u32 {
        self.board.ticks()
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
    mut keeper: Option<&'static mut Keeper<'static, B::Flash>>,
) -> ! {
    defmt::info!("boot, sheet of {=usize} bytes", SHEET.len());
    server.carry(SHEET);
    if let Some(keeper) = &mut keeper {
        let condition = keeper.condition();
        if condition == Condition::Damaged {
            defmt::warn!("the flash held no journal");
        }
        server.log(Instant::ZERO, Logged::PowerUp, condition as u8);
        keeper.power_up(station, Some(SHEET));
    }
    loop {
        let Some(byte) = board.receive() else {
            let erased = keeper.as_mut().is_some_and(|keeper| keeper.rest(station));
            if !erased {
                board.rest();
            }
            continue;
        };
        let mut kept = Kept {
            board: &mut board,
            keeper: keeper.as_deref_mut(),
        };
        if let Some(reply) = server.take(byte, station, &mut kept) {
            board.send(reply);
            while let Some(live) = server.live() {
                board.send(live);
            }
        }
    }
}
