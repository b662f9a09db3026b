//! The sizes of letters.
//!
//! The fonts hold ASCII, as the sheet does; any other byte shows as a question mark. Those with
//! accents would cost 4.6 KB of flash.

use embedded_graphics::geometry::{Point, Size};
use embedded_graphics::image::ImageRaw;
use embedded_graphics::mono_font::MonoFont;
use embedded_graphics::mono_font::ascii::{FONT_6X13, FONT_10X20};
use embedded_graphics::pixelcolor::BinaryColor;
use embedded_graphics::primitives::Rectangle;

/// Characters in a row of a font's picture.
const IN_A_ROW: usize = 16;

/// Where a letter stands in the fonts, as their own mapping has it; that one counts its way
/// there, which is a tenth of a full repaint.
fn glyph(letter: u8) -> usize {
    const QUESTION_MARK: usize = 0x3F - 0x20;
    match letter {
        b' '..=0x7F => usize::from(letter).saturating_sub(0x20),
        _ => QUESTION_MARK,
    }
}

/// What is used of a font, without the mapping that it brings.
pub(super) struct Font {
    /// All its characters, [`IN_A_ROW`] to a row.
    pub(super) picture: ImageRaw<'static, BinaryColor>,
    /// The size of one character.
    size: Size,
    /// The last row of letters that do not hang, counted from the top.
    pub(super) baseline: u32,
}

impl Font {
    const fn of(font: &MonoFont<'static>) -> Self {
        Self {
            picture: font.image,
            size: font.character_size,
            baseline: font.baseline,
        }
    }

    /// The part of the picture that shows the letter.
    pub(super) fn cell(&self, letter: u8) -> Rectangle {
        let glyph = glyph(letter);
        let along = |count: usize, step: u32| (count as i32).saturating_mul(step as i32);
        let corner = Point::new(
            along(glyph % IN_A_ROW, self.size.width),
            along(glyph / IN_A_ROW, self.size.height),
        );
        Rectangle::new(corner, self.size)
    }
}

static SMALL: Font = Font::of(&FONT_6X13);
static TITLE: Font = Font::of(&FONT_10X20);

/// A size of letters.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Letters {
    /// 21 to a line, 9 pixels high.
    Small,
    /// 16 to a line, 9 pixels high: the small ones with a broader pen. A font of their
    /// own would take 1.2 KB of flash.
    Bold,
    /// 12 to a line, 13 pixels high.
    Title,
    /// 12 to a line, 26 pixels high.
    Tall,
    /// 6 to a line, 26 pixels high.
    Wide,
}

impl Letters {
    /// The font before it is stretched.
    pub(super) const fn font(self) -> &'static Font {
        match self {
            Self::Small | Self::Bold => &SMALL,
            Self::Title | Self::Tall | Self::Wide => &TITLE,
        }
    }

    /// From one character to the next, pixels.
    pub(super) const fn pitch(self) -> i32 {
        match self {
            Self::Small => 6,
            Self::Bold => 8,
            Self::Title | Self::Tall => 10,
            Self::Wide => 20,
        }
    }

    /// How often a pixel of the font is repeated, across and down.
    pub(super) const fn stretch(self) -> (u8, u8) {
        match self {
            Self::Small | Self::Bold | Self::Title => (1, 1),
            Self::Tall => (1, 2),
            Self::Wide => (2, 2),
        }
    }

    /// How wide a pixel of the font is drawn: bold ones run into the next, but in letters whose
    /// strokes are a pixel apart.
    pub(super) const fn brush(self, letter: u8) -> u8 {
        match (self, letter) {
            (Self::Small | Self::Title | Self::Tall, _) | (Self::Bold, b'm' | b'M' | b'%') => 1,
            (Self::Bold | Self::Wide, _) => 2,
        }
    }

    /// How wide `text` is, pixels.
    pub(super) fn width(self, text: &str) -> i32 {
        (text.len() as i32).saturating_mul(self.pitch())
    }
}

#[cfg(test)]
mod tests {
    use embedded_graphics::geometry::OriginDimensions;
    use embedded_graphics::mono_font::mapping::{ASCII, GlyphMapping};

    #[test]
    fn letters_stand_where_the_fonts_have_them() {
        for letter in 0..=u8::MAX {
            assert_eq!(super::glyph(letter), ASCII.index(char::from(letter)));
        }
    }

    #[test]
    fn every_font_has_as_many_in_a_row() {
        for font in [&super::SMALL, &super::TITLE] {
            let row = font.picture.size().width / font.size.width;
            assert_eq!(row as usize, super::IN_A_ROW);
        }
    }
}
