//! Arm MPS2+ with the AN385 image (Cortex-M3) or the AN386 image (Cortex-M4F): two CMSDK serial ports
//! and a CMSDK timer, at the same places in both.
//!
//! Addresses: Arm Application Notes 385 and 386 (DAI 0385, DAI 0386).

#![expect(
    unsafe_code,
    reason = "interrupts and the vector table are unsafe to state"
)]

use core::sync::atomic::{AtomicBool, Ordering};

use cortex_m::interrupt::InterruptNumber;
use cortex_m::peripheral::NVIC;

use pennyweight_core::keep::Keeper;

use super::Board;
use super::cmsdk::{
    CLOCK, Registers, TIMER_CONTROL, TIMER_ON, TIMER_RELOAD, TIMER_VALUE, UART_DATA,
    UART_INTERRUPTS, UART_ON, UART_ON_AND_INTERRUPT_WHEN_RECEIVED, UART_RECEIVED, UART_STATE,
};
use super::memory_flash::{self, MemoryFlash};

const UART_LINK: Registers = Registers(0x4000_4000);
const UART_LOG: Registers = Registers(0x4000_5000);
const TIMER: Registers = Registers(0x4000_0000);

/// Entries of the vector table: up to the highest interrupt that is ever unmasked, which is the
/// link's. The table for any Cortex-M would hold 240, which is 0.8 KB.
const INTERRUPTS: usize = 1;

unsafe extern "C" {
    /// The runtime's: nothing here is ever taken.
    fn DefaultHandler();
}

// SAFETY: the runtime's linker script looks for this name in this section and takes each entry
// for a handler, which they are.
#[unsafe(link_section = ".vector_table.interrupts")]
#[unsafe(no_mangle)]
static __INTERRUPTS: [unsafe extern "C" fn(); INTERRUPTS] = [DefaultHandler; INTERRUPTS];

/// The interrupt of the link: a byte was received.
#[derive(Clone, Copy)]
struct LinkReceived;

// SAFETY: interrupt 0 of this board is the receive interrupt of the first serial port, and no
// other type here has its number.
unsafe impl InterruptNumber for LinkReceived {
    fn number(self) -> u16 {
        0
    }
}

/// The board; there is one.
pub struct Mps2(());

impl Mps2 {
    /// Sets the board up; `None` when that was done before.
    #[must_use]
    pub fn new() -> Option<Self> {
        static TAKEN: AtomicBool = AtomicBool::new(false);
        if TAKEN.swap(true, Ordering::Relaxed) {
            return None;
        }
        // The interrupt only ends a rest; it is never taken, so that there is no handler.
        cortex_m::interrupt::disable();
        UART_LINK.open(UART_ON_AND_INTERRUPT_WHEN_RECEIVED);
        UART_LOG.open(UART_ON);
        // SAFETY: no critical section relies on this interrupt being masked.
        unsafe { NVIC::unmask(LinkReceived) };
        TIMER.write(TIMER_RELOAD, u32::MAX);
        TIMER.write(TIMER_VALUE, u32::MAX);
        TIMER.write(TIMER_CONTROL, TIMER_ON);
        Some(Self(()))
    }
}

impl Board for Mps2 {
    const TICKS_PER_SECOND: u32 = CLOCK;

    fn receive(&mut self) -> Option<u8> {
        let waiting = UART_LINK.read(UART_STATE) & UART_RECEIVED != 0;
        // The register is 8 bits wide; the rest reads as 0.
        waiting.then(|| UART_LINK.read(UART_DATA) as u8)
    }

    fn send(&mut self, bytes: &[u8]) {
        for &byte in bytes {
            UART_LINK.put(byte);
        }
    }

    fn rest(&mut self) {
        // A byte that came since the last look has already made the interrupt pend: then this
        // ends at once.
        cortex_m::asm::wfi();
        UART_LINK.write(UART_INTERRUPTS, UART_RECEIVED);
        NVIC::unpend(LinkReceived);
    }

    fn ticks(&self) -> u32 {
        // It counts down.
        !TIMER.read(TIMER_VALUE)
    }
}

impl Mps2 {
    /// The store in the board's memory, to be asked for once.
    pub fn keeper(&mut self) -> Option<Keeper<'static, MemoryFlash>> {
        memory_flash::keeper()
    }
}

/// Nothing can be done any more; a person has to look.
pub fn last_words() -> ! {
    loop {
        cortex_m::asm::wfe();
    }
}

/// Sends one byte of the log.
pub fn put_log(byte: u8) {
    UART_LOG.put(byte);
}
