//! A board made of the real drivers and the models of their chips, with one time for all.
//!
//! The converter's model carries the time. While the loop waits for a bus, works or rests, time
//! passes in short steps, and at each of them the interrupt reads what is ready.

use std::boxed::Box;
use std::collections::VecDeque;
use std::vec::Vec;

use core::cell::RefCell;
use core::sync::atomic::AtomicU32;

use embedded_hal::i2c::{ErrorKind, ErrorType, I2c, Operation};
use embedded_storage::nor_flash::ReadNorFlash;
use pennyweight_core::input::Mode;
use pennyweight_core::journal::Span;
use pennyweight_core::keep::Keeper;
use pennyweight_core::link::{MAX_FRAME, MAX_MESSAGE, Receiver, Reply, Request, STRIP_BYTES, seal};
use pennyweight_core::units::AdcCode;
use pennyweight_core::view::Light;
use pennyweight_core::{Instant, Setup, Station};
use pennyweight_drivers::chips::{flash, panel, two_wire};
use pennyweight_drivers::flash::Flash;
use pennyweight_drivers::partition::Partition;
use pennyweight_drivers::two_wire::{Gain, TwoWire};
use pennyweight_drivers::{PANEL_ADDRESS, Panel};

use crate::{Bench, Board, Conversion, Happening, Intake, Queue, Waiting, split};

/// Time passes in steps of this, microseconds: an interrupt is late by no more.
const STEP_US: u64 = 25;
/// What one look at the counter stands for: two of them enclose a call of the station, 5,000
/// instructions of two cycles at 84 MHz.
const WORK_US: u64 = 50;
/// Drawing a page at worst: 325,000 instructions of two cycles at 84 MHz.
const PAINT_US: u32 = 7_800;
/// One strip, through the driver, on the model of the panel.
const STRIP_US: u32 = 3_700;
/// The board is reset when it was not fed for so long.
pub const PATIENCE_US: u64 = 2_000_000;

pub const SETUP: Setup = Setup {
    zero_code: 20_000,
    counts_per_gram: 420.0,
    sps: 80.0,
    mode: Mode::Service,
};

pub const SHEET: &[u8] = include_bytes!("../../../demo.sheet");

type Converter<'c> =
    TwoWire<two_wire::ClockPin<'c>, two_wire::DataPin<'c>, two_wire::Wait<'c>, two_wire::Clock<'c>>;

type Serial<'c> = Flash<&'c flash::Chip, &'c flash::Chip>;

/// Bytes of the journal at the beginning of the flash; the two places of the sheet follow.
const JOURNAL: u32 = 24 * 1024;
const SHEETS: u32 = 40 * 1024;

/// Read in place, as it were: what is read stays for ever.
fn map(flash: &mut Partition<'_, Serial<'_>>, span: Span) -> Option<&'static [u8]> {
    let mut bytes = std::vec![0; (span.end - span.start) as usize];
    flash.read(span.start, &mut bytes).ok()?;
    Some(bytes.leak())
}

/// As on a board with one place in RAM for the sheet: none before the board has restarted.
pub fn not_yet(_: &mut Partition<'_, Serial<'_>>, _: Span) -> Option<&'static [u8]> {
    None
}

/// The chips on the bench.
pub struct Chips {
    pub converter: two_wire::Chip,
    pub panel: panel::Chip,
    pub flash: flash::Chip,
}

impl Chips {
    pub fn new(period_us: u64, codes: &[i32]) -> Self {
        Self {
            converter: two_wire::Chip::converting(period_us, codes),
            panel: panel::Chip::default(),
            flash: flash::Chip::new(flash::Wrong::Nothing),
        }
    }
}

/// The panel's bus, which fails as a whole when nobody answers.
struct Bus<'c>(&'c panel::Chip);

impl ErrorType for Bus<'_> {
    type Error = ErrorKind;
}

impl I2c for Bus<'_> {
    fn transaction(
        &mut self,
        address: u8,
        operations: &mut [Operation<'_>],
    ) -> Result<(), ErrorKind> {
        self.0.transaction(address, operations)
    }
}

