//! The one page that is shown when nothing else goes on.

use embedded_hal::delay::DelayNs;
use embedded_hal::digital::{InputPin, OutputPin};

use crate::line_bus::LineBus;
use crate::panel::{COLUMNS, PANEL_ADDRESS, Panel};

/// Shows these strips, from the top, on the panel at the usual address; whether it did.
///
/// For a fault handler: the bus is taken over from any state, the panel woken anew, no wait is
/// without bound, and nothing is drawn.
pub fn show_last<C, D, W>(bus: &mut LineBus<C, D, W>, strips: &[[u8; COLUMNS]]) -> bool
where
    C: InputPin + OutputPin,
    D: InputPin + OutputPin,
    W: DelayNs,
{
    if bus.take_over().is_err() {
        return false;
    }
    let Ok(mut panel) = Panel::new(bus, PANEL_ADDRESS) else {
        return false;
    };
    (0..)
        .zip(strips)
        .all(|(index, columns)| panel.send(index, columns).is_ok())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::chips::lines::Chip;

    const STRIPS: [[u8; COLUMNS]; 8] = {
        let mut strips = [[0; COLUMNS]; 8];
        let mut index = 0;
        while index < strips.len() {
            strips[index] = [index as u8 * 31 + 1; COLUMNS];
            index += 1;
        }
        strips
    };

    #[test]
    fn a_panel_shows_it_whatever_the_bus_was_doing() {
        for bits in 0..9 {
            let chip = Chip::at(PANEL_ADDRESS);
            // Within a byte of the panel, as a fault may leave it.
            chip.stop_within_answer(bits);
            let mut bus = LineBus::new(chip.clock_pin(), chip.data_pin(), &chip);
            assert!(show_last(&mut bus, &STRIPS), "{bits}");
            let received = chip.received();
            assert_eq!(
                received.len(),
                1 + 2 * STRIPS.len(),
                "woken, and two a strip"
            );
            for (columns, pixels) in STRIPS.iter().zip(received[2..].iter().step_by(2)) {
                assert_eq!(pixels[1..], columns[..]);
            }
            assert!(chip.now_ns() < 40_000_000, "well before the watchdog");
        }
    }

    #[test]
    fn an_absent_panel_and_a_short_do_not_hold_it_up() {
        let absent = Chip::at(0x2A);
        let short = Chip::at(PANEL_ADDRESS);
        short.short_clock();
        for chip in [absent, short] {
            let mut bus = LineBus::new(chip.clock_pin(), chip.data_pin(), &chip);
            assert!(!show_last(&mut bus, &STRIPS));
            assert!(chip.now_ns() < 20_000_000);
        }
    }
}
