//! A two-wire bridge converter: edge order and timing, to the nanosecond.

use core::cell::{Cell, RefCell};
use core::convert::Infallible;
use std::collections::VecDeque;
use std::format;
use std::string::String;
use std::vec::Vec;

use embedded_hal::delay::DelayNs;
use embedded_hal::digital::{ErrorType, InputPin, OutputPin};

use crate::timing::Timing;

/// Writing or reading a pin takes so long, nanoseconds.
const PIN_NS: u64 = 40;
/// A bit is out so long after the clock rose.
const OUT_NS: u64 = 100;
/// The clock has to stay at either level for so long.
const LEVEL_NS: u64 = 200;
/// A clock that is high for so long powers down.
const DOWN_NS: u64 = 60_000;

/// The chip and the time around it.
pub struct Chip {
    now: Cell<u64>,
    shielded: Cell<bool>,
    interrupt_ns: Cell<u64>,
    stall: Cell<Option<(u32, u64)>>,
    inner: RefCell<Inner>,
}

struct Inner {
    period: u64,
    codes: VecDeque<i32>,
    /// When the running conversion is done; none runs while the last one waits.
    done_at: Option<u64>,
    /// What waits to be read.
    waiting: Option<i32>,
    shorted: bool,
    high: bool,
    level_since: u64,
    edges: u32,
    gain_clocks: u32,
    /// The level of the data line, what it was before, and since when.
    out: (bool, bool, u64),
    resets: u32,
    misdeeds: Vec<String>,
}

impl Chip {
    /// One that converts every so many microseconds, to these codes.
    pub fn converting(period_us: u64, codes: &[i32]) -> Self {
        Self {
            now: Cell::new(1_000_000),
            shielded: Cell::new(false),
            interrupt_ns: Cell::new(0),
            stall: Cell::new(None),
            inner: RefCell::new(Inner {
                period: period_us * 1000,
                codes: codes.iter().copied().collect(),
                done_at: None,
                waiting: None,
                shorted: false,
                high: false,
                level_since: 0,
                edges: 0,
                gain_clocks: 25,
                out: (true, true, 0),
                resets: 0,
                misdeeds: Vec::new(),
            }),
        }
    }

    /// A data line that lies on ground.
    pub fn shorted() -> Self {
        let chip = Self::converting(12_500, &[]);
        chip.inner.borrow_mut().shorted = true;
        chip
    }

    pub fn clock_pin(&self) -> ClockPin<'_> {
        ClockPin(self)
    }

    pub fn data_pin(&self) -> DataPin<'_> {
        DataPin(self)
    }

    pub fn wait(&self) -> Wait<'_> {
        Wait(self)
    }

    pub fn clock(&self) -> Clock<'_> {
        Clock(self)
    }

    pub fn pass_us(&self, us: u64) {
        self.now.set(self.now.get() + us * 1000);
    }

    pub fn now_us(&self) -> u64 {
        self.now.get() / 1000
    }

    /// Whatever waits unshielded is interrupted for so long.
    pub fn interrupt_for_us(&self, us: u64) {
        self.interrupt_ns.set(us * 1000);
    }

    /// Once, the clock stays high for so long at this edge, shielded or not.
    pub fn stall_at_edge(&self, edge: u32, us: u64) {
        self.stall.set(Some((edge, us * 1000)));
    }

    /// Rising edges since the last conversion was done.
    pub fn edges(&self) -> u32 {
        self.inner.borrow().edges
    }

    /// Clocks of the last whole reading.
    pub fn gain_clocks(&self) -> u32 {
        self.inner.borrow().gain_clocks
    }

    pub fn resets(&self) -> u32 {
        self.inner.borrow().resets
    }

    pub fn is_down(&self) -> bool {
        let chip = self.inner.borrow();
        chip.high && self.now.get() - chip.level_since >= DOWN_NS
    }

    pub fn assert_well_treated(&self) {
        let chip = self.inner.borrow();
        assert!(chip.misdeeds.is_empty(), "{:#?}", chip.misdeeds);
        assert_eq!(chip.resets, 1, "reset after power-up");
    }

    fn spend(&self, ns: u64) {
        self.now.set(self.now.get() + ns);
    }
}

