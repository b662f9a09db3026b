//! The panel: a page-addressed monochrome controller on I2C, 128 by 64.
//!
//! A picture is sent strip by strip, eight rows at a time: all of it takes 25 ms at 400 kHz, in
//! which a cue would come late; a strip takes [`STRIP_US`].
//!
//! Commands: data sheet of the controller that such panels share, "Command table"; from memory, to
//! be compared with the panel in hand.

use embedded_hal::i2c::I2c;

/// The usual address of such a panel.
pub const PANEL_ADDRESS: u8 = 0x3C;

/// One strip at 400 kHz, microseconds: 138 bytes of nine bits, and two addresses.
pub const STRIP_US: u32 = 3_200;

/// Columns of a strip, a byte each.
pub const COLUMNS: usize = 128;

/// Strips of a picture.
pub const STRIPS: u8 = 8;

/// What follows on the wire is commands, or pixels.
const COMMANDS: u8 = 0x00;
const PIXELS: u8 = 0x40;

/// From power-up to a panel that is lit: off; clock; 64 rows from row 0; charge pump; addresses
/// run along a strip, then down; neither mirrored; contacts, contrast and charge as common panels
/// want them; memory shown, not inverted; on.
const START: [u8; 26] = [
    COMMANDS, 0xAE, 0xD5, 0x80, 0xA8, 0x3F, 0xD3, 0x00, 0x40, 0x8D, 0x14, 0x20, 0x00, 0xA1, 0xC8,
    0xDA, 0x12, 0x81, 0xCF, 0xD9, 0xF1, 0xDB, 0x40, 0xA4, 0xA6, 0xAF,
];

/// A panel on this bus.
#[derive(Debug)]
pub struct Panel<B> {
    bus: B,
    address: u8,
}

impl<B: I2c> Panel<B> {
    /// Wakes the panel; it shows whatever its memory holds until all strips are sent.
    ///
    /// # Errors
    /// What the bus reports; nobody acknowledges where the panel is absent.
    pub fn new(mut bus: B, address: u8) -> Result<Self, B::Error> {
        bus.write(address, &START)?;
        Ok(Self { bus, address })
    }

    /// Sends strip `index` from the top: a byte a column, the lowest bit topmost. One past the
    /// last is not sent.
    ///
    /// # Errors
    /// What the bus reports; the strip may be there in part.
    pub fn send(&mut self, index: u8, columns: &[u8; COLUMNS]) -> Result<(), B::Error> {
        if index >= STRIPS {
            return Ok(());
        }
        let place = [COMMANDS, 0x22, index, index, 0x21, 0, 0x7F];
        self.bus.write(self.address, &place)?;
        let mut wire = [PIXELS; COLUMNS + 1];
        if let Some((_, pixels)) = wire.split_first_mut() {
            pixels.copy_from_slice(columns);
        }
        self.bus.write(self.address, &wire)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::chips::panel::Chip;

    fn strip(seed: u8) -> [u8; COLUMNS] {
        core::array::from_fn(|column| seed.wrapping_mul(31).wrapping_add(column as u8))
    }

    #[test]
    fn every_strip_lies_where_it_belongs() {
        let chip = Chip::default();
        let mut panel = Panel::new(&chip, PANEL_ADDRESS).expect("it answers");
        // In no order, and one again: a strip depends on none before it.
        for index in [5, 0, 7, 1, 2, 6, 3, 4, 5] {
            panel.send(index, &strip(index)).expect("it answers");
        }
        for index in 0..STRIPS {
            assert_eq!(chip.strip(index), strip(index), "strip {index}");
        }
        panel.send(STRIPS, &[0; COLUMNS]).expect("nothing is sent");
        assert_eq!(chip.strip(0), strip(0));
        assert!(chip.is_lit());
    }

    #[test]
    fn a_strip_takes_no_longer_than_it_says() {
        let chip = Chip::default();
        let mut panel = Panel::new(&chip, PANEL_ADDRESS).expect("it answers");
        let begun = chip.now_ns();
        panel.send(0, &strip(0)).expect("it answers");
        let us = (chip.now_ns() - begun) / 1000;
        assert!((2_900..=u64::from(STRIP_US)).contains(&us), "{us}");
    }

    #[test]
    fn an_absent_panel_is_told() {
        assert!(Panel::new(&Chip::default(), 0x3D).is_err());
    }
}