pub struct Model<'c> {
    chips: &'c Chips,
    converter: Converter<'c>,
    intake: Intake<'c>,
    waiting: Waiting<'c>,
    flash: Option<&'c RefCell<Serial<'c>>>,
    /// A sheet can be read in place.
    pub maps: bool,
    /// The board was to be restarted.
    pub restarted: bool,
    /// Every conversion that was read, for the station that is ideal.
    pub read: Vec<Conversion>,
    awake: bool,
    /// Since the light was set the time was asked for so often: the second time ends the pass.
    asked: core::cell::Cell<u32>,
    paint_left: core::cell::Cell<u32>,
    pub painted: core::cell::Cell<u32>,
    /// The sounder, as it changed.
    pub sounds: Vec<(Instant, Option<u16>)>,
    pub light: Light,
    pub dim: bool,
    pub notes: Vec<Happening>,
    pub heard: VecDeque<u8>,
    pub said: Vec<u8>,
    pub fed_at: u64,
    /// The longest time it was not fed.
    pub hungry_us: u64,
    pub restarts: u32,
    /// The panel's bus hangs for so long at every strip.
    pub hang_us: u64,
    /// The clock stands still for the loop.
    pub frozen: Option<Instant>,
    /// Conversions come faster than they can be worked on.
    pub flooded: bool,
    owed: core::cell::Cell<u64>,
}

impl<'c> Model<'c> {
    pub fn new(chips: &'c Chips) -> Self {
        let queue: &'c mut Queue = Box::leak(Box::new(Queue::new()));
        let lost: &'c AtomicU32 = Box::leak(Box::new(AtomicU32::new(0)));
        let (intake, waiting) = split(queue, lost);
        let chip = &chips.converter;
        let converter = TwoWire::new(
            chip.clock_pin(),
            chip.data_pin(),
            chip.wait(),
            chip.clock(),
            Gain::First128,
        );
        let flash = Flash::new(&chips.flash, &chips.flash, chips.flash.bytes());
        Self {
            chips,
            converter: converter.expect("powered up"),
            intake,
            waiting,
            flash: flash
                .ok()
                .map(|flash| &*Box::leak(Box::new(RefCell::new(flash)))),
            maps: true,
            restarted: false,
            read: Vec::new(),
            awake: false,
            asked: 0.into(),
            paint_left: 0.into(),
            painted: 0.into(),
            sounds: Vec::new(),
            light: Light::Off,
            dim: false,
            notes: Vec::new(),
            heard: VecDeque::new(),
            said: Vec::new(),
            fed_at: chip.now_us(),
            hungry_us: 0,
            restarts: 0,
            hang_us: 0,
            frozen: None,
            flooded: false,
            owed: 0.into(),
        }
    }

    /// Conversions that were dropped.
    pub fn lost_so_far(&self) -> u32 {
        self.waiting.lost()
    }

    fn us(&self) -> u64 {
        self.chips.converter.now_us()
    }

    /// Time passes, and interrupts come.
    pub fn pass(&mut self, us: u64) {
        let end = self.us() + us + self.owed.take();
        while self.us() < end {
            self.chips.converter.pass_us(STEP_US.min(end - self.us()));
            self.interrupt();
        }
        self.hungry_us = self.hungry_us.max(self.us() - self.fed_at);
    }

    fn interrupt(&mut self) {
        let at = Instant::from_micros(self.us());
        // What was cut short is no conversion.
        if let Ok(Some(code)) = self.converter.read() {
            let conversion = Conversion {
                at,
                code: AdcCode(code),
            };
            self.read.push(conversion);
            self.intake.put(conversion);
        }
    }

    /// Sends a request to the board; what it answers comes with [`Model::replies`].
    pub fn ask(&mut self, request: &Request<'_>) {
        self.heard.extend(sealed(request));
    }

    /// Everything that was answered so far.
    pub fn replies(&self) -> Vec<bool> {
        let mut receiver = Receiver::new();
        let mut replies = Vec::new();
        for &byte in &self.said {
            if let Some(message) = receiver.take(byte) {
                let message = message.expect("a whole frame");
                let (_, reply) = Reply::read(message).expect("a reply");
                replies.push(!matches!(reply, Reply::Refused(_)));
            }
        }
        replies
    }
}

/// A request as it goes over the wire.
pub fn sealed(request: &Request<'_>) -> Vec<u8> {
    let mut message = [0; MAX_MESSAGE];
    let mut frame = [0; MAX_FRAME];
    let message = request
        .write(1, &mut message)
        .expect("a request fits a message");
    seal(message, &mut frame).expect("it fits a frame").to_vec()
}

impl<'c> Board for Model<'c> {
    type Flash = Partition<'c, Serial<'c>>;

    const PAINT_US: u32 = PAINT_US;
    const STRIP_US: u32 = STRIP_US;
    const TICKS_PER_SECOND: u32 = 1_000_000;