impl Inner {
    /// What has happened inside until `now`.
    fn run(&mut self, now: u64) {
        let down_at = self.level_since + DOWN_NS;
        if self.high && now >= down_at && self.done_at.is_some_and(|at| at > down_at) {
            // What was being converted is given up.
            self.done_at = None;
        }
        if self.done_at.is_some_and(|at| at <= now) {
            // What was not read is lost.
            self.waiting = self.codes.pop_front();
            self.done_at = None;
            if self.waiting.is_some() {
                self.edges = 0;
                self.out = (false, true, now);
            }
        }
    }

    fn rise(&mut self, now: u64) {
        self.run(now);
        self.check_level(now, "low");
        self.high = true;
        self.level_since = now;
        if self.waiting.is_none() && self.edges == 0 && self.resets > 0 {
            // The clock that powers it down is not one of a reading; told apart when it falls.
            return;
        }
        self.edges += 1;
        let bit = match (self.waiting, self.edges) {
            (Some(code), 1..=24) => code >> (24 - self.edges) & 1 == 1,
            _ => true,
        };
        self.out = (bit, self.out.0, now + OUT_NS);
        if self.edges == 25 {
            self.waiting = None;
            self.done_at = Some(now + self.period);
        }
        if self.edges >= 25 {
            self.gain_clocks = self.edges;
        }
        if self.edges > 27 {
            self.misdeeds.push(format!("clock {}", self.edges));
        }
    }

    fn fall(&mut self, now: u64) {
        let high_for = now - self.level_since;
        self.check_level(now, "high");
        self.high = false;
        self.level_since = now;
        if high_for >= DOWN_NS {
            self.resets += 1;
            self.edges = 0;
            self.gain_clocks = 25;
            self.waiting = None;
            self.out = (true, true, now);
            self.done_at = Some(now + 4 * self.period);
        } else if self.waiting.is_none() && self.edges == 0 {
            self.misdeeds.push("clocked while it converts".into());
        }
    }

    fn check_level(&mut self, now: u64, level: &str) {
        let held = now - self.level_since;
        if held < LEVEL_NS {
            self.misdeeds
                .push(format!("clock {}: {level} for {held} ns", self.edges));
        }
    }
}

pub struct ClockPin<'c>(&'c Chip);
pub struct DataPin<'c>(&'c Chip);
pub struct Wait<'c>(&'c Chip);
pub struct Clock<'c>(&'c Chip);

impl ErrorType for ClockPin<'_> {
    type Error = Infallible;
}

impl OutputPin for ClockPin<'_> {
    fn set_low(&mut self) -> Result<(), Infallible> {
        self.0.spend(PIN_NS);
        let now = self.0.now.get();
        if self.0.inner.borrow().high {
            self.0.inner.borrow_mut().fall(now);
        }
        Ok(())
    }

    fn set_high(&mut self) -> Result<(), Infallible> {
        self.0.spend(PIN_NS);
        let now = self.0.now.get();
        if !self.0.inner.borrow().high {
            self.0.inner.borrow_mut().rise(now);
        }
        if let Some((edge, ns)) = self.0.stall.get()
            && self.0.edges() == edge
        {
            self.0.stall.set(None);
            self.0.spend(ns);
        }
        Ok(())
    }
}

impl ErrorType for DataPin<'_> {
    type Error = Infallible;
}

impl InputPin for DataPin<'_> {
    fn is_high(&mut self) -> Result<bool, Infallible> {
        self.0.spend(PIN_NS);
        let now = self.0.now.get();
        let mut chip = self.0.inner.borrow_mut();
        chip.run(now);
        if chip.shorted {
            return Ok(false);
        }
        if chip.high && now - chip.level_since >= DOWN_NS {
            return Ok(true);
        }
        let (level, before, at) = chip.out;
        if now < at {
            let edges = chip.edges;
            chip.misdeeds
                .push(format!("bit {edges} read before it is out"));
            return Ok(before);
        }
        Ok(level)
    }

    fn is_low(&mut self) -> Result<bool, Infallible> {
        self.is_high().map(|high| !high)
    }
}

impl DelayNs for Wait<'_> {
    fn delay_ns(&mut self, ns: u32) {
        self.0.spend(ns.into());
        if !self.0.shielded.get() {
            self.0.spend(self.0.interrupt_ns.get());
        }
    }
}

impl Timing for Clock<'_> {
    fn micros(&self) -> u32 {
        // The board's clock wraps; so does this one.
        (self.0.now.get() / 1000) as u32
    }

    fn uninterrupted<R>(&self, work: impl FnOnce() -> R) -> R {
        self.0.shielded.set(true);
        let done = work();
        self.0.shielded.set(false);
        done
    }
}
