//! A part on two open-drain lines: starts, stops, bits and their times.

use core::cell::{Cell, RefCell};
use core::convert::Infallible;
use std::collections::VecDeque;
use std::format;
use std::string::String;
use std::vec::Vec;

use embedded_hal::delay::DelayNs;
use embedded_hal::digital::{ErrorType, InputPin, OutputPin};

/// Writing or reading a pin takes so long, nanoseconds.
const PIN_NS: u64 = 40;
/// Fast mode (I2C-bus specification UM10204, table 10; from memory), nanoseconds.
const LOW_NS: u64 = 1_300;
const HIGH_NS: u64 = 600;
const SET_UP_NS: u64 = 100;
const FREE_NS: u64 = 1_300;
/// What a part puts on the data line stands so long after the clock fell.
const VALID_NS: u64 = 900;

/// The part and the time around it.
#[derive(Debug)]
pub struct Chip {
    now: Cell<u64>,
    inner: RefCell<Inner>,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Phase {
    /// Not spoken to.
    Idle,
    /// So many bits of the address, or of a byte, are in.
    Address(u8, u8),
    Takes(u8, u8),
    Gives(u8),
    /// The acknowledge of what comes next.
    Acknowledges(Next),
    /// The other side acknowledges what was given.
    Listens,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Next {
    Takes,
    Gives,
    Nothing,
}

#[derive(Debug)]
struct Inner {
    address: u8,
    /// As the other side drives them.
    clock: bool,
    data: bool,
    /// The part holds the data line low.
    holds: bool,
    clock_since: u64,
    data_since: u64,
    stopped_at: u64,
    phase: Phase,
    received: Vec<Vec<u8>>,
    answers: VecDeque<u8>,
    room: usize,
    data_shorted: bool,
    clock_shorted: bool,
    misdeeds: Vec<String>,
}

impl Chip {
    /// One that answers to this address.
    pub fn at(address: u8) -> Self {
        Self {
            now: Cell::new(1_000_000),
            inner: RefCell::new(Inner {
                address,
                clock: true,
                data: true,
                holds: false,
                clock_since: 0,
                data_since: 0,
                stopped_at: 0,
                phase: Phase::Idle,
                received: Vec::new(),
                answers: VecDeque::new(),
                room: usize::MAX,
                data_shorted: false,
                clock_shorted: false,
                misdeeds: Vec::new(),
            }),
        }
    }

    pub fn clock_pin(&self) -> ClockPin<'_> {
        ClockPin(self)
    }

    pub fn data_pin(&self) -> DataPin<'_> {
        DataPin(self)
    }

    pub fn now_ns(&self) -> u64 {
        self.now.get()
    }

    /// What it gives when it is read.
    pub fn answer(&self, bytes: &[u8]) {
        self.inner.borrow_mut().answers.extend(bytes);
    }

    /// It acknowledges so many bytes more.
    pub fn take_only(&self, bytes: usize) {
        self.inner.borrow_mut().room = bytes;
    }

    pub fn short_data(&self) {
        self.inner.borrow_mut().data_shorted = true;
    }

    pub fn short_clock(&self) {
        self.inner.borrow_mut().clock_shorted = true;
    }

    /// Whoever drove it was reset while it gave a byte of zeros, so many bits of it.
    pub fn stop_within_answer(&self, bits: u8) {
        let mut chip = self.inner.borrow_mut();
        chip.answers.push_back(0);
        chip.phase = Phase::Gives(bits.min(7));
        chip.holds = true;
    }

    /// The bytes of every write that had any.
    pub fn received(&self) -> Vec<Vec<u8>> {
        let received = &self.inner.borrow().received;
        received
            .iter()
            .filter(|bytes| !bytes.is_empty())
            .cloned()
            .collect()
    }

    pub fn assert_well_treated(&self) {
        let chip = self.inner.borrow();
        assert!(chip.misdeeds.is_empty(), "{:#?}", chip.misdeeds);
    }

    fn spend(&self, ns: u64) {
        self.now.set(self.now.get() + ns);
    }
}

impl Inner {
    fn line(&self) -> bool {
        self.data && !self.holds && !self.data_shorted
    }

    fn demand(&mut self, what: &str, is: u64, least: u64) {
        if is < least {
            self.misdeeds.push(format!("{what} for {is} ns"));
        }
    }

    fn rise(&mut self, now: u64) {
        self.demand("clock low", now - self.clock_since, LOW_NS);
        self.demand("data set up", now - self.data_since, SET_UP_NS);
        self.clock_since = now;
        let bit = u8::from(self.line());
        self.phase = match self.phase {
            Phase::Address(bits, value) => Phase::Address(bits + 1, value << 1 | bit),
            Phase::Takes(bits, value) => Phase::Takes(bits + 1, value << 1 | bit),
            Phase::Gives(bits) => Phase::Gives(bits + 1),
            Phase::Listens if bit == 0 => Phase::Acknowledges(Next::Gives),
            Phase::Listens => Phase::Acknowledges(Next::Nothing),
            other => other,
        };
    }

