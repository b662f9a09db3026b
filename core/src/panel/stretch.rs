//! Larger letters from an existing font.

use embedded_graphics::Pixel;
use embedded_graphics::draw_target::DrawTarget;
use embedded_graphics::geometry::{Dimensions, Point, Size};
use embedded_graphics::pixelcolor::BinaryColor;
use embedded_graphics::primitives::Rectangle;

/// Where the pixels of a drawing go: (x, y) becomes a block at `origin + (x * wide, y * high)`.
#[derive(Clone, Copy, Debug)]
pub(super) struct Scale {
    pub(super) origin: Point,
    pub(super) wide: u8,
    pub(super) high: u8,
}

impl Scale {
    fn place(self, point: Point) -> Point {
        let along = |origin: i32, offset: i32, factor: u8| {
            origin.saturating_add(offset.saturating_mul(factor.into()))
        };
        Point::new(
            along(self.origin.x, point.x, self.wide),
            along(self.origin.y, point.y, self.high),
        )
    }

    fn block(self, point: Point) -> impl Iterator<Item = Point> {
        let corner = self.place(point);
        (0..i32::from(self.high)).flat_map(move |down| {
            (0..i32::from(self.wide)).map(move |right| {
                Point::new(
                    corner.x.saturating_add(right),
                    corner.y.saturating_add(down),
                )
            })
        })
    }
}

/// Draws every pixel as a block.
pub(super) struct Stretch<'t, D> {
    pub(super) target: &'t mut D,
    pub(super) scale: Scale,
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
        let scale = self.scale;
        self.target.draw_iter(
            pixels
                .into_iter()
                .flat_map(|Pixel(point, color)| scale.block(point).map(move |at| Pixel(at, color))),
        )
    }

    fn fill_solid(&mut self, area: &Rectangle, color: BinaryColor) -> Result<(), D::Error> {
        let size = Size::new(
            area.size.width.saturating_mul(self.scale.wide.into()),
            area.size.height.saturating_mul(self.scale.high.into()),
        );
        let area = Rectangle::new(self.scale.place(area.top_left), size);
        self.target.fill_solid(&area, color)
    }
}
