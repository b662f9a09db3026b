//! Pours without a spec: whoever listens writes them down.

use crate::input::Mode;
use crate::limits::FREE_PASSES_G;
use crate::units::Grams;
use crate::weigh::Expectation;
use crate::weigh::settle::Body;

use super::{Station, Task};

impl Station<'_> {
    /// Specs are worked on and no drink is under way: pours may come before they are named.
    pub(super) fn is_free(&self) -> bool {
        let none = match &self.task {
            Task::Plain => true,
            Task::Round => self.round.build().is_none(),
            Task::Single { .. } | Task::Learn(_) => false,
        };
        none && self.crew.mode == Mode::Develop
    }

    /// What the pan is to expect where no drink is under way. In a free pour any flow may end by
    /// itself, and the next is another bottle.
    pub(super) fn without_drink(&self) -> Expectation {
        if !self.is_free() {
            return Expectation::default();
        }
        Expectation {
            body: Body::Unknown,
            stopping: true,
            passes: Some(Grams(FREE_PASSES_G)),
            at_once: false,
        }
    }
}
