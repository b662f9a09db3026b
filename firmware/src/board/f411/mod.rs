//! A small board with an STM32F411xE (Cortex-M4F, 512 KB of flash, 128 KB of RAM).
//!
//! | pin | to | |
//! |---|---|---|
//! | PB0, PB1 | two-wire converter: data, clock | PB0 interrupts when it falls |
//! | PB8, PB9 | panel: clock, data | open drain, pull-ups of 2.2 kOhm to 4.7 kOhm |
//! | PB6 | sounder | TIM4 channel 1 |
//! | PB12, PB13 | light: red, green | active high |
//! | PA4, PA5, PA6, PA7 | serial flash: select, clock, out, in | SPI1 |
//! | PA2, PA3 | link: to the host, from the host | USART2, 115,200 baud |
//!
//! The part's own oscillator is good to 1 %, which is enough for a stir's seconds: no crystal is
//! needed. Registers: reference manual RM0383. Nothing of this was ever tried on hardware.
//!
//! The HAL gives pins, their types and the watchdog. Its set-up of clocks and of SPI searches for
//! dividers and panics where it finds none, so that both are done by registers here; and its I2C
//! waits without bound, see [`LineBus`].

#![expect(
    unsafe_code,
    reason = "registers are shared with interrupts and fault handlers"
)]

use core::cell::RefCell;
use core::sync::atomic::AtomicU32;

use critical_section::Mutex;
#[cfg(not(feature = "no-panic"))]
use defmt_rtt as _;
use embedded_hal::delay::DelayNs;
use embedded_hal_bus::spi::ExclusiveDevice;
use embedded_storage::nor_flash::ReadNorFlash;
use pennyweight_core::journal::Span;
use pennyweight_core::keep::Keeper;
use pennyweight_core::link::{MAX_FRAME, STRIP_BYTES};
use pennyweight_core::spec::limits::SHEET_BYTES_MAX;
use pennyweight_core::units::AdcCode;
use pennyweight_core::view::Light;
use pennyweight_core::{Instant, Mode, Setup};
use pennyweight_drivers::flash::Flash;
use pennyweight_drivers::line_bus::LineBus;
use pennyweight_drivers::partition::Partition;
use pennyweight_drivers::two_wire::{Gain, TwoWire};
use pennyweight_drivers::{Colour, Lamp, PANEL_ADDRESS, Panel, Polarity, Sounder, Timing};
use pennyweight_superloop::{Board, Conversion, Happening, Intake, Queue, Waiting, split};
use static_cell::{ConstStaticCell, StaticCell};
use stm32f4xx_hal::gpio::{Edge, ExtiPin, Input, OpenDrain, Output, Pin, Speed};
use stm32f4xx_hal::pac::{self, EXTI, Interrupt, NVIC, USART2, interrupt};
use stm32f4xx_hal::prelude::*;
use stm32f4xx_hal::watchdog::IndependentWatchdog;

use crate::stack;

mod last_words;
mod spi;
mod timers;

pub use last_words::last_words;
#[cfg(feature = "no-panic")]
pub use last_words::put_log;
pub use timers::Cycles;
use timers::{Channel, Clock, now, open_link, start_clock, start_oscillator, start_tone, timer};

/// Until settings are found in flash: a cell of 5 kg and 1 mV/V at gain 128 gives some 420 codes
/// a gram; the converter is strapped to 80 conversions a second.
pub const SETUP: Setup = Setup {
    zero_code: 0,
    counts_per_gram: 420.0,
    sps: 80.0,
    mode: Mode::Service,
};

/// Bytes of the serial flash.
const FLASH_BYTES: u32 = 1 << 20;
/// Of these the journal's, from the beginning; what follows are two places of the sheet.
const JOURNAL_BYTES: u32 = 512 * 1024;
const SHEETS_BYTES: u32 = 80 * 1024;
/// Bytes of the link that can wait: more than the longest frame, each way.
const LINK_BYTES: usize = 512;
const _: () = assert!(LINK_BYTES > MAX_FRAME);

/// The longest that a whole queue of bytes takes to be sent, seconds.
const SENDING_S: f32 = 0.1;

type Bytes = heapless::spsc::Queue<u8, LINK_BYTES>;

