//! The I2C bridge converter: 24 bits, a file of registers, 10 to 320 conversions a second.
//!
//! | register | what of it is used |
//! |---|---|
//! | 0x00 | 0 reset, 1 digital on, 2 analogue on, 3 is up, 4 convert, 5 conversion ready, 7 own supply |
//! | 0x01 | 2:0 gain as a power of two, 5:3 own supply: 4.5 V less 0.3 V a step |
//! | 0x02 | 2 calibrate, 3 calibration failed, 6:4 rate |
//! | 0x12 to 0x14 | the code, most significant byte first, two's complement |
//! | 0x15 | 5:4 both set: the input chopper's clock off |
//! | 0x1c | 7 capacitor on the amplifier's output |
//!
//! Source: data sheet of a common part of this kind, "Register map" and "Power-up sequencing";
//! figures from memory, to be compared with the part in hand.

use embedded_hal::delay::DelayNs;
use embedded_hal::i2c::I2c;

use crate::two_wire::signed;

/// Its address on the bus; it has no other.
pub const ADDRESS: u8 = 0x2A;

const CONTROL: u8 = 0x00;
const GAIN: u8 = 0x01;
const RATE: u8 = 0x02;
const CODE: u8 = 0x12;
const CHOPPER: u8 = 0x15;
const POWER: u8 = 0x1C;

const RESET: u8 = 1;
const DIGITAL_ON: u8 = 1 << 1;
const ANALOGUE_ON: u8 = 1 << 2;
const IS_UP: u8 = 1 << 3;
const CONVERT: u8 = 1 << 4;
const READY: u8 = 1 << 5;
const OWN_SUPPLY: u8 = 1 << 7;
const RUNNING: u8 = DIGITAL_ON | ANALOGUE_ON | CONVERT | OWN_SUPPLY;

/// Gain 128, own supply of 3.0 V.
const GAIN_128_AT_3_V: u8 = 0b10_1111;
const CALIBRATE: u8 = 1 << 2;
const CALIBRATION_FAILED: u8 = 1 << 3;
const CHOPPER_OFF: u8 = 0b11 << 4;
const AMPLIFIER_CAPACITOR: u8 = 1 << 7;

/// The digital part is up within this, milliseconds: ten times what it takes.
const UP_MS: u32 = 2;
/// A calibration at the slowest rate takes less than this, milliseconds.
const CALIBRATED_MS: u32 = 1_500;

/// Conversions a second, nominally.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Rate {
    /// 10.
    Sps10,
    /// 20.
    Sps20,
    /// 40.
    Sps40,
    /// 80.
    Sps80,
    /// 320.
    Sps320,
}

impl Rate {
    const fn bits(self) -> u8 {
        let code = match self {
            Self::Sps10 => 0b000,
            Self::Sps20 => 0b001,
            Self::Sps40 => 0b010,
            Self::Sps80 => 0b011,
            Self::Sps320 => 0b111,
        };
        code << 4
    }

    /// Conversions a second, as the core's setup takes them.
    #[must_use]
    pub const fn sps(self) -> f32 {
        match self {
            Self::Sps10 => 10.0,
            Self::Sps20 => 20.0,
            Self::Sps40 => 40.0,
            Self::Sps80 => 80.0,
            Self::Sps320 => 320.0,
        }
    }
}

/// Why a converter cannot be used.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Error<E> {
    /// The bus failed; nobody acknowledges where the converter is absent.
    Bus(E),
    /// Its digital part did not come up: supply or reset.
    NotUp,
    /// Its calibration did not end, or failed: supply, or inputs beyond their range.
    NotCalibrated,
}

/// A converter on this bus.
#[derive(Debug)]
pub struct Registers<B> {
    bus: B,
}

impl<B: I2c> Registers<B> {
    /// Resets the converter, powers it up at gain 128, has it calibrate itself and convert.
    ///
    /// # Errors
    /// See [`Error`]; bounded in time, at most two seconds.
    pub fn new(bus: B, wait: &mut impl DelayNs, rate: Rate) -> Result<Self, Error<B::Error>> {
        let mut converter = Self { bus };
        converter.set(CONTROL, RESET)?;
        converter.set(CONTROL, 0)?;
        converter.set(CONTROL, DIGITAL_ON)?;
        if !converter.comes(wait, UP_MS, |this| Ok(this.get(CONTROL)? & IS_UP != 0))? {
            return Err(Error::NotUp);
        }
        converter.set(GAIN, GAIN_128_AT_3_V)?;
        converter.set(CHOPPER, CHOPPER_OFF)?;
        converter.set(POWER, AMPLIFIER_CAPACITOR)?;
        converter.set(CONTROL, RUNNING)?;
        converter.set(RATE, rate.bits() | CALIBRATE)?;
        let calibrated = |this: &mut Self| Ok(this.get(RATE)? & CALIBRATE == 0);
        if !converter.comes(wait, CALIBRATED_MS, calibrated)?
            || converter.get(RATE)? & CALIBRATION_FAILED != 0
        {
            return Err(Error::NotCalibrated);
        }
        Ok(converter)
    }

