//! The two-wire 24-bit bridge converter: a clock, a data line, and no address.
//!
//! | what | figure |
//! |---|---|
//! | data ready | the data line goes low |
//! | a bit | out at most 0.1 us after the clock rises, most significant first, two's complement |
//! | clock high | 0.2 to 50 us; at 60 us the converter powers down, and resets when it falls |
//! | clock low | at least 0.2 us |
//! | gain of the next conversion | by the clocks of this reading: 25, 26 or 27 |
//! | after reset | gain 128; the first conversion comes after four periods |
//!
//! Source: data sheet of a common part of this kind, "Serial interface" and "Reset and
//! power-down"; figures from memory, to be compared with the part in hand.
//!
//! An interrupt while the clock is high would reset the converter, so each pulse, and nothing
//! else, is shielded: about 1 us. What no shield holds off is found by timestamps, and the
//! reading is thrown away.

use embedded_hal::delay::DelayNs;
use embedded_hal::digital::{InputPin, OutputPin};

use crate::timing::Timing;

/// How long the clock is held at each level, nanoseconds: five times what the part asks for.
const HALF_NS: u32 = 1_000;
/// The clock may be high for so long, microseconds.
const HIGH_MAX_US: u32 = 50;
/// The clock is held high for so long to power the converter down, microseconds.
const POWER_DOWN_US: u32 = 100;
/// Bits of a code.
const BITS: u32 = 24;

/// Input and gain, by the clocks of a reading.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Gain {
    /// First input, 128: 25 clocks. So it is after power-up.
    #[default]
    First128,
    /// Second input, 32: 26 clocks.
    Second32,
    /// First input, 64: 27 clocks.
    First64,
}

impl Gain {
    const fn clocks(self) -> u32 {
        match self {
            Self::First128 => 25,
            Self::Second32 => 26,
            Self::First64 => 27,
        }
    }
}

/// Why there is no code.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Error<E> {
    /// A pin failed.
    Pin(E),
    /// The clock was high for so many microseconds: the converter has reset itself, at gain 128.
    Held(u32),
    /// The data line stayed low after the last clock: a converter lets go of it, a broken wire or
    /// a short does not.
    NotReleased,
}

/// A converter on these pins.
#[derive(Debug)]
pub struct TwoWire<S, D, W, T> {
    clock: S,
    data: D,
    wait: W,
    timing: T,
    gain: Gain,
    /// The gain of the conversion that is read next.
    pending: Gain,
}

impl<E, S, D, W, T> TwoWire<S, D, W, T>
where
    S: OutputPin<Error = E>,
    D: InputPin<Error = E>,
    W: DelayNs,
    T: Timing,
{
    /// A converter, powered up.
    ///
    /// # Errors
    /// What the clock pin reports.
    pub fn new(clock: S, data: D, wait: W, timing: T, gain: Gain) -> Result<Self, Error<E>> {
        let mut converter = Self {
            clock,
            data,
            wait,
            timing,
            gain,
            pending: Gain::default(),
        };
        // Whatever state it was left in, a reset ends it.
        converter.power_down()?;
        converter.power_up()?;
        Ok(converter)
    }

    /// Whether a conversion waits to be read.
    ///
    /// # Errors
    /// What the data pin reports.
    pub fn is_ready(&mut self) -> Result<bool, Error<E>> {
        self.data.is_low().map_err(Error::Pin)
    }

    /// The code that waits, signed 24-bit; `None` when none does, or when it was made at another
    /// gain than the one asked for.
    ///
    /// # Errors
    /// See [`Error`]; the next call starts anew.
    pub fn read(&mut self) -> Result<Option<i32>, Error<E>> {
        if !self.is_ready()? {
            return Ok(None);
        }
        let mut bits = 0_u32;
        for _ in 0..BITS {
            self.pulse()?;
            // The bit stands until the clock rises again.
            bits = bits << 1 | u32::from(self.data.is_high().map_err(Error::Pin)?);
        }
        for _ in BITS..self.gain.clocks() {
            self.pulse()?;
        }
        let made_at = self.pending;
        self.pending = self.gain;
        if self.is_ready()? {
            return Err(Error::NotReleased);
        }
        Ok((made_at == self.gain).then(|| signed(bits)))
    }

    /// Asks for another gain; it holds from the conversion after the next reading on.
    pub const fn set_gain(&mut self, gain: Gain) {
        self.gain = gain;
    }

    /// Powers the converter down.
    ///
    /// # Errors
    /// What the clock pin reports.
    pub fn power_down(&mut self) -> Result<(), Error<E>> {
        self.clock.set_high().map_err(Error::Pin)?;
        self.wait.delay_us(POWER_DOWN_US);
        Ok(())
    }

    /// Powers the converter up; its first conversion comes after four periods.
    ///
    /// # Errors
    /// What the clock pin reports.
    pub fn power_up(&mut self) -> Result<(), Error<E>> {
        self.clock.set_low().map_err(Error::Pin)?;
        self.wait.delay_ns(HALF_NS);
        self.pending = Gain::default();
        Ok(())
    }

    /// One clock, up and down.
    fn pulse(&mut self) -> Result<(), Error<E>> {
        let Self {
            clock,
            wait,
            timing,
            ..
        } = self;
        let high = timing.uninterrupted(|| {
            let begun = timing.micros();
            clock.set_high()?;
            wait.delay_ns(HALF_NS);
            clock.set_low()?;
            Ok(timing.micros().wrapping_sub(begun))
        });
        let high = high.map_err(Error::Pin)?;
        wait.delay_ns(HALF_NS);
        if high >= HIGH_MAX_US {
            self.pending = Gain::default();
            return Err(Error::Held(high));
        }
        Ok(())
    }
}