static QUEUE: ConstStaticCell<Queue> = ConstStaticCell::new(Queue::new());
static HEARD: ConstStaticCell<Bytes> = ConstStaticCell::new(Bytes::new());
static SAID: ConstStaticCell<Bytes> = ConstStaticCell::new(Bytes::new());
static LOST: AtomicU32 = AtomicU32::new(0);
static FLASH: StaticCell<RefCell<Serial>> = StaticCell::new();
/// The sheet in use, copied at power-up: the serial flash cannot be read in place.
static SHEET: ConstStaticCell<[u8; SHEET_BYTES_MAX]> = ConstStaticCell::new([0; SHEET_BYTES_MAX]);

type Converter = TwoWire<Pin<'B', 1, Output>, Pin<'B', 0, Input>, Cycles, Clock>;
type Bus = LineBus<Pin<'B', 8, Output<OpenDrain>>, Pin<'B', 9, Output<OpenDrain>>, Cycles>;
type Serial = Flash<ExclusiveDevice<spi::Bus, Pin<'A', 4, Output>, Cycles>, Cycles>;

type Stretch = Partition<'static, Serial>;

/// What the converter's interrupt works on.
struct Sensor {
    converter: Converter,
    intake: Intake<'static>,
}

/// What the link's interrupt works on.
struct Port {
    heard: heapless::spsc::Producer<'static, u8>,
    said: heapless::spsc::Consumer<'static, u8>,
}

static SENSOR: Mutex<RefCell<Option<Sensor>>> = Mutex::new(RefCell::new(None));
static PORT: Mutex<RefCell<Option<Port>>> = Mutex::new(RefCell::new(None));

/// The board; there is one.
pub struct F411 {
    waiting: Waiting<'static>,
    heard: heapless::spsc::Consumer<'static, u8>,
    said: heapless::spsc::Producer<'static, u8>,
    bus: Bus,
    is_awake: bool,
    is_dim: bool,
    sounder: Option<Sounder<Channel>>,
    lamp: Option<Lamp<Pin<'B', 12, Output>, Pin<'B', 13, Output>>>,
    flash: Option<&'static RefCell<Serial>>,
    watchdog: IndependentWatchdog,
    is_under_way: bool,
}

impl F411 {
    /// Sets the board up; `None` when that was done before.
    #[must_use]
    pub fn new() -> Option<Self> {
        let parts = pac::Peripherals::take()?;
        // First, so that a board that hangs below begins again.
        let mut watchdog = IndependentWatchdog::new(parts.IWDG);
        // Not while a debugger has halted it. Longer at first: making a journal of flash that holds
        // none takes an erase for each of its first sectors.
        watchdog.stop_on_debug(&parts.DBGMCU, true);
        watchdog.start(8_000.millis());

        start_oscillator(&parts.RCC, &parts.FLASH);
        let mut rcc = parts.RCC.constrain();
        rcc.apb1enr().modify(|_, w| {
            w.tim4en().set_bit();
            w.tim5en().set_bit();
            w.usart2en().set_bit()
        });
        rcc.apb2enr().modify(|_, w| w.spi1en().set_bit());
        let ports = (parts.GPIOA.split(&mut rcc), parts.GPIOB.split(&mut rcc));
        let (port_a, port_b) = ports;

        start_clock(&parts.TIM5);
        start_tone(&parts.TIM4);
        let _ = port_b.pb6.into_alternate::<2>();
        open_link(&parts.USART2);
        let _ = port_a.pa2.into_alternate::<7>();
        let _ = port_a.pa3.into_alternate::<7>();

        let (intake, waiting) = split(QUEUE.try_take()?, &LOST);
        let (heard_in, heard) = HEARD.try_take()?.split();
        let (said, said_out) = SAID.try_take()?.split();

        // Absent, it is never ready.
        let mut data = port_b.pb0.into_pull_up_input();
        let mut syscfg = parts.SYSCFG.constrain(&mut rcc);
        let mut exti = parts.EXTI;
        data.make_interrupt_source(&mut syscfg);
        data.trigger_on_edge(&mut exti, Edge::Falling);
        data.enable_interrupt(&mut exti);
        let clock = port_b.pb1.into_push_pull_output();
        let converter = TwoWire::new(clock, data, Cycles, Clock, Gain::First128).ok()?;
        critical_section::with(|section| {
            *SENSOR.borrow(section).try_borrow_mut().ok()? = Some(Sensor { converter, intake });
            *PORT.borrow(section).try_borrow_mut().ok()? = Some(Port {
                heard: heard_in,
                said: said_out,
            });
            Some(())
        })?;

        let _ = port_a.pa5.into_alternate::<5>();
        let _ = port_a.pa6.into_alternate::<5>();
        let _ = port_a.pa7.into_alternate::<5>();
        let spi = spi::Bus::new(parts.SPI1);
        let select = port_a.pa4.into_push_pull_output().speed(Speed::High);
        let device = ExclusiveDevice::new(spi, select, Cycles).ok()?;

        let board = Self {
            waiting,
            heard,
            said,
            bus: LineBus::new(
                port_b.pb8.into_open_drain_output(),
                port_b.pb9.into_open_drain_output(),
                Cycles,
            ),
            is_awake: false,
            is_dim: false,
            sounder: Sounder::new(Channel(parts.TIM4)).ok(),
            lamp: Lamp::new(
                port_b.pb12.into_push_pull_output(),
                port_b.pb13.into_push_pull_output(),
                Polarity::ActiveHigh,
            )
            .ok(),
            flash: Flash::new(device, Cycles, FLASH_BYTES)
                .ok()
                .and_then(|flash| FLASH.try_init(RefCell::new(flash)).map(|flash| &*flash)),
            watchdog,
            is_under_way: false,
        };
        for line in [Interrupt::EXTI0, Interrupt::TIM5, Interrupt::USART2] {
            // SAFETY: all they work on is set up above.
            unsafe { NVIC::unmask(line) };
        }
        Some(board)
    }

