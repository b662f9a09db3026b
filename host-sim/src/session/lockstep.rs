//! A station and a bench in step: one input after the other, in the order of their times.

use pennyweight_core::units::AdcCode;
use pennyweight_core::{Command, Input, Instant, Mode, Outputs, Setup, Station, View};

use crate::plant::Bench;

/// One call of the station, and what a person hears and sees after it.
#[derive(Clone, Copy, Debug)]
pub struct Moment<'s> {
    /// Station time.
    pub at: Instant,
    /// What the station was told.
    pub input: Input,
    /// What it answered.
    pub outputs: Outputs,
    /// What panel, light and sounder show.
    pub view: View<'s>,
}

/// A station on a bench.
pub struct Lockstep<'s> {
    /// The bench.
    pub bench: Bench,
    /// The station.
    pub station: Station<'s>,
    now_us: u64,
    ticked_us: Option<u64>,
}

/// What a station on this bench must know: its calibration and nominal rate.
#[must_use]
pub fn setup_for(bench: &Bench, mode: Mode) -> Setup {
    Setup {
        zero_code: bench.zero_code(),
        counts_per_gram: bench.counts_per_gram() as f32,
        sps: bench.sps() as f32,
        mode,
    }
}

impl<'s> Lockstep<'s> {
    /// Puts a station on a bench.
    #[must_use]
    pub fn new(bench: Bench, station: Station<'s>) -> Self {
        Self {
            bench,
            station,
            now_us: 0,
            ticked_us: None,
        }
    }

    /// Station time, microseconds: that of the last input.
    #[must_use]
    pub fn now_us(&self) -> u64 {
        self.now_us
    }

    /// Tells the station a command now.
    pub fn command(&mut self, command: Command) -> Moment<'s> {
        self.tell(self.now_us, Input::Command(command))
    }

    /// Goes on to the next conversion or deadline; `None`, with the bench at `action_us`, when
    /// the person's action comes first.
    pub fn step(&mut self, action_us: Option<u64>) -> Option<Moment<'s>> {
        let conversion_us = self.bench.next_conversion_us();
        let deadline_us = self.deadline_us();
        let next_us = deadline_us.map_or(conversion_us, |due| due.min(conversion_us));
        if let Some(action_us) = action_us
            && action_us < next_us
        {
            self.now_us = self.now_us.max(action_us);
            self.bench.advance(action_us);
            return None;
        }
        if deadline_us.is_some_and(|due| due < conversion_us) {
            self.ticked_us = Some(next_us);
            return Some(self.tell(next_us, Input::Tick));
        }
        let conversion = self.bench.read();
        Some(self.tell(conversion.t_us, Input::Code(AdcCode(conversion.code))))
    }

    /// The station's deadline, never before now; one that a tick has not moved is passed over,
    /// so that no station can hold time still.
    fn deadline_us(&self) -> Option<u64> {
        let due = self.station.deadline()?.micros().max(self.now_us);
        (self.ticked_us != Some(due)).then_some(due)
    }

    fn tell(&mut self, at_us: u64, input: Input) -> Moment<'s> {
        self.now_us = at_us;
        let at = Instant::from_micros(at_us);
        let outputs = self.station.handle(at, input);
        Moment {
            at,
            input,
            outputs,
            view: self.station.view(),
        }
    }
}
