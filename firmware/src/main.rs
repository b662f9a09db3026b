//! The image: statics, faults, and into the loop.

#![no_std]
#![no_main]

use cortex_m_rt::{ExceptionFrame, entry, exception};
use pennyweight_core::input::Mode;
use pennyweight_core::keep::Keeper;
use pennyweight_core::link::{Clock, Server};
use pennyweight_core::{Setup, Station};
#[cfg(feature = "planted-panic")]
use pennyweight_firmware::board::Board;
use pennyweight_firmware::board::{MemoryFlash, ThisBoard, last_words};
use pennyweight_firmware::run;
use static_cell::{ConstStaticCell, StaticCell};

/// Until the link says what the cell and the converter are.
const SETUP: Setup = Setup {
    zero_code: 0,
    counts_per_gram: 1000.0,
    sps: 80.0,
    mode: Mode::Service,
};

// The station's first value is mostly nothing and would take 4 KB of flash; it is written by code
// instead.
static STATION: StaticCell<Station<'static>> = StaticCell::new();
static SERVER: ConstStaticCell<Server<'static>> =
    ConstStaticCell::new(Server::new(Clock::Lockstep));
static KEEPER: StaticCell<Keeper<'static, MemoryFlash>> = StaticCell::new();

#[entry]
fn main() -> ! {
    let (Some(mut board), Some(station), Some(server)) =
        (ThisBoard::new(), station(), SERVER.try_take())
    else {
        last_words()
    };
    let Some(keeper) = keeper(&mut board) else {
        last_words()
    };
    #[cfg(feature = "planted-panic")]
    let board = planted(board);
    run(board, station, server, keeper)
}

/// The store of sheets and records, once; as the station.
#[inline(never)]
fn keeper(board: &mut ThisBoard) -> Option<&'static mut Keeper<'static, MemoryFlash>> {
    let keeper = board.keeper()?;
    KEEPER.try_init_with(|| keeper)
}

/// The station, once. Apart from `main`, whose frame lasts for ever: on its way to its place the
/// station may lie on the stack.
#[inline(never)]
fn station() -> Option<&'static mut Station<'static>> {
    STATION.try_init_with(|| Station::new(SETUP))
}

#[allow(
    unsafe_code,
    reason = "the runtime demands it; its macro hides the lint from `expect`"
)]
#[exception]
unsafe fn HardFault(frame: &ExceptionFrame) -> ! {
    defmt::error!("hard fault at {=u32:#x}", frame.pc());
    last_words()
}

/// Reads past a table when the right byte comes: the compiler cannot know that it does not.
#[cfg(feature = "planted-panic")]
fn planted(mut board: ThisBoard) -> ThisBoard {
    const TABLE: [u8; 4] = [1, 2, 3, 4];
    if let Some(byte) = board.receive() {
        board.send(&[TABLE[usize::from(byte)]]);
    }
    board
}
