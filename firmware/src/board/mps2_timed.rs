//! The emulated board again, with its own clock: interrupts and the queue as on a real one.
//!
//! A timer's interrupt stands in for the converter's and queues codes of a session that repeats: a
//! vessel is placed, poured into and lifted. A strip of the panel keeps the loop busy for as long
//! as a real one. So that the emulator shows what becomes of it, the loop is held up for
//! [`HELD_US`] after [`HOLD_AT_US`], which fills the queue, and for ever after [`HANG_AT_US`],
//! which is for the watchdog.
//!
//! Interrupts: Arm Application Note 386 (DAI 0386), "Interrupts".

#![expect(
    unsafe_code,
    reason = "interrupts and the vector table are unsafe to state"
)]

use core::cell::{Cell, RefCell};
use core::sync::atomic::{AtomicU32, Ordering};

use cortex_m::interrupt::InterruptNumber;
use cortex_m::peripheral::NVIC;
use critical_section::Mutex;
use pennyweight_core::keep::Keeper;
use pennyweight_core::link::STRIP_BYTES;
use pennyweight_core::units::AdcCode;
use pennyweight_core::view::Light;
use pennyweight_core::{Instant, Mode, Setup};
use pennyweight_superloop::{Board, Conversion, Happening, Intake, Queue, Waiting, split};
use static_cell::ConstStaticCell;

use super::cmsdk::{
    CLOCK, Registers, TIMER_CONTROL, TIMER_ON, TIMER_RELOAD, TIMER_VALUE, UART_DATA, UART_ON,
    UART_RECEIVED, UART_STATE,
};
use super::memory_flash::{self, MemoryFlash};
use crate::stack;

const CONVERTER: Registers = Registers(0x4000_0000);
const COUNTER: Registers = Registers(0x4000_1000);
const ALARM: Registers = Registers(0x4000_2000);
const UART_LINK: Registers = Registers(0x4000_4000);
const UART_LOG: Registers = Registers(0x4000_5000);
const WATCHDOG: Registers = Registers(0x4000_8000);

const TIMER_INTERRUPTS: usize = 0xc;
const TIMER_ON_AND_INTERRUPT: u32 = TIMER_ON | 1 << 3;

const ALARM_CONTROL: usize = 0x8;
const ALARM_INTERRUPTS: usize = 0xc;
/// On, once, 32 bits, with an interrupt.
const ALARM_ONCE: u32 = 1 << 7 | 1 << 5 | 1 << 1 | 1;

const WATCHDOG_LOAD: usize = 0x0;
const WATCHDOG_CONTROL: usize = 0x8;
const WATCHDOG_INTERRUPTS: usize = 0xc;
const WATCHDOG_LOCK: usize = 0xc00;
const WATCHDOG_KEY: u32 = 0x1ACC_E551;
/// Two seconds; then it interrupts past any mask, and two later it resets.
const WATCHDOG_TICKS: u32 = 2 * CLOCK;

/// Conversions a second.
const SPS: u32 = 80;
const TICKS_PER_US: u32 = CLOCK / 1_000_000;
/// The loop is held up once, after this, microseconds.
pub const HOLD_AT_US: u64 = 6_000_000;
/// For so long: not as long as the watchdog waits.
pub const HELD_US: u64 = 1_500_000;
/// The loop hangs after this.
pub const HANG_AT_US: u64 = 11_000_000;
/// A strip takes so long at 400 kHz, microseconds.
const STRIP_US: u32 = 3_200;

/// What the codes are made with.
pub const SETUP: Setup = Setup {
    zero_code: 20_000,
    counts_per_gram: 420.0,
    sps: SPS as f32,
    mode: Mode::Service,
};

/// The session: hundredths of a gram to go to, and in how many conversions.
const SESSION: [(i32, i32); 7] = [
    (0, 200),
    (30_000, 16),
    (30_000, 160),
    (33_000, 300),
    (32_920, 4),
    (32_920, 320),
    (0, 12),
];

static QUEUE: ConstStaticCell<Queue> = ConstStaticCell::new(Queue::new());
static LOST: AtomicU32 = AtomicU32::new(0);
/// Conversions that the interrupt has made.
static MADE: AtomicU32 = AtomicU32::new(0);
static SENSOR: Mutex<RefCell<Option<Sensor>>> = Mutex::new(RefCell::new(None));

/// What the converter's interrupt works on.
struct Sensor {
    intake: Intake<'static>,
    stretch: usize,
    conversion: i32,
    from: i32,
    noise: u32,
}

