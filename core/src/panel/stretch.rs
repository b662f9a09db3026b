//! Larger letters from an existing font.

use embedded_graphics::Pixel;
use embedded_graphics::draw_target::DrawTarget;
use embedded_graphics::geometry::{Dimensions, Point, Size};
use embedded_graphics::pixelcolor::BinaryColor;
use embedded_graphics::primitives::Rectangle;

/// Draws every lit pixel of a letter as a block of one ink, and leaves what is behind the dark
/// ones: pixel (x, y) becomes a block at `origin + (x * wide, y * high)`, `brush` by `high` large.
///
/// All letters go through it, those that are not stretched too: the library's own text would be
/// two more copies of its loop over pixels, 0.9 KB of flash, and twice as slow.
pub(super) struct Stretch<'t, D> {
    pub(super) target: &'t mut D,
    pub(super) ink: BinaryColor,
    pub(super) origin: Point,
    pub(super) wide: u8,
    pub(super) high: u8,
    /// How wide a block is; as wide as `wide`, or into the next one.
    pub(super) brush: u8,
}

impl<D: DrawTarget<Color = BinaryColor>> Stretch<'_, D> {
    fn block(&mut self, at: Point) -> Result<(), D::Error> {
        let along = |origin: i32, offset: i32, factor: u8| {
            origin.saturating_add(offset.saturating_mul(factor.into()))
        };
        let corner = Point::new(
            along(self.origin.x, at.x, self.wide),
            along(self.origin.y, at.y, self.high),
        );
        let size = Size::new(self.brush.into(), self.high.into());
        self.target
            .fill_solid(&Rectangle::new(corner, size), self.ink)
    }
}

impl<D: Dimensions> Dimensions for Stretch<'_, D> {
    // Too large rather than too small: the target itself drops what lies outside.
    fn bounding_box(&self) -> Rectangle {
        self.target.bounding_box()
    }
}

impl<D: DrawTarget<Color = BinaryColor>> DrawTarget for Stretch<'_, D> {
    type Color = BinaryColor;
    type Error = D::Error;

    fn draw_iter<I>(&mut self, pixels: I) -> Result<(), D::Error>
    where
        I: IntoIterator<Item = Pixel<BinaryColor>>,
    {
        for Pixel(at, color) in pixels {
            if color.is_on() {
                self.block(at)?;
            }
        }
        Ok(())
    }
}
