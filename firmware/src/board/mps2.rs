//! Arm MPS2+ with the AN386 image: two CMSDK serial ports and a CMSDK timer.
//!
//! Registers: Arm Cortex-M System Design Kit, Technical Reference Manual (DDI 0479), "APB UART"
//! and "APB timer"; addresses: Arm Application Note 386 (DAI 0386).

#![expect(unsafe_code, reason = "registers are memory at fixed addresses")]

use core::sync::atomic::{AtomicBool, Ordering};

use cortex_m::interrupt::InterruptNumber;
use cortex_m::peripheral::NVIC;

use super::Board;

/// A block of 32-bit registers.
#[derive(Clone, Copy)]
struct Registers(usize);

const UART_LINK: Registers = Registers(0x4000_4000);
const UART_LOG: Registers = Registers(0x4000_5000);
const TIMER: Registers = Registers(0x4000_0000);

/// The clock of the peripherals, hertz.
const CLOCK: u32 = 25_000_000;

const UART_DATA: usize = 0x0;
const UART_STATE: usize = 0x4;
const UART_CONTROL: usize = 0x8;
const UART_INTERRUPTS: usize = 0xc;
const UART_DIVIDER: usize = 0x10;
const UART_SENDING: u32 = 1;
const UART_RECEIVED: u32 = 1 << 1;
const UART_ON: u32 = 0b11;
const UART_ON_AND_INTERRUPT_WHEN_RECEIVED: u32 = UART_ON | 1 << 3;

const TIMER_CONTROL: usize = 0x0;
const TIMER_VALUE: usize = 0x4;
const TIMER_RELOAD: usize = 0x8;
const TIMER_ON: u32 = 1;

impl Registers {
    fn read(self, offset: usize) -> u32 {
        // SAFETY: `self` is one of the blocks above, every one of which is mapped on this board,
        // and `offset` one of the constants above, a multiple of 4 within the block.
        unsafe { core::ptr::with_exposed_provenance::<u32>(self.0 + offset).read_volatile() }
    }

    fn write(self, offset: usize, value: u32) {
        // SAFETY: as in `read`; no register of these blocks makes the hardware touch memory.
        unsafe {
            core::ptr::with_exposed_provenance_mut::<u32>(self.0 + offset).write_volatile(value);
        }
    }

    /// Sets a serial port up.
    fn open(self, control: u32) {
        self.write(UART_DIVIDER, CLOCK / 115_200);
        self.write(UART_CONTROL, control);
        // What was received before belongs to nobody; reading it lets the next byte in.
        self.read(UART_DATA);
    }

    fn put(self, byte: u8) {
        while self.read(UART_STATE) & UART_SENDING != 0 {}
        self.write(UART_DATA, u32::from(byte));
    }
}

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

/// Journal and sheets lie in the board's PSRAM (DAI 0386), which survives a reset.
#[cfg(feature = "keep")]
mod flash {
    use pennyweight_core::keep::Keeper;

    use super::Mps2;
    use crate::board::memory_flash::MemoryFlash;
    use crate::kept::Keeps;

    const BEGINS: usize = 0x2100_0000;
    /// Three sectors.
    const JOURNAL_BYTES: usize = 48 * 1024;
    /// Two places of three sectors.
    const SHEETS_BYTES: usize = 96 * 1024;

    impl Keeps for Mps2 {
        type Flash = MemoryFlash;

        fn keeper(&mut self) -> Option<Keeper<'static, MemoryFlash>> {
            let journal = MemoryFlash::new(BEGINS, JOURNAL_BYTES);
            let sheets = MemoryFlash::new(BEGINS + JOURNAL_BYTES, SHEETS_BYTES);
            Keeper::open(journal, sheets, MemoryFlash::map).ok()
        }
    }
}

/// Sends one byte of the log.
pub fn put_log(byte: u8) {
    UART_LOG.put(byte);
}