impl Sensor {
    /// The next code of the session.
    fn convert(&mut self) -> i32 {
        let (to, count) = SESSION.get(self.stretch).copied().unwrap_or((0, 1));
        self.conversion = self.conversion.wrapping_add(1);
        let way = to.wrapping_sub(self.from).wrapping_mul(self.conversion);
        let shown = self.from.wrapping_add(way.checked_div(count).unwrap_or(0));
        if self.conversion >= count {
            self.from = to;
            self.conversion = 0;
            self.stretch = self.stretch.wrapping_add(1) % SESSION.len();
        }
        // Noise of a few codes, from a linear congruence (Numerical Recipes, 7.1).
        self.noise = self
            .noise
            .wrapping_mul(1_664_525)
            .wrapping_add(1_013_904_223);
        let noise = (self.noise >> 29).cast_signed();
        // 420 codes a gram.
        20_000 + shown * 21 / 5 + noise
    }
}

/// Time since power-up: a counter of 32 bits that is read more often than it wraps.
fn now() -> Instant {
    static SEEN: Mutex<Cell<u64>> = Mutex::new(Cell::new(0));
    critical_section::with(|section| {
        let seen = SEEN.borrow(section);
        // It counts down.
        let ticks = !COUNTER.read(TIMER_VALUE);
        let mut now = seen.get() & !u64::from(u32::MAX) | u64::from(ticks);
        if now < seen.get() {
            now = now.wrapping_add(1 << 32);
        }
        seen.set(now);
        Instant::from_micros(now / u64::from(TICKS_PER_US))
    })
}

/// A timer ran down: a conversion is ready.
extern "C" fn converted() {
    let at = now();
    critical_section::with(|section| {
        if let Ok(mut sensor) = SENSOR.borrow(section).try_borrow_mut()
            && let Some(sensor) = sensor.as_mut()
        {
            let code = AdcCode(sensor.convert());
            sensor.intake.put(Conversion { at, code });
            MADE.fetch_add(1, Ordering::Relaxed);
        }
    });
    CONVERTER.write(TIMER_INTERRUPTS, 1);
}

/// The rest is over.
extern "C" fn woken() {
    ALARM.write(ALARM_INTERRUPTS, 1);
}

unsafe extern "C" {
    fn DefaultHandler();
}

const CONVERTED: usize = 8;
const WOKEN: usize = 10;

// SAFETY: the runtime's linker script looks for this name in this section and takes each entry for
// a handler, which they are.
#[unsafe(link_section = ".vector_table.interrupts")]
#[unsafe(no_mangle)]
static __INTERRUPTS: [unsafe extern "C" fn(); WOKEN + 1] = {
    let mut table: [unsafe extern "C" fn(); WOKEN + 1] = [DefaultHandler; WOKEN + 1];
    table[CONVERTED] = converted;
    table[WOKEN] = woken;
    table
};

#[derive(Clone, Copy)]
struct Line(usize);

// SAFETY: only the two numbers above are ever used, each with its handler in the table.
unsafe impl InterruptNumber for Line {
    fn number(self) -> u16 {
        self.0 as u16
    }
}

/// The board; there is one.
pub struct Mps2Timed {
    waiting: Waiting<'static>,
    was_held: bool,
    taken: u32,
    strips: u32,
}

impl Mps2Timed {
    /// Sets the board up; `None` when that was done before.
    #[must_use]
    pub fn new() -> Option<Self> {
        let (intake, waiting) = split(QUEUE.try_take()?, &LOST);
        UART_LINK.open(UART_ON);
        UART_LOG.open(UART_ON);
        WATCHDOG.write(WATCHDOG_LOCK, WATCHDOG_KEY);
        WATCHDOG.write(WATCHDOG_LOAD, WATCHDOG_TICKS);
        WATCHDOG.write(WATCHDOG_CONTROL, 0b11);
        COUNTER.write(TIMER_RELOAD, u32::MAX);
        COUNTER.write(TIMER_VALUE, u32::MAX);
        COUNTER.write(TIMER_CONTROL, TIMER_ON);
        critical_section::with(|section| {
            *SENSOR.borrow(section).try_borrow_mut().ok()? = Some(Sensor {
                intake,
                stretch: 0,
                conversion: 0,
                from: 0,
                noise: 1,
            });
            Some(())
        })?;
        CONVERTER.write(TIMER_RELOAD, CLOCK / SPS - 1);
        CONVERTER.write(TIMER_VALUE, CLOCK / SPS - 1);
        CONVERTER.write(TIMER_CONTROL, TIMER_ON_AND_INTERRUPT);
        for line in [CONVERTED, WOKEN] {
            // SAFETY: what their handlers work on is set up above.
            unsafe { NVIC::unmask(Line(line)) };
        }
        Some(Self {
            waiting,
            was_held: false,
            taken: 0,
            strips: 0,
        })
    }
}