    /// What the part does with the data line until the next bit.
    fn fall(&mut self, now: u64) {
        self.demand("clock high", now - self.clock_since, HIGH_NS);
        self.clock_since = now;
        self.holds = false;
        match self.phase {
            Phase::Address(8, value) => {
                if value >> 1 == self.address {
                    self.holds = true;
                    let gives = value & 1 == 1;
                    self.phase = Phase::Acknowledges(if gives { Next::Gives } else { Next::Takes });
                    if !gives {
                        self.received.push(Vec::new());
                    }
                } else {
                    self.phase = Phase::Idle;
                }
            }
            Phase::Takes(8, value) => {
                self.holds = self.room > 0;
                self.room = self.room.saturating_sub(1);
                if self.holds {
                    let bytes = self.received.last_mut().expect("a write was begun");
                    bytes.push(value);
                }
                self.phase = Phase::Acknowledges(Next::Takes);
            }
            Phase::Gives(8) => {
                self.answers.pop_front();
                self.phase = Phase::Listens;
            }
            Phase::Gives(bits) => self.give(bits),
            Phase::Acknowledges(Next::Takes) => self.phase = Phase::Takes(0, 0),
            Phase::Acknowledges(Next::Gives) => {
                self.phase = Phase::Gives(0);
                self.give(0);
            }
            Phase::Acknowledges(Next::Nothing) => self.phase = Phase::Idle,
            _ => {}
        }
    }

    fn give(&mut self, bits: u8) {
        let byte = self.answers.front().copied().unwrap_or(0xFF);
        self.holds = byte >> (7 - bits) & 1 == 0;
    }

    fn drive_data(&mut self, high: bool, now: u64) {
        if high == self.data {
            return;
        }
        let before = self.line();
        self.data = high;
        self.data_since = now;
        if self.clock && before != self.line() {
            if high {
                self.phase = Phase::Idle;
                self.stopped_at = now;
            } else {
                self.demand("bus free", now - self.stopped_at, FREE_NS);
                self.phase = Phase::Address(0, 0);
            }
        }
    }
}

#[derive(Debug)]
pub struct ClockPin<'c>(&'c Chip);
#[derive(Debug)]
pub struct DataPin<'c>(&'c Chip);

impl ErrorType for ClockPin<'_> {
    type Error = Infallible;
}

impl ErrorType for DataPin<'_> {
    type Error = Infallible;
}

impl OutputPin for ClockPin<'_> {
    fn set_low(&mut self) -> Result<(), Infallible> {
        self.0.spend(PIN_NS);
        let mut chip = self.0.inner.borrow_mut();
        if chip.clock {
            chip.clock = false;
            chip.fall(self.0.now.get());
        }
        Ok(())
    }

    fn set_high(&mut self) -> Result<(), Infallible> {
        self.0.spend(PIN_NS);
        let mut chip = self.0.inner.borrow_mut();
        if !chip.clock && !chip.clock_shorted {
            chip.clock = true;
            chip.rise(self.0.now.get());
        }
        Ok(())
    }
}

impl InputPin for ClockPin<'_> {
    fn is_high(&mut self) -> Result<bool, Infallible> {
        self.0.spend(PIN_NS);
        let chip = self.0.inner.borrow();
        Ok(chip.clock && !chip.clock_shorted)
    }

    fn is_low(&mut self) -> Result<bool, Infallible> {
        self.is_high().map(|high| !high)
    }
}

impl OutputPin for DataPin<'_> {
    fn set_low(&mut self) -> Result<(), Infallible> {
        self.0.spend(PIN_NS);
        let now = self.0.now.get();
        self.0.inner.borrow_mut().drive_data(false, now);
        Ok(())
    }

    fn set_high(&mut self) -> Result<(), Infallible> {
        self.0.spend(PIN_NS);
        let now = self.0.now.get();
        self.0.inner.borrow_mut().drive_data(true, now);
        Ok(())
    }
}

impl InputPin for DataPin<'_> {
    fn is_high(&mut self) -> Result<bool, Infallible> {
        self.0.spend(PIN_NS);
        let mut chip = self.0.inner.borrow_mut();
        if !chip.clock {
            let low_for = self.0.now.get() - chip.clock_since;
            chip.demand("data read with the clock low", low_for, VALID_NS);
        }
        Ok(chip.line())
    }

    fn is_low(&mut self) -> Result<bool, Infallible> {
        self.is_high().map(|high| !high)
    }
}

impl DelayNs for &Chip {
    fn delay_ns(&mut self, ns: u32) {
        self.spend(ns.into());
    }
}
