//! Serial NOR flash: bits only fall, pages wrap, a changed part is busy, and power can go.

use core::cell::RefCell;
use std::format;
use std::string::String;
use std::vec;
use std::vec::Vec;

use embedded_hal::delay::DelayNs;
use embedded_hal::spi::{ErrorKind, ErrorType, Operation, SpiDevice};

const BYTES: u32 = 65_536;

/// What is wrong with a chip.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Wrong {
    Nothing,
    /// Nobody drives the data line: it reads as ones.
    Absent,
    /// Writing cannot be enabled.
    Locked,
    /// One bit of every byte cannot be changed any more.
    Worn,
    /// A change never ends.
    NeverDone,
}

/// The chip and the time around it.
#[derive(Debug)]
pub struct Chip(RefCell<Inner>);

#[derive(Debug)]
struct Inner {
    wrong: Wrong,
    memory: Vec<u8>,
    now_us: u64,
    busy_until: u64,
    enabled: bool,
    /// Power is cut after so many bytes of the next page.
    cut_after: Option<usize>,
    dead: bool,
    misdeeds: Vec<String>,
}

impl Chip {
    pub fn new(wrong: Wrong) -> Self {
        Self(RefCell::new(Inner {
            wrong,
            memory: vec![0xFF; BYTES as usize],
            now_us: 0,
            busy_until: 0,
            enabled: false,
            cut_after: None,
            dead: false,
            misdeeds: Vec::new(),
        }))
    }

    pub fn bytes(&self) -> u32 {
        BYTES
    }

    pub fn cut_power_after(&self, bytes: usize) {
        self.0.borrow_mut().cut_after = Some(bytes);
    }

    pub fn power_up(&self) {
        let mut chip = self.0.borrow_mut();
        (chip.dead, chip.enabled, chip.busy_until) = (false, false, 0);
    }

    pub fn assert_well_treated(&self) {
        let chip = self.0.borrow();
        assert!(chip.misdeeds.is_empty(), "{:#?}", chip.misdeeds);
    }
}

impl Inner {
    fn is_busy(&self) -> bool {
        self.now_us < self.busy_until
    }

    fn begin(&mut self, us: u64) {
        self.enabled = false;
        let never = self.wrong == Wrong::NeverDone;
        self.busy_until = if never { u64::MAX } else { self.now_us + us };
    }

    fn program(&mut self, offset: usize, bytes: &[u8]) {
        if offset % 256 + bytes.len() > 256 {
            self.misdeeds.push(format!("a page overrun at {offset:#x}"));
        }
        let page = offset / 256 * 256;
        for (index, byte) in bytes.iter().enumerate() {
            if self.cut_after == Some(index) {
                self.cut_after = None;
                self.dead = true;
                return;
            }
            let stuck = u8::from(self.wrong == Wrong::Worn);
            self.memory[page + (offset + index) % 256] &= byte | stuck << 7;
        }
        self.begin(700);
    }

    /// What comes back after these bytes.
    fn carry_out(&mut self, sent: &[u8], length: usize) -> Vec<u8> {
        let at = |bytes: &[u8]| {
            bytes
                .iter()
                .fold(0, |at, byte| at << 8 | usize::from(*byte))
        };
        if self.dead || self.wrong == Wrong::Absent {
            return vec![0xFF; length];
        }
        if self.is_busy() && sent[0] != 0x05 {
            self.misdeeds
                .push(format!("{:#x} while it is busy", sent[0]));
            return vec![0xFF; length];
        }
        match *sent {
            [0x05] => {
                let status = u8::from(self.is_busy()) | u8::from(self.enabled) << 1;
                return vec![status; length];
            }
            [0x06] => self.enabled = self.wrong != Wrong::Locked,
            [0x03, a, b, c] => {
                let from = at(&[a, b, c]);
                return self.memory[from..from + length].to_vec();
            }
            [0x02, a, b, c, ref bytes @ ..] if self.enabled => self.program(at(&[a, b, c]), bytes),
            [0x20, a, b, c] if self.enabled => {
                let from = at(&[a, b, c]) / 4096 * 4096;
                self.memory[from..from + 4096].fill(0xFF);
                self.begin(45_000);
            }
            [0xAB] => {}
            _ => self.misdeeds.push(format!("{sent:02x?}")),
        }
        vec![0xFF; length]
    }
}

impl ErrorType for &Chip {
    type Error = ErrorKind;
}

impl SpiDevice for &Chip {
    fn transaction(&mut self, operations: &mut [Operation<'_, u8>]) -> Result<(), ErrorKind> {
        let mut chip = self.0.borrow_mut();
        let mut sent = Vec::new();
        for operation in operations {
            match operation {
                Operation::Write(bytes) => sent.extend_from_slice(bytes),
                Operation::Read(bytes) => {
                    let answer = chip.carry_out(&sent, bytes.len());
                    bytes.copy_from_slice(&answer);
                    return Ok(());
                }
                _ => panic!("neither written nor read"),
            }
        }
        chip.carry_out(&sent, 0);
        Ok(())
    }
}

impl DelayNs for &Chip {
    fn delay_ns(&mut self, ns: u32) {
        self.0.borrow_mut().now_us += u64::from(ns / 1000);
    }
}
