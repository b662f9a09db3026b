//! Larger letters from an existing font.

use embedded_graphics::Pixel;
use embedded_graphics::draw_target::DrawTarget;
use embedded_graphics::geometry::{Dimensions, Point};
use embedded_graphics::pixelcolor::BinaryColor;
use embedded_graphics::primitives::Rectangle;

/// Draws every pixel as a block: pixel (x, y) becomes a block at `origin + (x * wide, y * high)`,
/// `wide` by `high` large.
///
/// All letters go through it, those that are not stretched too: the library's loop over pixels is
/// then in the image once.
pub(super) struct Stretch<'t, D> {
    pub(super) target: &'t mut D,
    pub(super) origin: Point,
    pub(super) wide: u8,
    pub(super) high: u8,
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
        let (origin, wide, high) = (self.origin, self.wide, self.high);
        let along = |origin: i32, at: i32, factor: u8, within: u8| {
            origin
                .saturating_add(at.saturating_mul(factor.into()))
                .saturating_add(within.into())
        };
        self.target
            .draw_iter(pixels.into_iter().flat_map(move |Pixel(at, color)| {
                (0..high).flat_map(move |down| {
                    let y = along(origin.y, at.y, high, down);
                    (0..wide).map(move |across| {
                        Pixel(Point::new(along(origin.x, at.x, wide, across), y), color)
                    })
                })
            }))
    }
}