fn wait(us: u64) {
    let end = now().micros().saturating_add(us);
    while now().micros() < end {}
}

impl Board for Mps2Timed {
    type Flash = MemoryFlash;

    /// 325,000 instructions, of which the emulator runs 62.5 in a microsecond.
    const PAINT_US: u32 = 5_200;
    const STRIP_US: u32 = STRIP_US + 100;
    const TICKS_PER_SECOND: u32 = CLOCK;

    fn ticks(&self) -> u32 {
        !COUNTER.read(TIMER_VALUE)
    }

    fn stack_peak(&self) -> u32 {
        stack::peak()
    }

    fn now(&self) -> Instant {
        now()
    }

    fn conversion(&mut self) -> Option<Conversion> {
        let conversion = self.waiting.take();
        self.taken = self.taken.wrapping_add(conversion.is_some().into());
        conversion
    }

    fn lost(&self) -> u32 {
        self.waiting.lost()
    }

    fn restart_converter(&mut self) {}

    fn receive(&mut self) -> Option<u8> {
        let waits = UART_LINK.read(UART_STATE) & UART_RECEIVED != 0;
        // The register is 8 bits wide; the rest reads as 0.
        waits.then(|| UART_LINK.read(UART_DATA) as u8)
    }

    fn send(&mut self, bytes: &[u8]) {
        for &byte in bytes {
            UART_LINK.put(byte);
        }
    }

    fn show(&mut self, _: u8, _: &[u8; STRIP_BYTES]) -> bool {
        wait(STRIP_US.into());
        self.strips = self.strips.wrapping_add(1);
        true
    }

    fn sound(&mut self, _: Option<u16>) {}

    fn light(&mut self, _: Light) {}

    fn dim(&mut self, _: bool) {}

    fn keeper(&mut self) -> Option<Keeper<'static, MemoryFlash>> {
        memory_flash::keeper()
    }

    fn restart(&mut self) {
        cortex_m::peripheral::SCB::sys_reset();
    }

    fn feed(&mut self) {
        // Clearing its interrupt has it count anew.
        WATCHDOG.write(WATCHDOG_INTERRUPTS, 1);
    }

    fn note(&mut self, happening: Happening) {
        if !matches!(happening, Happening::Code(_)) {
            defmt::info!("{}", happening);
        }
    }

    fn rest(&mut self, until: Instant) {
        let at = now().micros();
        if at >= HANG_AT_US {
            #[cfg(feature = "planted-panic")]
            planted(at);
            #[cfg(feature = "planted-fault")]
            if at > 0 {
                cortex_m::asm::udf();
            }
            defmt::info!(
                "the loop hangs; conversions made {=u32}, taken {=u32}, lost {=u32}; strips {=u32}; \
                 stack {=u32}",
                MADE.load(Ordering::Relaxed),
                self.taken,
                self.waiting.lost(),
                self.strips,
                stack::peak(),
            );
            loop {
                cortex_m::asm::nop();
            }
        }
        if at >= HOLD_AT_US && !self.was_held {
            self.was_held = true;
            wait(HELD_US);
        }
        critical_section::with(|_| {
            let left = until.micros().saturating_sub(now().micros());
            if left > 0 && self.waiting.is_empty() {
                let ticks = u32::try_from(left).unwrap_or(u32::MAX);
                ALARM.write(0, ticks.saturating_mul(TICKS_PER_US));
                ALARM.write(ALARM_CONTROL, ALARM_ONCE);
                // What interrupts wakes, and is taken after the section.
                cortex_m::asm::wfi();
            }
        });
    }
}

/// Reads past a table: the compiler cannot know the time.
#[cfg(feature = "planted-panic")]
fn planted(at: u64) {
    const TABLE: [u8; 4] = [1, 2, 3, 4];
    defmt::info!("{=u8}", TABLE[(at >> 2) as usize]);
}

/// Sends one byte of the log.
pub fn put_log(byte: u8) {
    UART_LOG.put(byte);
}

/// What a fault handler does: the sounder is silent here and there is no panel; the watchdog does
/// the rest.
pub fn last_words() -> ! {
    cortex_m::interrupt::disable();
    loop {
        cortex_m::asm::nop();
    }
}
