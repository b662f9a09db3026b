//! The panel, the light and the sounder: pictures, limits, and curves against libm.

mod fit;
mod frame;
mod letters;
mod pages;
mod ramp;
mod screen;

use pennyweight_core::view::{Light, Page, Sound, View};

/// A page on its own.
fn view(page: Page<'_>) -> View<'_> {
    View {
        changed: true,
        dim: false,
        page,
        light: Light::Off,
        sound: Sound::Silent,
        ramp: None,
    }
}
