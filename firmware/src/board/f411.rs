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

#![expect(unsafe_code, reason = "registers are shared with interrupts and fault handlers")]

use core::cell::{Cell, RefCell};
use core::sync::atomic::AtomicU32;

use critical_section::Mutex;
use defmt_rtt as _;
use embedded_hal::delay::DelayNs;
use embedded_hal::digital::{ErrorType, InputPin, OutputPin};
use embedded_hal::pwm::{ErrorType as PwmErrorType, SetDutyCycle};
use embedded_hal_bus::spi::{ExclusiveDevice, NoDelay};
use pennyweight_core::link::STRIP_BYTES;
use pennyweight_core::units::AdcCode;
use pennyweight_core::view::Light;
use pennyweight_core::{Instant, Mode, Setup};
use pennyweight_drivers::flash::Flash;
use pennyweight_drivers::line_bus::LineBus;
use pennyweight_drivers::two_wire::{Gain, TwoWire};
use pennyweight_drivers::{Colour, Lamp, PANEL_ADDRESS, Panel, Polarity, Sounder, Timing, Tone};
use pennyweight_superloop::{Board, Conversion, Happening, Intake, Queue, STOPPED, Waiting, split};
use static_cell::ConstStaticCell;
use stm32f4xx_hal::gpio::{Edge, ExtiPin, Input, OpenDrain, Output, Pin, Speed};
use stm32f4xx_hal::pac::{self, EXTI, Interrupt, NVIC, SPI1, TIM4, TIM5, USART2, interrupt};
use stm32f4xx_hal::prelude::*;
use stm32f4xx_hal::rcc::Config;
use stm32f4xx_hal::spi::{Mode as SpiMode, Phase, Polarity as SpiPolarity, Spi};
use stm32f4xx_hal::watchdog::IndependentWatchdog;

use crate::stack;

/// Until settings are found in flash: a cell of 5 kg and 1 mV/V at gain 128 gives some 420 codes
/// a gram; the converter is strapped to 80 conversions a second.
pub const SETUP: Setup = Setup {
    zero_code: 0,
    counts_per_gram: 420.0,
    sps: 80.0,
    mode: Mode::Service,
};

const MEGAHERTZ: u32 = 96;
/// The peripherals' slow bus runs at half of it.
const BAUD_DIVIDER: u16 = (48_000_000_u32 / 115_200) as u16;
/// Bytes of the serial flash.
const FLASH_BYTES: u32 = 1 << 20;
/// Bytes of the link that can wait: more than the longest frame, each way.
const LINK_BYTES: usize = 512;

type Bytes = heapless::spsc::Queue<u8, LINK_BYTES>;

static QUEUE: ConstStaticCell<Queue> = ConstStaticCell::new(Queue::new());
static HEARD: ConstStaticCell<Bytes> = ConstStaticCell::new(Bytes::new());
static SAID: ConstStaticCell<Bytes> = ConstStaticCell::new(Bytes::new());
static LOST: AtomicU32 = AtomicU32::new(0);

type Converter = TwoWire<Pin<'B', 1, Output>, Pin<'B', 0, Input>, Cycles, Clock>;
type Bus = LineBus<Pin<'B', 8, Output<OpenDrain>>, Pin<'B', 9, Output<OpenDrain>>, Cycles>;
type Store = Flash<ExclusiveDevice<Spi<SPI1>, Pin<'A', 4, Output>, NoDelay>, Cycles>;

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

/// Busy waiting.
#[derive(Clone, Copy, Debug)]
struct Cycles;

impl DelayNs for Cycles {
    fn delay_ns(&mut self, ns: u32) {
        // 96 cycles in 1000 ns, rounded up.
        cortex_m::asm::delay((ns / 125).saturating_mul(12).saturating_add(12));
    }
}

/// TIM5: 32 bits of microseconds.
#[derive(Clone, Copy, Debug)]
struct Clock;

