//! Serial ports and timers of the emulated boards, by their registers.
//!
//! Arm Cortex-M System Design Kit, Technical Reference Manual (DDI 0479), "APB UART", "APB timer",
//! "APB dual-input timers" and "APB watchdog".

#![expect(unsafe_code, reason = "registers are memory at fixed addresses")]

/// A block of 32-bit registers.
#[derive(Clone, Copy)]
pub(super) struct Registers(pub(super) usize);

/// The clock of the peripherals, hertz.
pub(super) const CLOCK: u32 = 25_000_000;

pub(super) const UART_DATA: usize = 0x0;
pub(super) const UART_STATE: usize = 0x4;
const UART_CONTROL: usize = 0x8;
#[cfg(feature = "mps2")]
pub(super) const UART_INTERRUPTS: usize = 0xc;
const UART_DIVIDER: usize = 0x10;
const UART_SENDING: u32 = 1;
pub(super) const UART_RECEIVED: u32 = 1 << 1;
pub(super) const UART_ON: u32 = 0b11;
#[cfg(feature = "mps2")]
pub(super) const UART_ON_AND_INTERRUPT_WHEN_RECEIVED: u32 = UART_ON | 1 << 3;

pub(super) const TIMER_CONTROL: usize = 0x0;
pub(super) const TIMER_VALUE: usize = 0x4;
pub(super) const TIMER_RELOAD: usize = 0x8;
pub(super) const TIMER_ON: u32 = 1;

impl Registers {
    pub(super) fn read(self, offset: usize) -> u32 {
        // SAFETY: `self` is one of the blocks that a board names, every one of which is mapped
        // there, and `offset` a constant named beside it, a multiple of 4 within the block.
        unsafe { core::ptr::with_exposed_provenance::<u32>(self.0 + offset).read_volatile() }
    }

    pub(super) fn write(self, offset: usize, value: u32) {
        // SAFETY: as in `read`; no register of these blocks makes the hardware touch memory.
        unsafe {
            core::ptr::with_exposed_provenance_mut::<u32>(self.0 + offset).write_volatile(value);
        }
    }

    /// Sets a serial port up.
    pub(super) fn open(self, control: u32) {
        self.write(UART_DIVIDER, CLOCK / 115_200);
        self.write(UART_CONTROL, control);
        // What was received before belongs to nobody; reading it lets the next byte in.
        self.read(UART_DATA);
    }

    pub(super) fn put(self, byte: u8) {
        while self.read(UART_STATE) & UART_SENDING != 0 {}
        self.write(UART_DATA, u32::from(byte));
    }
}
