//! The image: statics, faults, and into the loop.

#![no_std]
#![no_main]

use cortex_m_rt::{ExceptionFrame, entry, exception};
use pennyweight_core::input::Mode;
use pennyweight_core::keep::Keeper;
use pennyweight_core::link::Server;
use pennyweight_core::{Setup, Station};
use pennyweight_firmware::board::{Board, ThisBoard};
use pennyweight_firmware::run;
use static_cell::StaticCell;

/// The flash of the board.
type Flash = <ThisBoard as Board>::Flash;

/// Until the link says what the cell and the converter are.
const SETUP: Setup = Setup {
    zero_code: 0,
    counts_per_gram: 1000.0,
    sps: 80.0,
    mode: Mode::Service,
};

// Their first values are mostly nothing and would take 6 KB of flash; they are written by code
// instead.
static STATION: StaticCell<Station<'static>> = StaticCell::new();
static KEEPER: StaticCell<Keeper<'static, Flash>> = StaticCell::new();
static SERVER: StaticCell<Server<'static>> = StaticCell::new();

#[entry]
fn main() -> ! {
    let (Some(mut board), Some(station), Some(server)) = (ThisBoard::new(), station(), server())
    else {
        halt()
    };
    #[cfg(feature = "planted-panic")]
    let mut board = planted(board);
    let keeper = keeper(&mut board);
    run(board, station, server, keeper)
}

/// What keeps sheets and records, once.
#[inline(never)]
fn keeper(board: &mut ThisBoard) -> Option<&'static mut Keeper<'static, Flash>> {
    let keeper = board.keeper()?;
    KEEPER.try_init_with(|| keeper)
}

/// The station, once. Apart from `main`, whose frame lasts for ever: on its way to its place the
/// station may lie on the stack.
#[inline(never)]
fn station() -> Option<&'static mut Station<'static>> {
    STATION.try_init_with(|| Station::new(SETUP))
}

/// The server, once; as the station.
#[inline(never)]
fn server() -> Option<&'static mut Server<'static>> {
    SERVER.try_init_with(Server::new)
}

/// Nothing can be done any more; a person has to look.
fn halt() -> ! {
    loop {
        cortex_m::asm::wfe();
    }
}

#[allow(
    unsafe_code,
    reason = "the runtime demands it; its macro hides the lint from `expect`"
)]
#[exception]
unsafe fn HardFault(frame: &ExceptionFrame) -> ! {
    defmt::error!("hard fault at {=u32:#x}", frame.pc());
    halt()
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

#[cfg(not(feature = "no-panic"))]
#[panic_handler]
fn panic(_: &core::panic::PanicInfo<'_>) -> ! {
    defmt::error!("panic");
    halt()
}

#[cfg(feature = "no-panic")]
#[panic_handler]
fn panic(_: &core::panic::PanicInfo<'_>) -> ! {
    // The link fails on its name wherever the compiler could not rule a panic out.
    // It is defined nowhere, on purpose.
    #[expect(unsafe_code, reason = "the linker looks for it and must not find it")]
    unsafe extern "C" {
        safe fn a_panic_can_be_reached() -> !;
    }
    a_panic_can_be_reached()
}