    fn wake_panel(&mut self) -> bool {
        self.bus.take_over().is_ok() && Panel::new(&mut self.bus, PANEL_ADDRESS).is_ok()
    }
}

impl Board for F411 {
    type Flash = Stretch;

    /// 325,000 instructions at 84 MHz, with two cycles for each: flash has wait states.
    const PAINT_US: u32 = 7_800;
    /// As long as the model of the bus takes, and a converter read in between.
    const STRIP_US: u32 = 3_700;
    const TICKS_PER_SECOND: u32 = 1_000_000;

    fn ticks(&self) -> u32 {
        Clock.micros()
    }

    fn stack_peak(&self) -> u32 {
        stack::peak()
    }

    fn now(&self) -> Instant {
        now()
    }

    fn conversion(&mut self) -> Option<Conversion> {
        let conversion = self.waiting.take();
        if conversion.is_none() {
            // Should the edge have been missed, the line is low and stays so: it is looked at once
            // a pass.
            NVIC::pend(Interrupt::EXTI0);
        }
        conversion
    }

    fn lost(&self) -> u32 {
        self.waiting.lost()
    }

    fn restart_converter(&mut self) {
        with_sensor(|sensor| {
            // What does not answer is told by its silence.
            let _ = sensor.converter.power_down();
            let _ = sensor.converter.power_up();
        });
    }

    fn receive(&mut self) -> Option<u8> {
        self.heard.dequeue()
    }

    fn send(&mut self, bytes: &[u8]) {
        for &byte in bytes {
            // A host that does not listen loses the rest, and asks again.
            if self.said.enqueue(byte).is_err() {
                break;
            }
        }
        set_sending(true);
    }

    fn show(&mut self, index: u8, columns: &[u8; STRIP_BYTES]) -> bool {
        if !self.is_awake {
            self.is_awake = self.wake_panel();
            self.is_dim = false;
        }
        self.is_awake = self.is_awake
            && Panel::awake(&mut self.bus, PANEL_ADDRESS)
                .send(index, columns)
                .is_ok();
        self.is_awake
    }

    fn sound(&mut self, hertz: Option<u16>) {
        if let Some(Ok(())) = self.sounder.as_mut().map(|sounder| sounder.sound(hertz)) {}
    }

    fn dim(&mut self, dim: bool) {
        if dim != self.is_dim && self.is_awake {
            let told = Panel::awake(&mut self.bus, PANEL_ADDRESS).dim(dim);
            self.is_awake = told.is_ok();
            self.is_dim = dim;
        }
    }

    fn light(&mut self, light: Light) {
        let colour = match light {
            Light::Off => Colour::Dark,
            Light::Go => Colour::Green,
            Light::Ease => Colour::Amber,
            Light::Stop => Colour::Red,
        };
        if let Some(Ok(())) = self.lamp.as_mut().map(|lamp| lamp.show(colour)) {}
    }

