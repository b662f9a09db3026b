//! Text and areas in one ink on one target.

use embedded_graphics::draw_target::DrawTarget;
use embedded_graphics::geometry::{Point, Size};
use embedded_graphics::image::ImageDrawable;
use embedded_graphics::pixelcolor::BinaryColor;
use embedded_graphics::primitives::Rectangle;

use super::frame::WIDTH;
use super::letters::Letters;
use super::stretch::Stretch;

/// Draws with one ink; everything it draws stays within the target or is dropped.
pub(super) struct Pen<'t, D> {
    target: &'t mut D,
    ink: BinaryColor,
}

impl<'t, D: DrawTarget<Color = BinaryColor>> Pen<'t, D> {
    pub(super) const fn new(target: &'t mut D, ink: BinaryColor) -> Self {
        Self { target, ink }
    }

    /// A pen for the same target that draws in the other colour.
    pub(super) fn other(&mut self) -> Pen<'_, D> {
        Pen {
            ink: self.ink.invert(),
            target: &mut *self.target,
        }
    }

    /// A rectangle of ink.
    pub(super) fn fill(&mut self, x: i32, y: i32, wide: u32, high: u32) -> Result<(), D::Error> {
        let area = Rectangle::new(Point::new(x, y), Size::new(wide, high));
        self.target.fill_solid(&area, self.ink)
    }

    /// Text whose letters stand on row `baseline`, from column `x`, cut where the panel ends;
    /// gives back the column behind it.
    pub(super) fn text(
        &mut self,
        letters: Letters,
        x: i32,
        baseline: i32,
        text: &str,
    ) -> Result<i32, D::Error> {
        let room = i32::from(WIDTH).saturating_sub(x).max(0);
        let fitting = room.checked_div(letters.pitch()).unwrap_or(0);
        let text = cut(text, fitting.unsigned_abs() as usize);
        let mut x = x;
        for letter in text.bytes() {
            self.letter(letters, x, baseline, letter)?;
            x = x.saturating_add(letters.pitch());
        }
        Ok(x)
    }

    /// Text with its own spacing: `advance` columns from a character to the next, each in the
    /// middle of its own, dropped where it would be cut; gives back the column behind it.
    pub(super) fn spread(
        &mut self,
        letters: Letters,
        mut x: i32,
        baseline: i32,
        text: &str,
        advance: impl Fn(u8) -> i32,
    ) -> Result<i32, D::Error> {
        for letter in text.bytes() {
            let advance = advance(letter);
            let left = x.saturating_sub(letters.pitch().saturating_sub(advance) >> 1);
            if left.saturating_add(letters.pitch()) <= WIDTH.into() {
                self.letter(letters, left, baseline, letter)?;
            }
            x = x.saturating_add(advance);
        }
        Ok(x)
    }

    fn letter(
        &mut self,
        letters: Letters,
        x: i32,
        baseline: i32,
        letter: u8,
    ) -> Result<(), D::Error> {
        let font = letters.font();
        let (wide, high) = letters.stretch();
        // The font counts its baseline from the top row of the cell; the last pixel row above it
        // is to stand on the baseline.
        let rise = i32::try_from(font.baseline).unwrap_or(0);
        let block = rise.saturating_add(1).saturating_mul(high.into());
        let mut target = Stretch {
            target: &mut *self.target,
            ink: self.ink,
            origin: Point::new(x, baseline.saturating_add(1).saturating_sub(block)),
            wide,
            high,
            brush: letters.brush(letter),
        };
        // What a `SubImage` calls, after 0.4 KB of code that cuts the cell to the picture.
        font.picture.draw_sub_image(&mut target, &font.cell(letter))
    }
}

/// The first `count` letters of `text`, without a blank at the end.
pub(super) fn cut(text: &str, count: usize) -> &str {
    let (first, rest) = split(text, count);
    if rest.is_empty() {
        first
    } else {
        first.trim_ascii_end()
    }
}

/// The words of `text` that fit into `count` letters, and the rest.
///
/// A word longer than the line is cut within.
pub(super) fn wrap(text: &str, count: usize) -> (&str, &str) {
    let text = text.trim_ascii_start();
    let Some(within) = text.as_bytes().get(..=count) else {
        return (text, "");
    };
    let last_blank = within.iter().rposition(|letter| *letter == b' ');
    let (line, rest) = split(text, last_blank.unwrap_or(count));
    (line.trim_ascii_end(), rest.trim_ascii_start())
}

/// At `count` bytes, or where a longer character before them begins.
fn split(text: &str, count: usize) -> (&str, &str) {
    text.split_at_checked(text.floor_char_boundary(count))
        .unwrap_or((text, ""))
}
