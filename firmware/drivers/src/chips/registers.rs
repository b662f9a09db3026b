//! An I2C bridge converter: a register file, a start-up order, and conversions in time.

use core::cell::RefCell;
use std::collections::VecDeque;
use std::format;
use std::string::String;
use std::vec::Vec;

use embedded_hal::delay::DelayNs;
use embedded_hal::i2c::{ErrorKind, ErrorType, I2c, NoAcknowledgeSource, Operation};

/// A byte and its acknowledge at 400 kHz, nanoseconds.
const BYTE_NS: u64 = 22_500;
/// The digital part is up so long after it was switched on.
const UP_NS: u64 = 200_000;
/// A calibration takes so many conversions; a choice of this model.
const CALIBRATION_PERIODS: u64 = 4;

/// What is wrong with a chip.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Wrong {
    Nothing,
    Absent,
    NeverUp,
    NeverCalibrated,
    CalibrationFails,
    /// It acknowledges, but a write changes nothing.
    Deaf,
}

/// The chip and the time around it.
#[derive(Debug)]
pub struct Chip(RefCell<Inner>);

#[derive(Debug)]
struct Inner {
    now: u64,
    wrong: Wrong,
    registers: [u8; 0x20],
    up_at: u64,
    calibrated_at: u64,
    next_at: u64,
    latched: i32,
    ready: bool,
    codes: VecDeque<i32>,
    misdeeds: Vec<String>,
}

impl Chip {
    pub fn converting(codes: &[i32], wrong: Wrong) -> Self {
        let mut inner = Inner {
            now: 0,
            wrong,
            registers: [0; 0x20],
            up_at: 0,
            calibrated_at: 0,
            next_at: u64::MAX,
            latched: 0,
            ready: false,
            codes: codes.iter().copied().collect(),
            misdeeds: Vec::new(),
        };
        inner.power_up();
        Self(RefCell::new(inner))
    }

    pub fn pass_us(&self, us: u64) {
        self.0.borrow_mut().now += us * 1000;
    }

    pub fn now_us(&self) -> u64 {
        self.0.borrow().now / 1000
    }

    pub fn register(&self, at: usize) -> u8 {
        self.0.borrow().registers[at]
    }

    pub fn assert_well_treated(&self) {
        let chip = self.0.borrow();
        assert!(chip.misdeeds.is_empty(), "{:#?}", chip.misdeeds);
    }
}

impl Inner {
    fn power_up(&mut self) {
        self.registers = [0; 0x20];
        self.next_at = u64::MAX;
        self.ready = false;
    }

    fn period(&self) -> u64 {
        let hertz = match self.registers[2] >> 4 & 0b111 {
            0b000 => 10,
            0b001 => 20,
            0b010 => 40,
            0b011 => 80,
            0b111 => 320,
            reserved => panic!("{reserved:#b} is no rate"),
        };
        1_000_000_000 / hertz
    }

    fn is_up(&self) -> bool {
        self.registers[0] & 0b10 != 0 && self.now >= self.up_at && self.wrong != Wrong::NeverUp
    }

    fn run(&mut self) {
        if self.registers[2] & 0b100 != 0
            && self.now >= self.calibrated_at
            && self.wrong != Wrong::NeverCalibrated
        {
            self.registers[2] &= !0b100;
            let failed = self.wrong == Wrong::CalibrationFails;
            self.registers[2] |= u8::from(failed) << 3;
            self.next_at = self.now + self.period();
        }
        while self.now >= self.next_at {
            self.next_at += self.period();
            let running = self.registers[0] & 0b1_0110 == 0b1_0110;
            if let (true, Some(code)) = (running, self.codes.pop_front()) {
                self.latched = code;
                self.ready = true;
            }
        }
        let state = u8::from(self.is_up()) << 3 | u8::from(self.ready) << 5;
        self.registers[0] = self.registers[0] & !0b10_1000 | state;
    }

    fn write(&mut self, at: usize, value: u8) {
        if self.wrong == Wrong::Deaf {
            return;
        }
        if at != 0 && !self.is_up() {
            self.misdeeds
                .push(format!("{at:#x} written before it is up"));
        }
        if at == 2 && value & 0b100 != 0 {
            if self.registers[0] & 0b1_0100 != 0b1_0100 {
                self.misdeeds
                    .push("calibrated with the front end off".into());
            }
            self.registers[2] = value;
            self.calibrated_at = self.now + CALIBRATION_PERIODS * self.period();
            return;
        }
        if at == 0 {
            if value & 1 != 0 {
                self.power_up();
            } else if value & 0b10 != 0 && self.registers[0] & 0b10 == 0 {
                self.up_at = self.now + UP_NS;
            }
        }
        self.registers[at] = value;
    }

    fn read(&mut self, at: usize) -> u8 {
        self.run();
        match at {
            0x12 if !self.ready => {
                self.misdeeds.push("a code read before it is ready".into());
                (self.latched >> 16) as u8
            }
            0x12 => (self.latched >> 16) as u8,
            0x13 => (self.latched >> 8) as u8,
            0x14 => {
                self.ready = false;
                self.latched as u8
            }
            _ => self.registers[at],
        }
    }
}

impl ErrorType for &Chip {
    type Error = ErrorKind;
}

impl I2c for &Chip {
    fn transaction(
        &mut self,
        address: u8,
        operations: &mut [Operation<'_>],
    ) -> Result<(), ErrorKind> {
        let mut chip = self.0.borrow_mut();
        chip.now += BYTE_NS;
        if address != 0x2A || chip.wrong == Wrong::Absent {
            return Err(ErrorKind::NoAcknowledge(NoAcknowledgeSource::Address));
        }
        let mut at = None;
        for operation in operations {
            match operation {
                Operation::Write(bytes) => {
                    for &byte in &**bytes {
                        chip.now += BYTE_NS;
                        chip.run();
                        match at {
                            None => at = Some(usize::from(byte)),
                            Some(register) => {
                                chip.write(register, byte);
                                at = Some(register + 1);
                            }
                        }
                    }
                }
                Operation::Read(bytes) => {
                    for byte in &mut **bytes {
                        chip.now += BYTE_NS;
                        let register = at.expect("a register was chosen");
                        *byte = chip.read(register);
                        at = Some(register + 1);
                    }
                }
            }
        }
        Ok(())
    }
}

impl DelayNs for &Chip {
    fn delay_ns(&mut self, ns: u32) {
        self.0.borrow_mut().now += u64::from(ns);
    }
}
