//! Commands of a flight and of a capture.

use crate::capture::{Capture, Which};
use crate::limits::OVERLOAD_G;
use crate::output::Outputs;
use crate::spec::LiquidId;
use crate::units::Millilitres;

use super::{Station, Task};

impl Station<'_> {
    /// Strains no more than this into every glass from now on.
    pub(super) fn serve(&mut self, volume: Millilitres) -> bool {
        let sound = volume.0 >= 0.0 && volume.0 < OVERLOAD_G;
        if sound {
            self.crew.serve = (volume.0 > 0.0).then_some(volume);
        }
        sound
    }

    /// Records whatever is poured from now on.
    pub(super) fn capture(&mut self, loaded: bool) -> bool {
        self.task = Task::Capture(Capture::new(loaded));
        true
    }

    pub(super) fn name(&mut self, which: Which, liquid: LiquidId, out: &mut Outputs) -> bool {
        let known = self.sheet.is_some_and(|sheet| liquid.0 < sheet.liquids());
        match &mut self.task {
            Task::Capture(capture) => known && capture.name(which, liquid, out),
            Task::Plain | Task::Single { .. } | Task::Round(_) | Task::Learn(_) => false,
        }
    }

    pub(super) fn strike(&mut self, number: u8, out: &mut Outputs) -> bool {
        match &mut self.task {
            Task::Capture(capture) => capture.strike(number, out),
            Task::Plain | Task::Single { .. } | Task::Round(_) | Task::Learn(_) => false,
        }
    }
}
