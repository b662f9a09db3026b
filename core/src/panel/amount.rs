//! A number with its unit, as large as the room allows.

use embedded_graphics::draw_target::DrawTarget;
use embedded_graphics::pixelcolor::BinaryColor;
use heapless::String;

use super::letters::Letters;
use super::pen::Pen;
use super::words;
use crate::view::Reading;

/// A number ready to be drawn: sign apart from digits, because the sign is drawn, not written.
#[derive(Clone, Debug)]
pub(super) struct Amount {
    sign: Option<Sign>,
    digits: String<12>,
    unit: &'static str,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Sign {
    Plus,
    Minus,
}

/// Powers of ten, from the first digit a reading can have to its last.
const POWERS: [(u8, u32); 10] = [
    (9, 1_000_000_000),
    (8, 100_000_000),
    (7, 10_000_000),
    (6, 1_000_000),
    (5, 100_000),
    (4, 10_000),
    (3, 1_000),
    (2, 100),
    (1, 10),
    (0, 1),
];

impl Amount {
    /// A reading with its unit; the sign is shown when negative.
    pub(super) fn new(reading: Reading) -> Self {
        Self::of(reading.value, reading.decimals, words::unit(reading.unit))
    }

    /// `value / 10^decimals`, up to three decimals, and what to write behind it.
    pub(super) fn of(value: i32, decimals: u8, unit: &'static str) -> Self {
        let decimals = decimals.min(3);
        let mut rest = value.unsigned_abs();
        let mut digits = String::new();
        for (place, power) in POWERS {
            let digit = rest.checked_div(power).unwrap_or(0);
            rest = rest.checked_rem(power).unwrap_or(0);
            if digit == 0 && digits.is_empty() && place > decimals {
                continue;
            }
            // Room for all ten digits and the point, so that nothing is lost here.
            let _ = digits.push(char::from_digit(digit, 10).unwrap_or('0'));
            if place == decimals && place > 0 {
                let _ = digits.push('.');
            }
        }
        Self {
            sign: (value < 0).then_some(Sign::Minus),
            digits,
            unit,
        }
    }

    /// The same without its sign.
    pub(super) fn unsigned(self) -> Self {
        Self { sign: None, ..self }
    }

    /// The same with a plus in front where it has no minus and is not nothing.
    pub(super) fn signed(self) -> Self {
        let nothing = self.digits.chars().all(|digit| matches!(digit, '0' | '.'));
        Self {
            sign: self.sign.or((!nothing).then_some(Sign::Plus)),
            ..self
        }
    }

    /// Its digits and its point.
    pub(super) fn digits(&self) -> &str {
        &self.digits
    }

    /// What stands behind it.
    pub(super) const fn unit(&self) -> &'static str {
        self.unit
    }

    /// Draws it in the columns from `x` up to `end`, standing on row `baseline`: wide digits,
    /// else tall ones, else tall ones without their unit, else small.
    pub(super) fn draw<D>(
        &self,
        pen: &mut Pen<'_, D>,
        x: i32,
        end: i32,
        baseline: i32,
    ) -> Result<(), D::Error>
    where
        D: DrawTarget<Color = BinaryColor>,
    {
        let room = end.saturating_sub(x);
        let unit = Letters::Bold.width(self.unit);
        let wide = self.width(Letters::Wide).saturating_add(unit);
        let tall = self.width(Letters::Tall);
        if wide <= room {
            self.draw_large(pen, Letters::Wide, x, baseline, true)
        } else if tall.saturating_add(unit) <= room {
            self.draw_large(pen, Letters::Tall, x, baseline, true)
        } else if tall <= room {
            self.draw_large(pen, Letters::Tall, x, baseline, false)
        } else {
            let sign = match self.sign {
                Some(Sign::Minus) => "-",
                Some(Sign::Plus) => "+",
                None => "",
            };
            let x = pen.text(Letters::Small, x, baseline, sign)?;
            pen.text(Letters::Small, x, baseline, &self.digits)?;
            Ok(())
        }
    }

    /// Columns of sign and digits.
    fn width(&self, letters: Letters) -> i32 {
        let sign = if self.sign.is_some() {
            sign_advance(letters)
        } else {
            0
        };
        self.digits.chars().fold(sign, |width, digit| {
            width.saturating_add(advance(letters, digit))
        })
    }

    fn draw_large<D>(
        &self,
        pen: &mut Pen<'_, D>,
        letters: Letters,
        mut x: i32,
        baseline: i32,
        with_unit: bool,
    ) -> Result<(), D::Error>
    where
        D: DrawTarget<Color = BinaryColor>,
    {
        if let Some(sign) = self.sign {
            let long = sign_advance(letters).saturating_sub(2);
            pen.fill(x, baseline.saturating_sub(13), long.unsigned_abs(), 4)?;
            if sign == Sign::Plus {
                let middle = x.saturating_add(long >> 1).saturating_sub(2);
                let top = baseline.saturating_sub(11).saturating_sub(long >> 1);
                pen.fill(middle, top, 4, long.unsigned_abs())?;
            }
            x = x.saturating_add(long).saturating_add(2);
        }
        let x = pen.spread(letters, x, baseline, &self.digits, |digit| {
            advance(letters, digit)
        })?;
        if with_unit {
            pen.text(Letters::Bold, x, baseline, self.unit)?;
        }
        Ok(())
    }
}

/// Columns from one character to the next: a point needs half of a digit's.
const fn advance(letters: Letters, digit: char) -> i32 {
    match digit {
        '.' => letters.pitch() >> 1,
        _ => letters.pitch(),
    }
}

/// Columns a drawn sign takes: bar and gap.
const fn sign_advance(letters: Letters) -> i32 {
    match letters {
        Letters::Wide => 14,
        Letters::Tall | Letters::Title | Letters::Bold | Letters::Small => 10,
    }
}
