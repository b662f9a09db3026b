//! The sounder: a square wave of a given pitch on a PWM channel.

use embedded_hal::pwm::SetDutyCycle;

/// A PWM channel whose pitch can be set; embedded-hal 1.0 has the duty cycle only.
pub trait Tone: SetDutyCycle {
    /// Sets the frequency, hertz.
    ///
    /// # Errors
    /// Whatever the channel reports.
    fn set_hertz(&mut self, hertz: u16) -> Result<(), Self::Error>;
}

/// A piezo disc on a PWM channel.
#[derive(Debug)]
pub struct Sounder<T> {
    channel: T,
    sounding: Option<u16>,
}

impl<T: Tone> Sounder<T> {
    /// A sounder on this channel, silent.
    ///
    /// # Errors
    /// Whatever the channel reports.
    pub fn new(mut channel: T) -> Result<Self, T::Error> {
        channel.set_duty_cycle_fully_off()?;
        Ok(Self {
            channel,
            sounding: None,
        })
    }

    /// Sounds at this many hertz from now on, or falls silent; 0 Hz is silence.
    ///
    /// A channel that already sounds so is left alone: setting it again would click.
    ///
    /// # Errors
    /// Whatever the channel reports; the next call tries again.
    pub fn sound(&mut self, hertz: Option<u16>) -> Result<(), T::Error> {
        let hertz = hertz.filter(|&hertz| hertz != 0);
        if hertz == self.sounding {
            return Ok(());
        }
        match hertz {
            Some(hertz) => {
                self.channel.set_hertz(hertz)?;
                // Half on, half off is the loudest a square wave gets.
                self.channel.set_duty_cycle_fraction(1, 2)?;
            }
            None => self.channel.set_duty_cycle_fully_off()?,
        }
        self.sounding = hertz;
        Ok(())
    }
}

#[cfg(test)]
mod tests {
    use core::convert::Infallible;

    use embedded_hal::pwm::ErrorType;

    use super::*;

    /// A timer channel with a period of 1000 counts.
    struct Channel {
        hertz: u16,
        duty: u16,
        writes: u32,
    }

    impl ErrorType for &mut Channel {
        type Error = Infallible;
    }

    impl SetDutyCycle for &mut Channel {
        fn max_duty_cycle(&self) -> u16 {
            1000
        }

        fn set_duty_cycle(&mut self, duty: u16) -> Result<(), Infallible> {
            self.duty = duty;
            self.writes += 1;
            Ok(())
        }
    }

    impl Tone for &mut Channel {
        fn set_hertz(&mut self, hertz: u16) -> Result<(), Infallible> {
            self.hertz = hertz;
            Ok(())
        }
    }

    #[test]
    fn a_pitch_sounds_until_silence() {
        let mut channel = Channel {
            hertz: 0,
            duty: 700,
            writes: 0,
        };
        let Ok(mut sounder) = Sounder::new(&mut channel);
        assert_eq!(sounder.channel.duty, 0);
        let Ok(()) = sounder.sound(Some(880));
        assert_eq!((sounder.channel.hertz, sounder.channel.duty), (880, 500));
        let writes = sounder.channel.writes;
        let Ok(()) = sounder.sound(Some(880));
        assert_eq!(sounder.channel.writes, writes, "set again without need");
        for silence in [None, Some(0)] {
            let Ok(()) = sounder.sound(Some(1200));
            let Ok(()) = sounder.sound(silence);
            assert_eq!(sounder.channel.duty, 0);
        }
    }
}