fn timer() -> &'static pac::tim5::RegisterBlock {
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
fn now() -> Instant {
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
struct Channel(TIM4);

impl PwmErrorType for Channel {
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

/// The board; there is one.
pub struct F411 {
    waiting: Waiting<'static>,
    heard: heapless::spsc::Consumer<'static, u8>,
    said: heapless::spsc::Producer<'static, u8>,
    bus: Bus,
    is_awake: bool,
    sounder: Option<Sounder<Channel>>,
    lamp: Option<Lamp<Pin<'B', 12, Output>, Pin<'B', 13, Output>>>,
    flash: Option<Store>,
    watchdog: IndependentWatchdog,
}

impl F411 {
    /// Sets the board up; `None` when that was done before.
    #[must_use]
    pub fn new() -> Option<Self> {
        let parts = pac::Peripherals::take()?;
        // First, so that a board that hangs below begins again.
        let mut watchdog = IndependentWatchdog::new(parts.IWDG);
        watchdog.start(2_000.millis());

        let mut rcc = parts.RCC.freeze(Config::hsi().sysclk(96.MHz()));
        rcc.apb1enr().modify(|_, w| {
            w.tim4en().set_bit();
            w.tim5en().set_bit();
            w.usart2en().set_bit()
        });
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

        let spi = Spi::new(
            parts.SPI1,
            (Some(port_a.pa5), Some(port_a.pa6), Some(port_a.pa7)),
            SpiMode {
                polarity: SpiPolarity::IdleLow,
                phase: Phase::CaptureOnFirstTransition,
            },
            8.MHz(),
            &mut rcc,
        );
        let select = port_a.pa4.into_push_pull_output().speed(Speed::High);
        let device = ExclusiveDevice::new_no_delay(spi, select).ok()?;

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
            sounder: Sounder::new(Channel(parts.TIM4)).ok(),
            lamp: Lamp::new(
                port_b.pb12.into_push_pull_output(),
                port_b.pb13.into_push_pull_output(),
                Polarity::ActiveHigh,
            )
            .ok(),
            flash: Flash::new(device, Cycles, FLASH_BYTES).ok(),
            watchdog,
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

fn start_clock(timer: &TIM5) {
    // SAFETY: a prescaler of 96 makes microseconds; the rest are the bits named in RM0383, 13.4.
    unsafe {
        timer.psc().write(|w| w.bits(MEGAHERTZ - 1));
        timer.arr().write(|w| w.bits(u32::MAX));
        timer.egr().write(|w| w.bits(1));
        timer.sr().write(|w| w.bits(0));
        timer.cr1().write(|w| w.bits(1));
    }
}

fn start_tone(timer: &TIM4) {
    // SAFETY: as above; channel 1 in PWM mode 1 with preload, on the pin.
    unsafe {
        timer.psc().write(|w| w.bits(MEGAHERTZ - 1));
        timer.ccmr1_output().write(|w| w.bits(0b110 << 4 | 1 << 3));
        timer.ccer().write(|w| w.bits(1));
        timer.cr1().write(|w| w.bits(1 << 7 | 1));
        timer.egr().write(|w| w.bits(1));
    }
}

fn open_link(port: &USART2) {
    // SAFETY: the bits named in RM0383, 19.6: on, both ways, an interrupt when a byte came.
    unsafe {
        port.brr().write(|w| w.bits(BAUD_DIVIDER));
        port.cr1().write(|w| w.bits(1 << 13 | 1 << 5 | 1 << 3 | 1 << 2));
    }
}

impl Board for F411 {
    type Flash = Store;

    /// 325,000 instructions at 96 MHz, with two cycles for each: flash has wait states.
    const PAINT_US: u32 = 6_800;
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

    fn light(&mut self, light: Light) {
        let colour = match light {
            Light::Off => Colour::Dark,
            Light::Go => Colour::Green,
            Light::Ease => Colour::Amber,
            Light::Stop => Colour::Red,
        };
        if let Some(Ok(())) = self.lamp.as_mut().map(|lamp| lamp.show(colour)) {}
    }

    fn flash(&mut self) -> Option<&mut Store> {
        self.flash.as_mut()
    }

    fn feed(&mut self) {
        self.watchdog.feed();
    }

    fn note(&mut self, happening: Happening) {
        match happening {
            Happening::Code(_) => defmt::debug!("{}", happening),
            Happening::Began { .. }
            | Happening::Cleared
            | Happening::PanelBack
            | Happening::Reset { kept: true } => defmt::info!("{}", happening),
            Happening::Fault(_)
            | Happening::Lost(_)
            | Happening::ConverterRestarted
            | Happening::PanelGone
            | Happening::Refused(_)
            | Happening::Reset { kept: false } => defmt::warn!("{}", happening),
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

/// What a fault handler does: silence, a page that says so, and the watchdog does the rest.
pub fn last_words() -> ! {
    cortex_m::interrupt::disable();
    // SAFETY: interrupts are off and nobody comes back; the output is forced low.
    unsafe { (*TIM4::ptr()).ccmr1_output().write(|w| w.bits(0b100 << 4)) };
    let mut bus = LineBus::new(Bare(8), Bare(9), Cycles);
    if bus.take_over().is_ok()
        && let Ok(mut panel) = Panel::new(&mut bus, PANEL_ADDRESS)
    {
        let (strips, _) = STOPPED.as_chunks::<STRIP_BYTES>();
        for (index, columns) in (0..).zip(strips) {
            if panel.send(index, columns).is_err() {
                break;
            }
        }
    }
    loop {
        cortex_m::asm::nop();
    }
}
