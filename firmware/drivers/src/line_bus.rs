//! I2C on two pins, clocked by the processor.
//!
//! A hardware unit that a part leaves hanging waits for ever unless somebody watches it. Here every
//! wait is bounded, and a bus can be taken over in any state, which a fault handler has to do:
//! [`LineBus::take_over`] clocks a part that still holds the data line out of its byte.
//!
//! Fast mode, 400 kHz at most: clock low 1.3 us or longer, high 0.6 us, data set up 0.1 us before
//! (I2C-bus specification UM10204, table 10; from memory). An interrupt stretches a bit and does
//! no harm.

use embedded_hal::delay::DelayNs;
use embedded_hal::digital::{InputPin, OutputPin};
use embedded_hal::i2c::{ErrorKind, ErrorType, I2c, NoAcknowledgeSource, Operation};

/// The clock is low for so long after a bit was set up, nanoseconds.
const LOW_NS: u32 = 1_500;
/// And high.
const HIGH_NS: u32 = 1_000;
/// A part may hold the clock low for so long, microseconds.
const STRETCH_US: u32 = 500;
/// Clocks that end any byte a part is in: eight bits and an acknowledge.
const ENDING: u8 = 9;

/// Why a transfer failed.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Error {
    /// Nobody acknowledged the address: no part is there.
    Address,
    /// The part did not take a byte.
    Data,
    /// A line stays low: a short, or a part without supply.
    Held,
    /// A pin failed.
    Pin,
}

impl embedded_hal::i2c::Error for Error {
    fn kind(&self) -> ErrorKind {
        match self {
            Self::Address => ErrorKind::NoAcknowledge(NoAcknowledgeSource::Address),
            Self::Data => ErrorKind::NoAcknowledge(NoAcknowledgeSource::Data),
            Self::Held => ErrorKind::Bus,
            Self::Pin => ErrorKind::Other,
        }
    }
}

/// A bus of two open-drain pins with pull-ups.
#[derive(Debug)]
pub struct LineBus<C, D, W> {
    clock: C,
    data: D,
    wait: W,
}

