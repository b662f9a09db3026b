//! The station: one input in, a short fixed list of outputs back.

use crate::input::{Input, Mode};
use crate::output::Outputs;
use crate::spec::Sheet;
use crate::time::Instant;
use crate::view::{Light, Page, Sound, View};

/// What must be known before the first sample.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Setup {
    /// The code of the empty pan at the last calibration.
    pub zero_code: i32,
    /// Codes per gram.
    pub counts_per_gram: f32,
    /// Nominal conversions per second.
    pub sps: f32,
    /// The way of working.
    pub mode: Mode,
}

/// The whole scale, from converter code to cue.
pub struct Station<'s> {
    setup: Setup,
    sheet: Option<Sheet<'s>>,
    now: Instant,
}

impl<'s> Station<'s> {
    /// A station that has seen nothing yet; `const`, so that it can be built in place.
    #[must_use]
    pub const fn new(setup: Setup) -> Self {
        Self {
            setup,
            sheet: None,
            now: Instant::ZERO,
        }
    }

    /// Works from this sheet from now on.
    pub fn load(&mut self, sheet: Sheet<'s>) {
        self.sheet = Some(sheet);
    }

    /// Takes one input at time `now`.
    pub fn handle(&mut self, now: Instant, input: Input) -> Outputs {
        let _ = (self.setup, input);
        self.now = now;
        Outputs::default()
    }

    /// When [`Input::Tick`] is due if no conversion comes first.
    #[must_use]
    pub fn deadline(&self) -> Option<Instant> {
        None
    }

    /// A snapshot for the panel, the light and the sounder.
    pub fn view(&mut self) -> View<'s> {
        View {
            changed: false,
            page: Page::Idle,
            light: Light::Off,
            sound: Sound::Silent,
            ramp: None,
        }
    }
}
