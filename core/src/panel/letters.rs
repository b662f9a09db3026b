//! The sizes of letters.
//!
//! The fonts hold what a sheet may name ([`crate::spec::limits::is_shown`]); any other character shows as
//! a question mark.

use embedded_graphics::mono_font::MonoFont;
use embedded_graphics::mono_font::iso_8859_1::{FONT_6X13, FONT_8X13_BOLD, FONT_10X20};

/// A size of letters.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Letters {
    /// 21 to a line, 9 pixels high.
    Small,
    /// 16 to a line, 10 pixels high, strokes 2 pixels wide.
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
    pub(super) const fn font(self) -> &'static MonoFont<'static> {
        match self {
            Self::Small => &FONT_6X13,
            Self::Bold => &FONT_8X13_BOLD,
            Self::Title | Self::Tall | Self::Wide => &FONT_10X20,
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

    /// How wide `text` is, pixels.
    pub(super) fn width(self, text: &str) -> i32 {
        (text.chars().count() as i32).saturating_mul(self.pitch())
    }
}

#[cfg(test)]
mod tests {
    use super::Letters;

    #[test]
    fn the_pitch_is_that_of_the_stretched_font() {
        for letters in [
            Letters::Small,
            Letters::Bold,
            Letters::Title,
            Letters::Tall,
            Letters::Wide,
        ] {
            let font = letters.font();
            let wide = font.character_size.width + font.character_spacing;
            let (across, _) = letters.stretch();
            assert_eq!(letters.pitch(), wide as i32 * i32::from(across));
        }
    }
}
