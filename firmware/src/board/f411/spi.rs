//! The bus of the serial flash: SPI1 as a master, eight bits, mode 0.
//!
//! By its registers (reference manual RM0383, 20.3.5): the HAL looks for a clock divider and panics
//! where it finds none.

use embedded_hal::spi::{ErrorKind, ErrorType, SpiBus};
use stm32f4xx_hal::pac::SPI1;

/// Looks at a byte that is on its way before the bus counts as hung: 16 clocks of the bus are less
/// than 200 of the processor.
const PATIENCE: u32 = 10_000;

/// Clock divider: 84 MHz over 16 is 5.25 MHz (control register 1, `BR` = 3).
const DIVIDER: u16 = 3 << 3;
/// Master, on, the select line by software and high (control register 1).
const MASTER: u16 = 1 << 2 | 1 << 6 | 1 << 8 | 1 << 9;

/// The bus; its pins and its clock are set up before.
pub struct Bus(SPI1);

impl Bus {
    pub fn new(registers: SPI1) -> Self {
        // SAFETY: mode 0 and eight bits are zeros in this register; the rest is named above.
        registers
            .cr1()
            .write(|w| unsafe { w.bits(MASTER | DIVIDER) });
        Self(registers)
    }

    /// Sends a byte; the one that came back.
    fn exchange(&mut self, byte: u8) -> Result<u8, ErrorKind> {
        let until = |bit: u16| {
            let came = (0..PATIENCE).any(|_| self.0.sr().read().bits() & bit != 0);
            came.then_some(()).ok_or(ErrorKind::Other)
        };
        // It can send; it has received.
        until(1 << 1)?;
        // SAFETY: any byte can be sent.
        self.0.dr().write(|w| unsafe { w.bits(byte.into()) });
        until(1)?;
        Ok(self.0.dr().read().bits() as u8)
    }
}

impl ErrorType for Bus {
    type Error = ErrorKind;
}

impl SpiBus for Bus {
    fn read(&mut self, bytes: &mut [u8]) -> Result<(), ErrorKind> {
        bytes.fill(0);
        self.transfer_in_place(bytes)
    }

    fn write(&mut self, bytes: &[u8]) -> Result<(), ErrorKind> {
        bytes
            .iter()
            .try_for_each(|byte| self.exchange(*byte).map(drop))
    }

    fn transfer(&mut self, read: &mut [u8], write: &[u8]) -> Result<(), ErrorKind> {
        let length = read.len().max(write.len());
        let mut read = read.iter_mut();
        let mut write = write.iter();
        for _ in 0..length {
            let byte = self.exchange(write.next().copied().unwrap_or(0))?;
            if let Some(place) = read.next() {
                *place = byte;
            }
        }
        Ok(())
    }

    fn transfer_in_place(&mut self, bytes: &mut [u8]) -> Result<(), ErrorKind> {
        for byte in bytes {
            *byte = self.exchange(*byte)?;
        }
        Ok(())
    }

    fn flush(&mut self) -> Result<(), ErrorKind> {
        // Every byte was waited for.
        Ok(())
    }
}
