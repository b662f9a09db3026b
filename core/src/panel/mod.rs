//! The panel, the light and the sounder, each a function of a [`View`].
//!
//! A page has three parts at fixed places: a top line (the liquid, the drink), a large line two
//! text lines high (the amount), a bottom line (what comes next), with a bar above it while
//! liquid runs. What the hand should do changes areas, not places: *pour* is a dark page, *ease*
//! has a white band through its middle, *stop* is a white page, and the word stands in letters
//! 26 pixels high. Nothing blinks.
//!
//! # How far it can be read
//! The panel is at least 55 mm wide, a pixel is 0.430 mm, and the angle is taken at 1 m:
//!
//! | letters | pixels high | mm | minutes of arc |
//! |---|---|---|---|
//! | amount, EASE, STOP | 26 | 11.2 | 38 |
//! | title of a fault, short note | 13 | 5.6 | 19 |
//! | top line | 10 | 4.3 | 15 (21 at 0.7 m) |
//! | bottom line | 9 | 3.9 | 13 (19 at 0.7 m) |
//!
//! The ISO 9241 family asks for characters at least 16 minutes of arc high and prefers 20 to 22
//! (from memory). What matters while pouring is well above that at 1 m; the top and the bottom
//! line reach it at arm's length, from where bottles are picked.
//!
//! # What it costs
//! A full repaint takes 80 to 325 thousand instructions on a Cortex-M4F, built for the least size,
//! over the sessions of the emulator; nearly all of it goes into asking a font's picture for its
//! pixels one by one.

mod amount;
mod bar;
mod frame;
mod learn;
mod letters;
mod light;
mod pages;
mod pen;
mod sound;
mod stretch;
mod words;

use embedded_graphics::draw_target::DrawTarget;
use embedded_graphics::pixelcolor::BinaryColor;

pub use bar::{filled, travel};
pub use frame::{Frame, HEIGHT, WIDTH};
pub use light::light;
pub use sound::{EASE_HZ, LOOK_HZ, NEXT_HZ, RAMP_FROM_HZ, RAMP_TO_HZ, STOP_HZ, pitch, tone};

use crate::view::View;

/// Draws the page of `view`, the whole frame anew.
pub fn draw(view: &View<'_>, frame: &mut Frame) {
    let Ok(()) = draw_on(view, frame);
}

/// Draws the page of `view` on any target at least [`WIDTH`] by [`HEIGHT`].
///
/// # Errors
/// What the target answers.
pub fn draw_on<D>(view: &View<'_>, target: &mut D) -> Result<(), D::Error>
where
    D: DrawTarget<Color = BinaryColor>,
{
    target.clear(BinaryColor::Off)?;
    pages::page(view, target)
}
