//! The bar: how far the pour is and, over its last third, when the hand must move.
//!
//! Until the ramp begins the bar shows the share that is in, on its first two thirds; a notch
//! marks where they end. The ramp carries the edge from wherever it stands to the far end, which
//! it reaches at the moment the hand must move: at least 18 mm of travel on a panel 55 mm wide,
//! however small the share poured in that time is. It starts gently and arrives at its fastest,
//! so that the moment of arrival is sharp.

use core::f32::consts::FRAC_PI_2;

use embedded_graphics::draw_target::DrawTarget;
use embedded_graphics::pixelcolor::BinaryColor;
use micromath::F32Ext;

use super::frame::WIDTH;
use super::pen::Pen;

/// The share of the bar that the pour itself fills; the ramp has the rest.
const POUR_SHARE: f32 = 2.0 / 3.0;
/// `bar` of a page when the target is reached.
const WHOLE: u16 = 1000;

const TOP: i32 = 46;
const THICK: u32 = 5;
/// Where the two thirds end.
const NOTCH: i32 = 85;

/// How far the edge has travelled from where it stood towards the end, 0 to 1, at `ramp` 0 to 1.
///
/// A quarter of a cosine, 1 - cos(ramp * pi / 2), approximated; only an eye judges it. Within
/// 0.0011 of the true curve, which is a seventh of a pixel. NaN gives 0.
#[must_use]
pub fn travel(ramp: f32) -> f32 {
    if ramp >= 1.0 {
        1.0
    } else if ramp > 0.0 {
        (1.0 - F32Ext::cos(ramp * FRAC_PI_2)).clamp(0.0, 1.0)
    } else {
        0.0
    }
}

/// The filled share of the bar, 0 to 1, for a pour that is `bar` thousandths done.
#[must_use]
pub fn filled(bar: u16, ramp: Option<f32>) -> f32 {
    if bar >= WHOLE {
        return 1.0;
    }
    let poured = f32::from(bar) / f32::from(WHOLE) * POUR_SHARE;
    let still = 1.0 - poured;
    poured + still * travel(ramp.unwrap_or(0.0))
}

/// The bar of a pour, filled by `share`.
pub(super) fn pour<D>(pen: &mut Pen<'_, D>, share: f32) -> Result<(), D::Error>
where
    D: DrawTarget<Color = BinaryColor>,
{
    marked(pen, share, NOTCH)
}

/// A bar with a notch at `notch` of 1.
pub(super) fn range<D>(pen: &mut Pen<'_, D>, share: f32, notch: f32) -> Result<(), D::Error>
where
    D: DrawTarget<Color = BinaryColor>,
{
    marked(pen, share, pixels(notch))
}

fn marked<D>(pen: &mut Pen<'_, D>, share: f32, notch: i32) -> Result<(), D::Error>
where
    D: DrawTarget<Color = BinaryColor>,
{
    let edge = pixels(share);
    // What is empty is a thin line, so that the far end can be seen from the start.
    pen.fill(0, TOP.saturating_add(2), WIDTH.into(), 1)?;
    pen.fill(notch.min(i32::from(WIDTH).saturating_sub(1)), TOP, 1, THICK)?;
    pen.fill(i32::from(WIDTH).saturating_sub(2), TOP, 2, THICK)?;
    pen.fill(0, TOP, edge.unsigned_abs(), THICK)
}

fn pixels(share: f32) -> i32 {
    // The cast takes NaN to 0 and saturates.
    ((share * f32::from(WIDTH)) as i32).clamp(0, WIDTH.into())
}
