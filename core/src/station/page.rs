//! Which page stands on the panel.

use crate::limits::INITIAL_ZERO_G;
use crate::output::Fault;
use crate::spec::{Reading, Unit};
use crate::view::Page;

use super::{Station, Task, single};

impl<'s> Station<'s> {
    /// The page for now.
    pub(super) fn page(&self) -> Page<'s> {
        if let Some(fault) = self.standing_fault() {
            return Page::Fault(fault);
        }
        if let Some(question) = self.question() {
            return question;
        }
        match &self.task {
            Task::Plain => Page::Weight(Reading::of_mass(self.pan.shown(), 1.0, Unit::Gram)),
            Task::Single { pour: None, .. } => Page::Idle,
            Task::Single {
                pour: Some(pour), ..
            } => single::page(pour, self.now),
            Task::Round if self.shows_weight() => {
                Page::Weight(Reading::of_mass(self.pan.shown(), 1.0, Unit::Gram))
            }
            Task::Round => self.round.page(self.sheet.as_ref(), self.now),
            Task::Learn(learning) => learning.page(),
        }
    }

    fn standing_fault(&self) -> Option<Fault> {
        if self.silent {
            Some(Fault::Silent)
        } else if self.overloaded {
            Some(Fault::Overload)
        } else if self.zero_off && self.pan.gross().0 < INITIAL_ZERO_G {
            // With a glass on it the work goes on: every pour is weighed from where it began.
            self.unusable.or(Some(Fault::Zero))
        } else {
            self.unusable
        }
    }
}
