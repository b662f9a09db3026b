//! What is left to do when nothing can go on: by registers alone, from any state.

use embedded_hal::digital::{ErrorType, InputPin, OutputPin};
use pennyweight_core::link::STRIP_BYTES;
use pennyweight_drivers::line_bus::LineBus;
use pennyweight_drivers::show_last;
use pennyweight_superloop::STOPPED;
use stm32f4xx_hal::pac::{self, TIM4};

use super::timers::Cycles;

/// A pin of port B by its registers alone, as a fault handler finds it.
struct Bare(u32);

impl ErrorType for Bare {
    type Error = core::convert::Infallible;
}

impl Bare {
    fn write(&self, bit: u32) {
        // SAFETY: bits of the set and reset register change one pin, atomically.
        unsafe { (*pac::GPIOB::ptr()).bsrr().write(|w| w.bits(1 << bit)) };
    }
}

impl OutputPin for Bare {
    fn set_low(&mut self) -> Result<(), Self::Error> {
        self.write(self.0 | 16);
        Ok(())
    }

    fn set_high(&mut self) -> Result<(), Self::Error> {
        self.write(self.0);
        Ok(())
    }
}

impl InputPin for Bare {
    fn is_high(&mut self) -> Result<bool, Self::Error> {
        // SAFETY: reading changes nothing.
        Ok(unsafe { (*pac::GPIOB::ptr()).idr().read().bits() } >> self.0 & 1 == 1)
    }

    fn is_low(&mut self) -> Result<bool, Self::Error> {
        self.is_high().map(|high| !high)
    }
}

/// Sends one byte of the log to the trace port, where a debugger has opened it.
#[cfg(feature = "no-panic")]
pub fn put_log(byte: u8) {
    /// Looks at a full port before the byte is dropped.
    const PATIENCE: u32 = 1_000;
    // SAFETY: the logger writes with interrupts off, and nothing else uses the port.
    let trace = unsafe { &mut *cortex_m::peripheral::ITM::PTR };
    // On, and its first channel too (Armv7-M Architecture Reference Manual, C1.7).
    let is_open =
        trace.tcr.read() & 1 == 1 && trace.ter.first().is_some_and(|on| on.read() & 1 == 1);
    if let (true, Some(channel)) = (is_open, trace.stim.first_mut()) {
        for _ in 0..PATIENCE {
            if channel.is_fifo_ready() {
                return channel.write_u8(byte);
            }
        }
    }
}

/// What a fault handler does: silence, a page that says so, and the watchdog does the rest.
pub fn last_words() -> ! {
    cortex_m::interrupt::disable();
    // SAFETY: interrupts are off and nobody comes back; the output is forced low.
    unsafe { (*TIM4::ptr()).ccmr1_output().write(|w| w.bits(0b100 << 4)) };
    let mut bus = LineBus::new(Bare(8), Bare(9), Cycles);
    let (strips, _) = STOPPED.as_chunks::<STRIP_BYTES>();
    // Where there is no panel either, the watchdog is all that is left.
    let _ = show_last(&mut bus, strips);
    loop {
        cortex_m::asm::nop();
    }
}
