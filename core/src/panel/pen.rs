//! Text and areas in one ink on one target.

use embedded_graphics::draw_target::DrawTarget;
use embedded_graphics::geometry::{Point, Size};
use embedded_graphics::mono_font::MonoTextStyle;
use embedded_graphics::pixelcolor::BinaryColor;
use embedded_graphics::primitives::Rectangle;
use embedded_graphics::text::Baseline;
use embedded_graphics::text::renderer::TextRenderer;

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
        self.letters(letters, x, baseline, text)?;
        Ok(x.saturating_add(letters.width(text)))
    }

    /// Text with its own spacing: `advance` columns from a character to the next, each in the
    /// middle of its own, dropped where it would be cut; gives back the column behind it.
    pub(super) fn spread(
        &mut self,
        letters: Letters,
        mut x: i32,
        baseline: i32,
        text: &str,
        advance: impl Fn(char) -> i32,
    ) -> Result<i32, D::Error> {
        let mut rest = text;
        while let Some(letter) = rest.chars().next() {
            let (first, after) = split(rest, 1);
            let advance = advance(letter);
            let left = x.saturating_sub(letters.pitch().saturating_sub(advance) >> 1);
            if left.saturating_add(letters.pitch()) <= WIDTH.into() {
                self.letters(letters, left, baseline, first)?;
            }
            x = x.saturating_add(advance);
            rest = after;
        }
        Ok(x)
    }

    fn letters(
        &mut self,
        letters: Letters,
        x: i32,
        baseline: i32,
        text: &str,
    ) -> Result<(), D::Error> {
        let (wide, high) = letters.stretch();
        // The font's own row 0 is its baseline: its block ends on `baseline`.
        let top = baseline.saturating_add(1).saturating_sub(high.into());
        let mut target = Stretch {
            target: &mut *self.target,
            origin: Point::new(x, top),
            wide,
            high,
        };
        MonoTextStyle::new(letters.font(), self.ink)
            .draw_string(text, Point::zero(), Baseline::Alphabetic, &mut target)
            .map(|_| ())
    }
}

/// The first `count` characters of `text`, without a blank at the end.
pub(super) fn cut(text: &str, count: usize) -> &str {
    let (first, rest) = split(text, count);
    if rest.is_empty() {
        first
    } else {
        first.trim_ascii_end()
    }
}

/// The words of `text` that fit into `count` characters, and the rest.
///
/// A word longer than the line is cut within; a blank that does not break (U+00A0) is of the word.
pub(super) fn wrap(text: &str, count: usize) -> (&str, &str) {
    let text = text.trim_ascii_start();
    let (first, rest) = split(text, count);
    if rest.is_empty() {
        return (text, "");
    }
    let (within, _) = split(text, count.saturating_add(1));
    let mut blanks = within.char_indices().filter(|(_, letter)| *letter == ' ');
    let (line, rest) = blanks
        .next_back()
        .and_then(|(at, _)| text.split_at_checked(at))
        .unwrap_or((first, rest));
    (line.trim_ascii_end(), rest.trim_ascii_start())
}

/// The first `count` characters, and the rest.
fn split(text: &str, count: usize) -> (&str, &str) {
    text.char_indices()
        .nth(count)
        .and_then(|(at, _)| text.split_at_checked(at))
        .unwrap_or((text, ""))
}
