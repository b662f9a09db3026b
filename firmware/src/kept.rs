//! The scale with its journal: sheets, settings and records in flash, and a host on the link.

use pennyweight_core::journal::Condition;
use pennyweight_core::keep::{Keeper, Shelf};
use pennyweight_core::link::host::{Logged, Port};
use pennyweight_core::{Instant, Station};

use embedded_storage::nor_flash::NorFlash;

use crate::board::Board;
use crate::{Measured, SHEET};

/// A board with flash for journal and sheets.
pub trait Keeps: Board {
    /// The flash.
    type Flash: NorFlash;

    /// What keeps sheets, settings and records; to be asked once. `None` where the flash is not
    /// fit for it.
    fn keeper(&mut self) -> Option<Keeper<'static, Self::Flash>>;
}

/// Runs the station on the board for ever, and keeps what is to outlive a power cut.
pub fn run<B: Keeps>(
    mut board: B,
    station: &'static mut Station<'static>,
    port: &'static mut Port<'static>,
    keeper: &'static mut Keeper<'static, B::Flash>,
) -> ! {
    defmt::info!("boot, sheet of {=usize} bytes", SHEET.len());
    port.carry(SHEET);
    let condition = keeper.condition();
    if condition == Condition::Damaged {
        defmt::warn!("the flash held no journal");
    }
    port.log(Instant::ZERO, Logged::PowerUp, condition as u8);
    keeper.power_up(station, Some(SHEET));
    loop {
        let Some(byte) = board.receive() else {
            if !keeper.rest(station) {
                board.rest();
            }
            continue;
        };
        let mut measured = Measured(&mut board);
        if let Some(reply) = port.take(byte, station, &mut measured, Some(keeper)) {
            board.send(reply);
            while let Some(live) = port.live() {
                board.send(live);
            }
        }
    }
}
