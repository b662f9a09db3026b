//! The panel as characters.

use embedded_graphics::Pixel;
use embedded_graphics::draw_target::DrawTarget;
use embedded_graphics::geometry::Point;
use embedded_graphics::pixelcolor::BinaryColor;
use pennyweight_core::panel::Frame;
use pennyweight_sim::screen::{braille, half_blocks};

fn dots(points: &[(i32, i32)]) -> Frame {
    let mut frame = Frame::new();
    let points = points.iter().map(|(x, y)| Point::new(*x, *y));
    let Ok(()) = frame.draw_iter(points.map(|point| Pixel(point, BinaryColor::On)));
    frame
}

#[test]
fn half_blocks_hold_two_rows() {
    let text = half_blocks(&dots(&[(0, 0), (1, 1), (2, 0), (2, 1), (127, 63)]));
    let lines: Vec<_> = text.lines().collect();
    assert_eq!(lines.len(), 32);
    assert!(lines.iter().all(|line| line.chars().count() == 128));
    assert!(lines[0].starts_with("▀▄█ "));
    assert!(lines[31].ends_with(" ▄"));
}

/// Dot numbers as the Unicode Standard names them, block U+2800: dots 1 to 3 down the left,
/// 4 to 6 down the right, 7 and 8 below; dot n is bit n-1.
#[test]
fn braille_holds_eight_pixels() {
    let text = braille(&dots(&[(0, 0), (2, 3), (5, 0), (126, 60), (127, 63)]));
    let lines: Vec<_> = text.lines().collect();
    assert_eq!(lines.len(), 16);
    assert!(lines.iter().all(|line| line.chars().count() == 64));
    assert!(lines[0].starts_with("\u{2801}\u{2840}\u{2808}\u{2800}"));
    assert!(lines[15].ends_with('\u{2881}'));
}
