//! A short log that can be asked for: the last things worth a line.

use crate::coder::Coder;
use crate::time::Instant;

/// Lines kept.
pub const LOG_LINES: usize = 16;

/// What a line says.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub enum Logged {
    /// Power came on; the journal: 0 whole, 1 blank, 2 damaged.
    #[default]
    PowerUp,
    /// The station began anew.
    Reset,
    /// A frame or a message was refused: 0 frame, 1 message, 2 sheet, 3 strip, 4 setup, 5 reply,
    /// 6 ask.
    Refused,
    /// A fault, numbered as in [`crate::journal::payload::FaultV1`].
    Fault,
    /// A sheet was taken into use.
    Sheet,
}

/// All of them, by number.
const LOGGED: [Logged; 5] = [
    Logged::PowerUp,
    Logged::Reset,
    Logged::Refused,
    Logged::Fault,
    Logged::Sheet,
];

/// One line.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct LogLine {
    /// Its number since power-up.
    pub number: u16,
    /// Tenths of a second since power-up.
    pub tenths: u32,
    /// What it says.
    pub logged: Logged,
    /// More of it.
    pub detail: u8,
}

impl LogLine {
    /// Reads or writes it.
    pub fn fields(&mut self, coder: &mut Coder<'_>) {
        let mut code = self.logged as u8;
        coder.short(&mut self.number);
        coder.number(&mut self.tenths);
        coder.byte(&mut code);
        coder.byte(&mut self.detail);
        match LOGGED.get(usize::from(code)) {
            Some(logged) => self.logged = *logged,
            None => coder.refuse(),
        }
    }
}

/// The last lines.
#[derive(Debug)]
pub(in crate::link) struct Log {
    lines: [(u32, Logged, u8); LOG_LINES],
    next: u16,
}

impl Log {
    pub(in crate::link) const fn new() -> Self {
        Self {
            lines: [(0, Logged::PowerUp, 0); LOG_LINES],
            next: 0,
        }
    }

    #[cold]
    pub(in crate::link) fn add(&mut self, now: Instant, logged: Logged, detail: u8) {
        let place = usize::from(self.next) % LOG_LINES;
        if let Some(line) = self.lines.get_mut(place) {
            *line = (now.tenths(), logged, detail);
        }
        self.next = self.next.saturating_add(1);
    }

    /// The first line from `since` on that is still kept; `None` when there is none yet.
    pub(in crate::link) fn line(&self, since: u16) -> Option<LogLine> {
        let number = since.max(self.next.saturating_sub(LOG_LINES as u16));
        let (tenths, logged, detail) = *self.lines.get(usize::from(number) % LOG_LINES)?;
        (number < self.next).then_some(LogLine {
            number,
            tenths,
            logged,
            detail,
        })
    }
}