    fn keeper(&mut self) -> Option<Keeper<'static, Stretch>> {
        let flash = self.flash?;
        let journal = Partition::new(flash, 0, JOURNAL_BYTES)?;
        let sheets = Partition::new(flash, JOURNAL_BYTES, SHEETS_BYTES)?;
        Keeper::open(journal, sheets, copied).ok()
    }

    fn restart(&mut self) {
        // The reply is still on its way; a host that misses it asks for the hello.
        let sent = now().offset(SENDING_S);
        while !self.said.is_empty() && now() < sent {}
        // The last byte leaves the port's own register.
        Cycles.delay_ms(1);
        pac::SCB::sys_reset();
    }

    fn feed(&mut self) {
        if !self.is_under_way {
            // The loop has begun: from now on two seconds are enough.
            self.is_under_way = true;
            self.watchdog.start(2_000.millis());
        }
        self.watchdog.feed();
    }

    fn note(&mut self, happening: Happening) {
        match happening {
            Happening::Code(_) => defmt::debug!("{}", happening),
            Happening::Began { .. }
            | Happening::Cleared
            | Happening::PanelBack
            | Happening::Reset
            | Happening::Restarts => defmt::info!("{}", happening),
            Happening::Fault(_)
            | Happening::Lost(_)
            | Happening::ConverterRestarted
            | Happening::PanelGone
            | Happening::Refused(_) => defmt::warn!("{}", happening),
        }
    }

    fn rest(&mut self, until: Instant) {
        critical_section::with(|_| {
            // SAFETY: compare 1 of the clock, and its interrupt; any value may stand there.
            unsafe {
                timer().ccr1().write(|w| w.bits(until.micros() as u32));
                timer().sr().write(|w| w.bits(0));
                timer().dier().write(|w| w.bits(1 << 1));
            }
            // Looked at after the compare value stands: an instant that passes now interrupts.
            if self.waiting.is_empty() && !self.heard.ready() && now() < until {
                // What interrupts wakes, and is taken after the section.
                cortex_m::asm::wfi();
            }
        });
    }
}

/// Copies the sheet to its place in RAM; once, for whoever has it holds it for ever.
fn copied(flash: &mut Stretch, span: Span) -> Option<&'static [u8]> {
    let length = span.end.checked_sub(span.start)? as usize;
    let place = SHEET.try_take()?.get_mut(..length)?;
    flash.read(span.start, place).ok()?;
    Some(place)
}

fn with_sensor(work: impl FnOnce(&mut Sensor)) {
    critical_section::with(|section| {
        if let Ok(mut sensor) = SENSOR.borrow(section).try_borrow_mut()
            && let Some(sensor) = sensor.as_mut()
        {
            work(sensor);
        }
    });
}

fn set_sending(on: bool) {
    critical_section::with(|_| {
        // SAFETY: bit 7 of the port's first control register is the interrupt when it can send.
        unsafe {
            (*USART2::ptr())
                .cr1()
                .modify(|r, w| w.bits(r.bits() & !(1 << 7) | u16::from(on) << 7));
        }
    });
}

/// A conversion is ready: the data line fell.
#[interrupt]
fn EXTI0() {
    let at = now();
    with_sensor(|sensor| {
        // What was cut short or never let go of is no conversion; its absence is told.
        if let Ok(Some(code)) = sensor.converter.read() {
            sensor.intake.put(Conversion {
                at,
                code: AdcCode(code),
            });
        }
    });
    // The bits of the code were edges too.
    // SAFETY: bit 0 of the pending register belongs to this line; writing a one clears it.
    unsafe { (*EXTI::ptr()).pr().write(|w| w.bits(1)) };
    NVIC::unpend(Interrupt::EXTI0);
}

/// The rest is over.
#[interrupt]
fn TIM5() {
    // SAFETY: clears what pends, and asks for no more until the next rest.
    unsafe {
        timer().dier().write(|w| w.bits(0));
        timer().sr().write(|w| w.bits(0));
    }
}

/// A byte came over the link, or one can be sent.
#[interrupt]
fn USART2() {
    critical_section::with(|section| {
        let Ok(mut port) = PORT.borrow(section).try_borrow_mut() else {
            return;
        };
        let Some(port) = port.as_mut() else {
            return;
        };
        // SAFETY: this interrupt alone reads and writes the data register.
        let registers = unsafe { &*USART2::ptr() };
        let state = registers.sr().read().bits();
        // Received, or overrun: both end by reading the data register after the state.
        if state & (1 << 5 | 1 << 3) != 0 {
            let byte = registers.dr().read().bits() as u8;
            // Where the loop is behind the byte is lost, and its frame refused.
            let _ = port.heard.enqueue(byte);
        }
        if state & 1 << 7 != 0 {
            match port.said.dequeue() {
                Some(byte) => {
                    // SAFETY: any byte can be sent.
                    registers.dr().write(|w| unsafe { w.bits(byte.into()) });
                }
                None => set_sending(false),
            }
        }
    });
}
