//! A short log that a host can read: the last things worth a line.

use serde::{Deserialize, Serialize};

use super::message::RequestError;
use crate::journal::Condition;
use crate::output::Fault;
use crate::time::Instant;

/// Lines of the log.
pub const LOG_LINES: usize = 16;

/// What a line says.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub enum Logged {
    /// Power came on, and what the journal's flash held.
    PowerUp(Condition),
    /// The station began anew.
    Reset,
    /// A request was refused.
    Refused(RequestError),
    /// The station reports a fault.
    Fault(Fault),
    /// The station works from another sheet.
    Sheet,
}

/// One line.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub struct LogLine {
    /// Its number since power-up.
    pub number: u16,
    /// Tenths of a second since power-up.
    pub tenths: u32,
    /// What it says.
    pub logged: Logged,
}

/// The last lines.
#[derive(Debug)]
pub(super) struct Log {
    lines: [(u32, Logged); LOG_LINES],
    next: u16,
}

impl Log {
    pub(super) const fn new() -> Self {
        Self {
            lines: [(0, Logged::Reset); LOG_LINES],
            next: 0,
        }
    }

    pub(super) fn add(&mut self, now: Instant, logged: Logged) {
        let place = usize::from(self.next) % LOG_LINES;
        if let Some(line) = self.lines.get_mut(place) {
            *line = (now.tenths(), logged);
        }
        self.next = self.next.saturating_add(1);
    }

    /// The first line from `since` on that is still there; `None` when there is none yet.
    pub(super) fn line(&self, since: u16) -> Option<LogLine> {
        let number = since.max(self.next.saturating_sub(LOG_LINES as u16));
        let (tenths, logged) = *self.lines.get(usize::from(number) % LOG_LINES)?;
        (number < self.next).then_some(LogLine {
            number,
            tenths,
            logged,
        })
    }
}
