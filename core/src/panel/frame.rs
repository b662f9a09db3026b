//! The picture: 1,024 bytes, one bit a pixel.

use core::convert::Infallible;

use embedded_graphics::Pixel;
use embedded_graphics::draw_target::DrawTarget;
use embedded_graphics::geometry::{OriginDimensions, Size};
use embedded_graphics::pixelcolor::BinaryColor;
use embedded_graphics::primitives::Rectangle;

/// Pixels in a row.
pub const WIDTH: u16 = 128;
/// Pixels in a column.
pub const HEIGHT: u16 = 64;

const COLUMNS: usize = WIDTH as usize;
const LENGTH: usize = 1024;

/// A full picture, laid out as page-addressed monochrome controllers take it.
///
/// The picture is cut into eight strips of eight rows, from the top; a strip is 128 bytes, one
/// per column from the left; the least significant bit of a byte is its topmost pixel. Pixel
/// (x, y) is therefore bit `y % 8` of byte `128 * (y / 8) + x`, and a set bit is a lit pixel.
/// The bytes can be sent as they lie. Drawing outside the picture does nothing.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Frame {
    bytes: [u8; LENGTH],
}

impl Frame {
    /// A dark picture.
    #[must_use]
    pub const fn new() -> Self {
        Self { bytes: [0; LENGTH] }
    }

    /// The bytes in the order in which a controller takes them.
    #[must_use]
    pub const fn bytes(&self) -> &[u8; LENGTH] {
        &self.bytes
    }

    /// Whether the pixel in column `x` and row `y` is lit; dark outside the picture.
    #[must_use]
    pub fn is_lit(&self, x: u16, y: u16) -> bool {
        x < WIDTH
            && y < HEIGHT
            && self
                .bytes
                .get(usize::from(y >> 3) << 7 | usize::from(x))
                .is_some_and(|byte| byte >> (y & 7) & 1 == 1)
    }

    fn set(&mut self, x: i32, y: i32, color: BinaryColor) {
        if !(0..i32::from(WIDTH)).contains(&x) || !(0..i32::from(HEIGHT)).contains(&y) {
            return;
        }
        // Both are small and not negative here, so that the casts keep them.
        if let Some(byte) = self.bytes.get_mut((y as usize >> 3) << 7 | x as usize) {
            paint(byte, 1 << (y & 7), color);
        }
    }
}

impl Default for Frame {
    fn default() -> Self {
        Self::new()
    }
}

impl OriginDimensions for Frame {
    fn size(&self) -> Size {
        Size::new(WIDTH.into(), HEIGHT.into())
    }
}

impl DrawTarget for Frame {
    type Color = BinaryColor;
    type Error = Infallible;

    fn draw_iter<I>(&mut self, pixels: I) -> Result<(), Infallible>
    where
        I: IntoIterator<Item = Pixel<BinaryColor>>,
    {
        for Pixel(point, color) in pixels {
            self.set(point.x, point.y, color);
        }
        Ok(())
    }

    /// A byte at a time: eight pixels for the price of one.
    fn fill_solid(&mut self, area: &Rectangle, color: BinaryColor) -> Result<(), Infallible> {
        let (left, right) = span(area.top_left.x, area.size.width, WIDTH);
        let (top, bottom) = span(area.top_left.y, area.size.height, HEIGHT);
        let mut row = top;
        while row < bottom {
            let strip = row & !7;
            // The rows of this strip that lie in the area, as a mask.
            let from = row.saturating_sub(strip) as u32;
            let to = bottom.saturating_sub(strip).min(8) as u32;
            let mask = (0xFF_u32 << from & !(0xFF_u32 << to)) as u8;
            let begin = (row >> 3).saturating_mul(COLUMNS);
            let bytes = begin.saturating_add(left)..begin.saturating_add(right);
            for byte in self.bytes.get_mut(bytes).into_iter().flatten() {
                paint(byte, mask, color);
            }
            row = strip.saturating_add(8);
        }
        Ok(())
    }

    fn clear(&mut self, color: BinaryColor) -> Result<(), Infallible> {
        self.bytes.fill(if color.is_on() { 0xFF } else { 0 });
        Ok(())
    }
}

fn paint(byte: &mut u8, mask: u8, color: BinaryColor) {
    match color {
        BinaryColor::On => *byte |= mask,
        BinaryColor::Off => *byte &= !mask,
    }
}

/// The part of `start .. start + length` that lies in `0 .. limit`, never the wrong way round.
fn span(start: i32, length: u32, limit: u16) -> (usize, usize) {
    let end = start.saturating_add_unsigned(length);
    let clip = |edge: i32| edge.clamp(0, limit.into()) as usize;
    (clip(start), clip(end))
}
