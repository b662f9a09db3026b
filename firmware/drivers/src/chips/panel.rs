//! A page-addressed panel controller: commands with their arguments, and the picture memory.

use core::cell::RefCell;

use embedded_hal::i2c::{ErrorKind, ErrorType, I2c, NoAcknowledgeSource, Operation};

/// A byte and its acknowledge at 400 kHz, nanoseconds.
const BYTE_NS: u64 = 22_500;

/// The chip and the time around it.
#[derive(Debug, Default)]
pub struct Chip(RefCell<Inner>);

#[derive(Debug)]
struct Inner {
    now: u64,
    memory: [[u8; 128]; 8],
    on: bool,
    pump: bool,
    along_strips: bool,
    columns: (u8, u8),
    strips: (u8, u8),
    at: (u8, u8),
}

impl Default for Inner {
    fn default() -> Self {
        Self {
            now: 0,
            memory: [[0xA5; 128]; 8],
            on: false,
            pump: false,
            along_strips: false,
            columns: (0, 127),
            strips: (0, 7),
            at: (0, 0),
        }
    }
}

impl Chip {
    pub fn strip(&self, index: u8) -> [u8; 128] {
        self.0.borrow().memory[usize::from(index)]
    }

    pub fn is_lit(&self) -> bool {
        let chip = self.0.borrow();
        chip.on && chip.pump
    }

    pub fn now_ns(&self) -> u64 {
        self.0.borrow().now
    }
}

impl Inner {
    /// Carries out the first command of these; how many bytes it was.
    fn command(&mut self, bytes: &[u8]) -> usize {
        match *bytes {
            [0xAE, ..] => self.on = false,
            [0xAF, ..] => self.on = true,
            [0x20, mode, ..] => {
                self.along_strips = mode == 0;
                return 2;
            }
            [0x21, from, to, ..] => {
                self.columns = (from, to);
                self.at.0 = from;
                return 3;
            }
            [0x22, from, to, ..] => {
                self.strips = (from, to);
                self.at.1 = from;
                return 3;
            }
            [0x8D, pump, ..] => {
                self.pump = pump == 0x14;
                return 2;
            }
            [0x81 | 0xA8 | 0xD3 | 0xD5 | 0xD9 | 0xDA | 0xDB, _, ..] => return 2,
            [0x40..=0x7F | 0xA0 | 0xA1 | 0xA4 | 0xA6 | 0xC0 | 0xC8, ..] => {}
            _ => panic!("no such command, or one cut short: {bytes:02x?}"),
        }
        1
    }

    fn pixel(&mut self, byte: u8) {
        assert!(self.along_strips, "addresses run along a strip");
        let (column, strip) = self.at;
        self.memory[usize::from(strip)][usize::from(column)] = byte;
        self.at.0 += 1;
        if column == self.columns.1 {
            self.at.0 = self.columns.0;
            self.at.1 = if strip == self.strips.1 {
                self.strips.0
            } else {
                strip + 1
            };
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
        if address != 0x3C {
            return Err(ErrorKind::NoAcknowledge(NoAcknowledgeSource::Address));
        }
        for operation in operations {
            let Operation::Write(bytes) = operation else {
                panic!("such a panel is never read");
            };
            chip.now += BYTE_NS * bytes.len() as u64;
            match **bytes {
                [0x00, ref commands @ ..] => {
                    let mut left = commands;
                    while !left.is_empty() {
                        let taken = chip.command(left);
                        left = &left[taken..];
                    }
                }
                [0x40, ref pixels @ ..] => pixels.iter().for_each(|byte| chip.pixel(*byte)),
                _ => panic!("neither commands nor pixels"),
            }
        }
        Ok(())
    }
}
