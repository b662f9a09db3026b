//! The image for the F411 board: statics, faults, and into the loop.

#![no_std]
#![no_main]

use cortex_m_rt::{ExceptionFrame, entry, exception};
use pennyweight_core::Station;
use pennyweight_firmware::SHEET;
use pennyweight_firmware::board::f411::{F411, SETUP, last_words};
use pennyweight_superloop::{Bench, run};
use static_cell::StaticCell;

// Their first values are mostly nothing and would take 7 KB of flash; they are written by code
// instead.
static STATION: StaticCell<Station<'static>> = StaticCell::new();
static BENCH: StaticCell<Bench<'static>> = StaticCell::new();

#[entry]
fn main() -> ! {
    let (Some(board), Some(station), Some(bench)) = (F411::new(), station(), bench()) else {
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
fn bench() -> Option<&'static mut Bench<'static>> {
    BENCH.try_init_with(|| Bench::new(SETUP, SHEET))
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

#[cfg(not(feature = "no-panic"))]
#[panic_handler]
fn panic(_: &core::panic::PanicInfo<'_>) -> ! {
    defmt::error!("panic");
    last_words()
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