    fn ticks(&self) -> u32 {
        // Only between the light and the end of a pass a page is drawn: it takes its own time.
        if self.asked.get() == 1 {
            let begins = self.paint_left.get() == 0;
            self.paint_left.set(u32::from(begins));
            if begins {
                self.painted.set(self.painted.get() + 1);
                self.owed.set(self.owed.get() + u64::from(PAINT_US));
            }
        } else {
            self.owed.set(self.owed.get() + WORK_US);
        }
        self.us() as u32
    }

    fn stack_peak(&self) -> u32 {
        0
    }

    fn now(&self) -> Instant {
        self.asked.set(self.asked.get() + 1);
        self.frozen.unwrap_or(Instant::from_micros(self.us()))
    }

    fn conversion(&mut self) -> Option<Conversion> {
        self.pass(0);
        if self.flooded {
            let last = self.read.last().copied()?;
            let at = Instant::from_micros(self.us());
            return Some(Conversion { at, ..last });
        }
        self.waiting.take()
    }

    fn lost(&self) -> u32 {
        self.waiting.lost()
    }

    fn restart_converter(&mut self) {
        self.restarts += 1;
        self.converter.power_down().expect("a pin");
        self.converter.power_up().expect("a pin");
    }

    fn receive(&mut self) -> Option<u8> {
        self.heard.pop_front()
    }

    fn send(&mut self, bytes: &[u8]) {
        self.said.extend(bytes);
    }

    fn show(&mut self, index: u8, columns: &[u8; STRIP_BYTES]) -> bool {
        let begun = self.chips.panel.now_ns();
        let mut bus = Bus(&self.chips.panel);
        if !self.awake {
            self.awake = Panel::new(&mut bus, PANEL_ADDRESS).is_ok();
        }
        let mut panel = Panel::awake(&mut bus, PANEL_ADDRESS);
        self.awake = self.awake && panel.send(index, columns).is_ok();
        let took = (self.chips.panel.now_ns() - begun) / 1_000;
        self.pass(took + self.hang_us);
        self.awake
    }

    fn sound(&mut self, hertz: Option<u16>) {
        self.pass(0);
        if self.sounds.last().is_none_or(|(_, last)| *last != hertz) {
            let at = Instant::from_micros(self.us());
            self.sounds.push((at, hertz));
        }
    }

    fn light(&mut self, light: Light) {
        self.light = light;
        self.asked.set(0);
        self.paint_left.set(0);
    }

    fn dim(&mut self, dim: bool) {
        self.dim = dim;
    }

    fn keeper(&mut self) -> Option<Keeper<'static, Self::Flash>> {
        let flash = self.flash?;
        let journal = Partition::new(flash, 0, JOURNAL)?;
        let sheets = Partition::new(flash, JOURNAL, SHEETS)?;
        Keeper::open(journal, sheets, if self.maps { map } else { not_yet }).ok()
    }

    fn restart(&mut self) {
        self.restarted = true;
    }

    fn feed(&mut self) {
        self.hungry_us = self.hungry_us.max(self.us() - self.fed_at);
        self.fed_at = self.us();
    }

    fn note(&mut self, happening: Happening) {
        self.notes.push(happening);
    }

    fn rest(&mut self, until: Instant) {
        self.pass(0);
        while self.us() < until.micros() && self.waiting.is_empty() && self.heard.is_empty() {
            self.pass(STEP_US);
        }
    }
}

/// A board with the loop that runs on it.
pub struct Device<'c> {
    pub board: Model<'c>,
    pub station: Station<'static>,
    pub bench: Bench<Partition<'c, Serial<'c>>>,
}

impl<'c> Device<'c> {
    /// As it is after power-up.
    pub fn new(chips: &'c Chips) -> Self {
        Self::mapped(chips, true)
    }

    /// The same; whether a sheet can be read in place beside the one in use.
    pub fn mapped(chips: &'c Chips, maps: bool) -> Self {
        let mut board = Model::new(chips);
        board.maps = maps;
        let mut station = Station::new(SETUP);
        let mut bench = Bench::new(SHEET);
        bench.begin(&mut board, &mut station);
        Self {
            board,
            station,
            bench,
        }
    }

    /// Runs for so long.
    pub fn run_s(&mut self, seconds: f64) {
        let end = self.board.us() + (seconds * 1e6) as u64;
        while self.board.us() < end {
            let until = self.bench.pass(&mut self.board, &mut self.station);
            self.board.rest(until);
        }
    }
}
