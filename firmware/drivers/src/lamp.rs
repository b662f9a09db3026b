//! The three-colour light: one pin each for red and green, amber is both.

use embedded_hal::digital::{OutputPin, PinState};

/// What the light can show.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Colour {
    /// Nothing.
    Dark,
    /// Green.
    Green,
    /// Red and green together.
    Amber,
    /// Red.
    Red,
}

/// Which level lights a pin's colour.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Polarity {
    /// High lights it.
    ActiveHigh,
    /// Low lights it: a common-anode part.
    ActiveLow,
}

/// A two-pin, three-colour light.
#[derive(Debug)]
pub struct Lamp<R, G> {
    red: R,
    green: G,
    polarity: Polarity,
}

impl<E, R, G> Lamp<R, G>
where
    R: OutputPin<Error = E>,
    G: OutputPin<Error = E>,
{
    /// A light on these pins, dark.
    ///
    /// # Errors
    /// Whatever a pin reports.
    pub fn new(red: R, green: G, polarity: Polarity) -> Result<Self, E> {
        let mut lamp = Self {
            red,
            green,
            polarity,
        };
        lamp.show(Colour::Dark)?;
        Ok(lamp)
    }

    /// Shows this colour from now on.
    ///
    /// The pin that goes dark is set first, so that no third colour flashes up in between.
    ///
    /// # Errors
    /// Whatever a pin reports; the other pin may have changed already.
    pub fn show(&mut self, colour: Colour) -> Result<(), E> {
        let red = matches!(colour, Colour::Red | Colour::Amber);
        let green = matches!(colour, Colour::Green | Colour::Amber);
        if red {
            self.green.set_state(self.level(green))?;
            self.red.set_state(self.level(red))
        } else {
            self.red.set_state(self.level(red))?;
            self.green.set_state(self.level(green))
        }
    }

    fn level(&self, lit: bool) -> PinState {
        PinState::from(lit == (self.polarity == Polarity::ActiveHigh))
    }
}

#[cfg(test)]
mod tests {
    extern crate std;

    use core::cell::RefCell;
    use core::convert::Infallible;
    use std::vec::Vec;

    use embedded_hal::digital::ErrorType;

    use super::*;

    /// Two light-emitting dies in one part, and every colour an eye saw.
    #[derive(Default)]
    struct Part {
        lit: RefCell<[bool; 2]>,
        seen: RefCell<Vec<[bool; 2]>>,
    }

    struct Pin<'p> {
        part: &'p Part,
        die: usize,
        lights_high: bool,
    }

    impl ErrorType for Pin<'_> {
        type Error = Infallible;
    }

    impl Pin<'_> {
        fn drive(&mut self, high: bool) -> Result<(), Infallible> {
            let mut lit = self.part.lit.borrow_mut();
            lit[self.die] = high == self.lights_high;
            self.part.seen.borrow_mut().push(*lit);
            Ok(())
        }
    }

    impl OutputPin for Pin<'_> {
        fn set_low(&mut self) -> Result<(), Infallible> {
            self.drive(false)
        }

        fn set_high(&mut self) -> Result<(), Infallible> {
            self.drive(true)
        }
    }

    const COLOURS: [(Colour, [bool; 2]); 4] = [
        (Colour::Dark, [false, false]),
        (Colour::Green, [false, true]),
        (Colour::Amber, [true, true]),
        (Colour::Red, [true, false]),
    ];

    #[test]
    fn colours_are_what_the_dies_mix() {
        for polarity in [Polarity::ActiveHigh, Polarity::ActiveLow] {
            let part = Part::default();
            let pin = |die| Pin {
                part: &part,
                die,
                lights_high: polarity == Polarity::ActiveHigh,
            };
            let Ok(mut lamp) = Lamp::new(pin(0), pin(1), polarity);
            assert_eq!(*part.lit.borrow(), [false, false]);
            for (from, before) in COLOURS {
                for (to, after) in COLOURS {
                    let Ok(()) = lamp.show(from);
                    assert_eq!(*part.lit.borrow(), before);
                    part.seen.borrow_mut().clear();
                    let Ok(()) = lamp.show(to);
                    assert_eq!(*part.lit.borrow(), after);
                    // Between red and green there may be darkness, never amber.
                    let amber = part.seen.borrow().contains(&[true, true]);
                    assert!(
                        !amber || from == Colour::Amber || to == Colour::Amber,
                        "{from:?} to {to:?}"
                    );
                }
            }
        }
    }
}
