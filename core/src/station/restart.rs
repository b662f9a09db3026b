//! A station that begins anew where it stands.

use crate::pour::{Crew, Habits};
use crate::time::Instant;
use crate::view::Sound;
use crate::weigh::{Calibration, Gate, Pan, Period};

use super::aside::Aside;
use super::{Setup, Station, Task};

impl Station<'_> {
    /// Forgets everything, as [`Station::new`] does, but part by part: a whole station on its way
    /// to its place would lie on the stack.
    pub fn restart(&mut self, setup: Setup) {
        // Every field is named, so that none is forgotten.
        let Self {
            calibration,
            gate,
            period,
            pan,
            crew,
            task,
            round,
            sheet,
            now,
            unusable,
            silent,
            overloaded,
            zero_due,
            zero_off,
            aside,
            sound,
            sound_until,
            woken,
            dim,
            shown,
            resume,
        } = self;
        *calibration = Calibration {
            zero_code: setup.zero_code,
            counts_per_gram: setup.counts_per_gram,
        };
        *gate = Gate::new();
        *period = Period::new(setup.sps);
        *pan = Pan::new();
        *crew = Crew {
            habits: Habits::new(),
            mode: setup.mode,
            hand: None,
            serve: None,
        };
        *task = Task::Plain;
        round.clear();
        *sheet = None;
        *now = Instant::ZERO;
        *unusable = None;
        *silent = false;
        *overloaded = false;
        *zero_due = None;
        *zero_off = false;
        *aside = Aside::NONE;
        *sound = (Sound::Silent, Sound::Silent);
        *sound_until = Instant::ZERO;
        *woken = Instant::ZERO;
        *dim = false;
        *shown = None;
        *resume = None;
    }
}