impl<C, D, W> LineBus<C, D, W>
where
    C: InputPin + OutputPin,
    D: InputPin + OutputPin,
    W: DelayNs,
{
    /// A bus on these pins; nothing is moved yet.
    pub const fn new(clock: C, data: D, wait: W) -> Self {
        Self { clock, data, wait }
    }

    /// Takes the bus over, in whatever state it is.
    ///
    /// # Errors
    /// [`Error::Held`] where a line stays low.
    pub fn take_over(&mut self) -> Result<(), Error> {
        self.set_data(true)?;
        for _ in 0..ENDING {
            if self.is_data_high()? {
                break;
            }
            self.fall()?;
            self.rise()?;
        }
        self.stop()?;
        if self.is_data_high()? {
            Ok(())
        } else {
            Err(Error::Held)
        }
    }

    fn set_data(&mut self, high: bool) -> Result<(), Error> {
        self.data.set_state(high.into()).map_err(|_| Error::Pin)
    }

    fn is_data_high(&mut self) -> Result<bool, Error> {
        self.data.is_high().map_err(|_| Error::Pin)
    }

    fn fall(&mut self) -> Result<(), Error> {
        self.clock.set_low().map_err(|_| Error::Pin)?;
        Ok(())
    }

    /// The clock's low time, its rise, and its high time.
    fn rise(&mut self) -> Result<(), Error> {
        self.wait.delay_ns(LOW_NS);
        self.clock.set_high().map_err(|_| Error::Pin)?;
        let mut patience = STRETCH_US;
        while self.clock.is_low().map_err(|_| Error::Pin)? {
            if patience == 0 {
                return Err(Error::Held);
            }
            patience = patience.saturating_sub(1);
            self.wait.delay_us(1);
        }
        self.wait.delay_ns(HIGH_NS);
        Ok(())
    }

    /// A start, or a start again, with the clock left low.
    fn start(&mut self) -> Result<(), Error> {
        self.set_data(true)?;
        self.rise()?;
        self.set_data(false)?;
        self.wait.delay_ns(HIGH_NS);
        self.fall()
    }

    fn stop(&mut self) -> Result<(), Error> {
        self.fall()?;
        self.set_data(false)?;
        self.rise()?;
        self.set_data(true)?;
        self.wait.delay_ns(LOW_NS);
        Ok(())
    }

    /// Sends a byte; whether it was acknowledged.
    fn put(&mut self, byte: u8) -> Result<bool, Error> {
        for bit in (0..8).rev() {
            self.set_data(byte >> bit & 1 == 1)?;
            self.rise()?;
            self.fall()?;
        }
        self.set_data(true)?;
        self.rise()?;
        let taken = !self.is_data_high()?;
        self.fall()?;
        Ok(taken)
    }

    fn get(&mut self, more: bool) -> Result<u8, Error> {
        self.set_data(true)?;
        let mut byte = 0;
        for _ in 0..8 {
            self.rise()?;
            byte = byte << 1 | u8::from(self.is_data_high()?);
            self.fall()?;
        }
        self.set_data(!more)?;
        self.rise()?;
        self.fall()?;
        Ok(byte)
    }

    fn transfer(&mut self, address: u8, operations: &mut [Operation<'_>]) -> Result<(), Error> {
        let mut reading = None;
        for operation in operations {
            let reads = matches!(operation, Operation::Read(_));
            if reading != Some(reads) {
                self.start()?;
                if !self.put(address << 1 | u8::from(reads))? {
                    return Err(Error::Address);
                }
                reading = Some(reads);
            }
            match operation {
                Operation::Write(bytes) => {
                    for byte in *bytes {
                        if !self.put(*byte)? {
                            return Err(Error::Data);
                        }
                    }
                }
                Operation::Read(bytes) => {
                    let mut left = bytes.len();
                    for byte in &mut **bytes {
                        left = left.saturating_sub(1);
                        *byte = self.get(left > 0)?;
                    }
                }
            }
        }
        Ok(())
    }
}

impl<C, D, W> ErrorType for LineBus<C, D, W> {
    type Error = Error;
}

impl<C, D, W> I2c for LineBus<C, D, W>
where
    C: InputPin + OutputPin,
    D: InputPin + OutputPin,
    W: DelayNs,
{
    fn transaction(
        &mut self,
        address: u8,
        operations: &mut [Operation<'_>],
    ) -> Result<(), Self::Error> {
        let done = self.transfer(address, operations);
        // Whatever came of it, the bus is let go of.
        let freed = self.stop();
        done.and(freed)
    }
}

#[cfg(test)]
mod tests {
    use std::vec;

    use super::*;
    use crate::chips::lines::Chip;
    use crate::panel::{COLUMNS, PANEL_ADDRESS, Panel};

    type Bus<'c> =
        LineBus<crate::chips::lines::ClockPin<'c>, crate::chips::lines::DataPin<'c>, &'c Chip>;

    fn bus(chip: &Chip) -> Result<Bus<'_>, Error> {
        let mut bus = LineBus::new(chip.clock_pin(), chip.data_pin(), chip);
        bus.take_over()?;
        Ok(bus)
    }

    #[test]
    fn bytes_arrive_in_both_directions() {
        let chip = Chip::at(0x2A);
        chip.answer(&[0x5A, 0x00, 0xFF]);
        let mut bus = bus(&chip).expect("free");
        bus.write(0x2A, &[0x12, 0x80, 0x01]).expect("taken");
        let mut answer = [0; 3];
        bus.write_read(0x2A, &[0x07], &mut answer).expect("taken");
        assert_eq!(answer, [0x5A, 0x00, 0xFF]);
        assert_eq!(chip.received(), vec![vec![0x12, 0x80, 0x01], vec![0x07]]);
        chip.assert_well_treated();
    }

    #[test]
    fn an_absent_part_a_full_one_and_a_short_are_told() {
        let chip = Chip::at(0x2A);
        assert_eq!(
            bus(&chip).expect("free").write(0x3C, &[1]),
            Err(Error::Address)
        );
        chip.take_only(2);
        assert_eq!(
            bus(&chip).expect("free").write(0x2A, &[1, 2, 3]),
            Err(Error::Data)
        );
        chip.assert_well_treated();
        chip.short_data();
        assert_eq!(bus(&chip).err(), Some(Error::Held));
        let chip = Chip::at(0x2A);
        chip.short_clock();
        assert_eq!(bus(&chip).err(), Some(Error::Held));
        assert!(chip.now_ns() < 10_000_000, "it waited for too long");
    }

    #[test]
    fn a_part_left_in_the_middle_of_a_byte_is_clocked_out_of_it() {
        for bits in 0..9 {
            let chip = Chip::at(0x2A);
            chip.stop_within_answer(bits);
            let mut bus = bus(&chip).expect("it lets go");
            bus.write(0x2A, &[7]).expect("taken");
            assert_eq!(chip.received(), vec![vec![7]], "{bits} bits before");
        }
    }

    #[test]
    fn a_strip_of_the_panel_takes_no_longer_than_a_board_may_say() {
        let chip = Chip::at(PANEL_ADDRESS);
        let mut panel = Panel::new(bus(&chip).expect("free"), PANEL_ADDRESS).expect("it answers");
        let begun = chip.now_ns();
        panel.send(0, &[0x5A; COLUMNS]).expect("it answers");
        let us = (chip.now_ns() - begun) / 1_000;
        assert!((3_000..=3_600).contains(&us), "{us}");
        chip.assert_well_treated();
    }
}
