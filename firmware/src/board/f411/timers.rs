//! Oscillator, clock, sounder and link of the F411, by their registers.

use core::cell::Cell;

use critical_section::Mutex;
use embedded_hal::delay::DelayNs;
use embedded_hal::pwm::{ErrorType, SetDutyCycle};
use pennyweight_core::Instant;
use pennyweight_drivers::{Timing, Tone};
use stm32f4xx_hal::pac::{self, TIM4, TIM5, USART2};

/// As fast as it goes at the voltage scale that it has after reset.
const MEGAHERTZ: u32 = 84;
/// The peripherals' slow bus runs at half of it; rounded, 0.1 % off.
const BAUD_DIVIDER: u16 = ((42_000_000_u32 + 57_600) / 115_200) as u16;

/// Busy waiting.
#[derive(Clone, Copy, Debug)]
pub struct Cycles;

impl DelayNs for Cycles {
    fn delay_ns(&mut self, ns: u32) {
        // 21 cycles in 250 ns, rounded up.
        cortex_m::asm::delay((ns / 250).saturating_mul(21).saturating_add(21));
    }
}

/// TIM5: 32 bits of microseconds.
#[derive(Clone, Copy, Debug)]
pub(super) struct Clock;

pub(super) fn timer() -> &'static pac::tim5::RegisterBlock {
    // SAFETY: the block is always mapped; whoever writes it does so in a critical section.
    unsafe { &*TIM5::ptr() }
}

impl Timing for Clock {
    fn micros(&self) -> u32 {
        timer().cnt().read().bits()
    }

    fn uninterrupted<R>(&self, work: impl FnOnce() -> R) -> R {
        critical_section::with(|_| work())
    }
}

/// The time, 64 bits of it: it is read far more often than the 71 minutes after which 32 wrap.
pub(super) fn now() -> Instant {
    static SEEN: Mutex<Cell<u64>> = Mutex::new(Cell::new(0));
    critical_section::with(|section| {
        let seen = SEEN.borrow(section);
        let mut now = seen.get() & !u64::from(u32::MAX) | u64::from(Clock.micros());
        if now < seen.get() {
            now = now.wrapping_add(1 << 32);
        }
        seen.set(now);
        Instant::from_micros(now)
    })
}

/// Channel 1 of TIM4, which counts microseconds.
pub(super) struct Channel(pub(super) TIM4);

impl ErrorType for Channel {
    type Error = core::convert::Infallible;
}

impl SetDutyCycle for Channel {
    fn max_duty_cycle(&self) -> u16 {
        self.0.arr().read().bits() as u16
    }

    fn set_duty_cycle(&mut self, duty: u16) -> Result<(), Self::Error> {
        // SAFETY: any value is a compare value.
        self.0.ccr1().write(|w| unsafe { w.bits(duty.into()) });
        Ok(())
    }
}

impl Tone for Channel {
    fn set_hertz(&mut self, hertz: u16) -> Result<(), Self::Error> {
        let period = 1_000_000_u32.checked_div(hertz.into()).unwrap_or(u32::MAX);
        let reload = period.saturating_sub(1).min(u16::MAX.into());
        // SAFETY: any value of 16 bits is a reload value.
        self.0.arr().write(|w| unsafe { w.bits(reload) });
        Ok(())
    }
}

/// 84 MHz from the oscillator of 16 MHz: by 8, times 84, by 2. Two wait states, with prefetch and
/// both caches (RM0383, 3.4.1); the slow bus runs at half (6.3.3).
pub(super) fn start_oscillator(rcc: &pac::RCC, flash: &pac::FLASH) {
    // SAFETY: the bits named there; the clock is changed once what it needs stands.
    unsafe {
        flash.acr().write(|w| w.bits(0b111 << 8 | 2));
        rcc.pllcfgr().write(|w| w.bits(4 << 24 | 84 << 6 | 8));
        rcc.cr().modify(|r, w| w.bits(r.bits() | 1 << 24));
        while rcc.cr().read().bits() & 1 << 25 == 0 {}
        rcc.cfgr().write(|w| w.bits(0b100 << 10));
        rcc.cfgr().write(|w| w.bits(0b100 << 10 | 0b10));
        while rcc.cfgr().read().bits() & 0b1100 != 0b1000 {}
    }
}

pub(super) fn start_clock(timer: &TIM5) {
    // SAFETY: a prescaler of 84 makes microseconds; the rest are the bits named in RM0383, 13.4.
    unsafe {
        timer.psc().write(|w| w.bits(MEGAHERTZ - 1));
        timer.arr().write(|w| w.bits(u32::MAX));
        timer.egr().write(|w| w.bits(1));
        timer.sr().write(|w| w.bits(0));
        timer.cr1().write(|w| w.bits(1));
    }
}

pub(super) fn start_tone(timer: &TIM4) {
    // SAFETY: as above; channel 1 in PWM mode 1 with preload, on the pin.
    unsafe {
        timer.psc().write(|w| w.bits(MEGAHERTZ - 1));
        timer.ccmr1_output().write(|w| w.bits(0b110 << 4 | 1 << 3));
        timer.ccer().write(|w| w.bits(1));
        timer.cr1().write(|w| w.bits(1 << 7 | 1));
        timer.egr().write(|w| w.bits(1));
    }
}

pub(super) fn open_link(port: &USART2) {
    // SAFETY: the bits named in RM0383, 19.6: on, both ways, an interrupt when a byte came.
    unsafe {
        port.brr().write(|w| w.bits(BAUD_DIVIDER));
        port.cr1()
            .write(|w| w.bits(1 << 13 | 1 << 5 | 1 << 3 | 1 << 2));
    }
}
