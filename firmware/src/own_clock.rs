//! The image for a board with its own clock: statics, faults, and into the loop.

#![no_std]
#![no_main]

use cortex_m_rt::{ExceptionFrame, entry, exception};
use pennyweight_core::Station;
use pennyweight_firmware::SHEET;
use pennyweight_firmware::board::{SETUP, ThisBoard, last_words};
use pennyweight_superloop::{Bench, Board, run};
use static_cell::StaticCell;

// Their first values are mostly nothing; they are written by code instead of copied from flash.
static STATION: StaticCell<Station<'static>> = StaticCell::new();
static BENCH: StaticCell<Bench<<ThisBoard as Board>::Flash>> = StaticCell::new();

#[entry]
fn main() -> ! {
    let (Some(board), Some(station), Some(bench)) = (ThisBoard::new(), station(), bench()) else {
        last_words()
    };
    run(board, station, bench)
}

/// The station, once; apart from `main`, whose frame lasts for ever.
#[inline(never)]
fn station() -> Option<&'static mut Station<'static>> {
    STATION.try_init_with(|| Station::new(SETUP))
}

/// The same for what the loop remembers.
#[inline(never)]
fn bench() -> Option<&'static mut Bench<<ThisBoard as Board>::Flash>> {
    BENCH.try_init_with(|| Bench::new(SHEET))
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

#[allow(
    unsafe_code,
    reason = "the runtime demands it; its macro hides the lint from `expect`"
)]
#[exception]
unsafe fn DefaultHandler(number: i16) -> ! {
    defmt::error!("exception {=i16}", number);
    last_words()
}