/// 24 bits with their sign carried to the top.
pub(crate) const fn signed(bits: u32) -> i32 {
    (bits << 8).cast_signed() >> 8
}

#[cfg(test)]
mod tests {
    use std::vec::Vec;

    use super::*;
    use crate::chips::two_wire::Chip;

    type Converter<'c> = TwoWire<
        crate::chips::two_wire::ClockPin<'c>,
        crate::chips::two_wire::DataPin<'c>,
        crate::chips::two_wire::Wait<'c>,
        crate::chips::two_wire::Clock<'c>,
    >;

    fn converter(chip: &Chip, gain: Gain) -> Converter<'_> {
        TwoWire::new(
            chip.clock_pin(),
            chip.data_pin(),
            chip.wait(),
            chip.clock(),
            gain,
        )
        .expect("powered up")
    }

    /// Polls until so many codes have come.
    fn poll(chip: &Chip, converter: &mut Converter<'_>, count: usize) -> Vec<i32> {
        let mut codes = Vec::new();
        while codes.len() < count {
            codes.extend(converter.read().expect("a code"));
            chip.pass_us(100);
            assert!(chip.now_us() < 10_000_000, "no code in ten seconds");
        }
        codes
    }

    const CODES: [i32; 9] = [
        0, 1, -1, 0x7F_FFFF, -0x80_0000, 0x55_5555, -0x55_5556, 123_456, -7_654_321,
    ];

    #[test]
    fn every_code_arrives_as_it_was_sent() {
        let chip = Chip::converting(12_500, &CODES);
        let mut converter = converter(&chip, Gain::First128);
        assert_eq!(poll(&chip, &mut converter, CODES.len()), CODES);
        chip.assert_well_treated();
    }

    #[test]
    fn nothing_is_read_before_it_is_ready() {
        let chip = Chip::converting(12_500, &CODES);
        let mut converter = converter(&chip, Gain::First128);
        for _ in 0..40 {
            assert_eq!(converter.read(), Ok(None));
            chip.pass_us(1000);
        }
        assert_eq!(chip.edges(), 0, "it was clocked while it converted");
    }

    #[test]
    fn clocks_choose_the_gain_and_the_first_code_of_another_is_dropped() {
        for (gain, first) in [(Gain::First128, 0), (Gain::Second32, 1), (Gain::First64, 1)] {
            let chip = Chip::converting(12_500, &[10, 20, 30, 40]);
            let mut converter = converter(&chip, gain);
            let codes = poll(&chip, &mut converter, 2);
            assert_eq!(codes, [10, 20, 30, 40][first..first + 2], "{gain:?}");
            assert_eq!(chip.gain_clocks(), gain.clocks());
            chip.assert_well_treated();
        }
    }

    #[test]
    fn interrupts_between_pulses_do_no_harm() {
        let chip = Chip::converting(12_500, &CODES);
        // Whenever it is not shielded, somebody takes 80 us.
        chip.interrupt_for_us(80);
        let mut converter = converter(&chip, Gain::First128);
        assert_eq!(poll(&chip, &mut converter, CODES.len()), CODES);
        chip.assert_well_treated();
    }

    #[test]
    fn a_clock_held_too_long_is_told_and_the_gain_is_restored() {
        let chip = Chip::converting(12_500, &[10, 20, 30, 40, 50, 60]);
        let mut converter = converter(&chip, Gain::First64);
        assert_eq!(poll(&chip, &mut converter, 1), [20]);
        while !converter.is_ready().expect("a level") {
            chip.pass_us(100);
        }
        chip.stall_at_edge(9, 75);
        assert!(matches!(converter.read(), Err(Error::Held(us)) if us >= 75));
        assert_eq!(chip.resets(), 2, "power-up and this one");
        // 40 is the first after the reset, at gain 128, and not handed on.
        assert_eq!(poll(&chip, &mut converter, 2), [50, 60]);
    }

    #[test]
    fn a_line_that_stays_low_is_no_converter() {
        let chip = Chip::shorted();
        let mut converter = converter(&chip, Gain::First128);
        assert_eq!(converter.read(), Err(Error::NotReleased));
    }

    #[test]
    fn an_absent_converter_is_never_ready() {
        let chip = Chip::converting(12_500, &[]);
        let mut converter = converter(&chip, Gain::First128);
        for _ in 0..1000 {
            assert_eq!(converter.read(), Ok(None));
            chip.pass_us(1000);
        }
    }

    #[test]
    fn power_down_stops_it_and_power_up_starts_it_anew() {
        let chip = Chip::converting(12_500, &[10, 20, 30]);
        let mut converter = converter(&chip, Gain::First128);
        assert_eq!(poll(&chip, &mut converter, 1), [10]);
        converter.power_down().expect("down");
        chip.pass_us(500_000);
        assert!(chip.is_down());
        assert!(!converter.is_ready().expect("a level"));
        converter.power_up().expect("up");
        let begun = chip.now_us();
        assert_eq!(poll(&chip, &mut converter, 1), [20]);
        assert!(chip.now_us() - begun >= 4 * 12_500, "before it had settled");
    }
}