    /// The code that waits, signed 24-bit; `None` when none does.
    ///
    /// # Errors
    /// What the bus reports.
    pub fn read(&mut self) -> Result<Option<i32>, Error<B::Error>> {
        if self.get(CONTROL)? & READY == 0 {
            return Ok(None);
        }
        let mut code = [0; 3];
        self.bus
            .write_read(ADDRESS, &[CODE], &mut code)
            .map_err(Error::Bus)?;
        let [high, middle, low] = code;
        Ok(Some(signed(u32::from_be_bytes([0, high, middle, low]))))
    }

    /// Powers the converter down, and hands back its bus; [`Registers::new`] powers it up.
    ///
    /// # Errors
    /// What the bus reports.
    pub fn power_down(mut self) -> Result<B, Error<B::Error>> {
        self.set(CONTROL, 0)?;
        Ok(self.bus)
    }

    /// Whether it is so within this time; asked every millisecond.
    fn comes(
        &mut self,
        wait: &mut impl DelayNs,
        within_ms: u32,
        mut is_so: impl FnMut(&mut Self) -> Result<bool, Error<B::Error>>,
    ) -> Result<bool, Error<B::Error>> {
        for _ in 0..within_ms {
            wait.delay_ms(1);
            if is_so(self)? {
                return Ok(true);
            }
        }
        Ok(false)
    }

    fn set(&mut self, register: u8, value: u8) -> Result<(), Error<B::Error>> {
        self.bus
            .write(ADDRESS, &[register, value])
            .map_err(Error::Bus)
    }

    fn get(&mut self, register: u8) -> Result<u8, Error<B::Error>> {
        let mut value = [0];
        self.bus
            .write_read(ADDRESS, &[register], &mut value)
            .map_err(Error::Bus)?;
        let [value] = value;
        Ok(value)
    }
}

#[cfg(test)]
mod tests {
    use std::vec::Vec;

    use super::*;
    use crate::chips::registers::{Chip, Wrong};

    const CODES: [i32; 7] = [0, 1, -1, 0x7F_FFFF, -0x80_0000, 0x55_5555, -7_654_321];
    const RATES: [Rate; 5] = [
        Rate::Sps10,
        Rate::Sps20,
        Rate::Sps40,
        Rate::Sps80,
        Rate::Sps320,
    ];

    #[test]
    fn every_code_arrives_once_at_every_rate() {
        for rate in RATES {
            let chip = Chip::converting(&CODES, Wrong::Nothing);
            let mut converter = Registers::new(&chip, &mut &chip, rate).expect("it starts");
            let begun = chip.now_us();
            let mut codes = Vec::new();
            while codes.len() < CODES.len() {
                codes.extend(converter.read().expect("a bus"));
                chip.pass_us(200);
                assert!(chip.now_us() - begun < 2_000_000, "{rate:?}: too few codes");
            }
            assert_eq!(codes, CODES, "{rate:?}");
            let rate_seen = 1e6 * CODES.len() as f32 / (chip.now_us() - begun) as f32;
            let off = rate_seen / rate.sps() - 1.0;
            assert!(off.abs() < 0.15, "{rate:?}: {rate_seen} a second");
            assert_eq!(converter.read(), Ok(None));
            chip.assert_well_treated();
        }
    }

    #[test]
    fn it_runs_at_gain_128_and_is_powered_down() {
        let chip = Chip::converting(&CODES, Wrong::Nothing);
        let converter = Registers::new(&chip, &mut &chip, Rate::Sps80).expect("it starts");
        assert_eq!(chip.register(0x01) & 0b111, 7, "two to the seventh");
        converter.power_down().expect("a bus");
        assert_eq!(chip.register(0x00) & (DIGITAL_ON | ANALOGUE_ON), 0);
    }

    #[test]
    fn what_is_wrong_is_told_within_two_seconds() {
        for (wrong, is_told) in [
            (Wrong::NeverUp, Error::NotUp),
            (Wrong::Deaf, Error::NotUp),
            (Wrong::NeverCalibrated, Error::NotCalibrated),
            (Wrong::CalibrationFails, Error::NotCalibrated),
        ] {
            let chip = Chip::converting(&CODES, wrong);
            let error = Registers::new(&chip, &mut &chip, Rate::Sps10).expect_err("it is broken");
            assert_eq!(error, is_told, "{wrong:?}");
            assert!(chip.now_us() < 2_000_000, "{wrong:?}");
        }
        let chip = Chip::converting(&CODES, Wrong::Absent);
        let error = Registers::new(&chip, &mut &chip, Rate::Sps10).expect_err("it is absent");
        assert!(matches!(error, Error::Bus(_)));
    }
}
