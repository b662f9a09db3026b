//! The bytes as a page-addressed controller takes them.

use embedded_graphics::Pixel;
use embedded_graphics::draw_target::DrawTarget;
use embedded_graphics::geometry::{OriginDimensions, Point, Size};
use embedded_graphics::pixelcolor::BinaryColor;
use embedded_graphics::primitives::{PointsIter, Rectangle};
use pennyweight_core::panel::Frame;
use proptest::prelude::*;

/// Page addressing of 128 x 64 monochrome controllers: page = eight rows, D0 is the top one
/// (their data sheets agree on this; from memory).
#[test]
fn a_pixel_lands_in_its_byte() {
    for (x, y, byte, value) in [
        (0, 0, 0, 0x01),
        (0, 7, 0, 0x80),
        (127, 0, 127, 0x01),
        (0, 8, 128, 0x01),
        (5, 19, 261, 0x08),
        (127, 63, 1023, 0x80),
    ] {
        let mut frame = Frame::new();
        let Ok(()) = frame.draw_iter([Pixel(Point::new(x, y), BinaryColor::On)]);
        let mut expected = [0; 1024];
        expected[byte] = value;
        assert_eq!(frame.bytes(), &expected, "pixel {x}, {y}");
    }
    assert_eq!(Frame::new().size(), Size::new(128, 64));
}

proptest! {
    /// Filling by bytes gives what filling pixel by pixel gives, inside and outside.
    #[test]
    fn filling_is_drawing_every_pixel(
        x in -200_i32..200, y in -200_i32..200, w in 0_u32..300, h in 0_u32..300, on: bool,
    ) {
        let area = Rectangle::new(Point::new(x, y), Size::new(w, h));
        let color = BinaryColor::from(on);
        let mut filled = Frame::new();
        let Ok(()) = filled.clear(color.invert());
        let mut drawn = filled.clone();
        let Ok(()) = filled.fill_solid(&area, color);
        let Ok(()) = drawn.draw_iter(area.points().map(|point| Pixel(point, color)));
        prop_assert_eq!(filled, drawn);
    }

    /// Nowhere is too far.
    #[test]
    fn nothing_panics_far_outside(x: i32, y: i32, w: u32, h: u32) {
        let mut frame = Frame::new();
        let area = Rectangle::new(Point::new(x, y), Size::new(w, h));
        let Ok(()) = frame.fill_solid(&area, BinaryColor::On);
        let Ok(()) = frame.draw_iter([Pixel(Point::new(x, y), BinaryColor::On)]);
    }
}
