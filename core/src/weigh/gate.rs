//! Throws out codes that no mass can cause, counts them and says so.
//!
//! A glitch is an impossible jump: a rail, the pattern of a broken read (all ones, `2^n - 1`), or
//! a single sample far from both its neighbours. A suspicious sample is held until the next one
//! tells; a real step is then passed on with both samples at their own times. A quiet pan that
//! happens to sit at `2^18 - 1` is no fault.

use crate::limits::{
    CODE_MAX, CODE_MIN, GLITCH_BACK, GLITCH_G, SATURATED_CODES, STUCK_CODES, STUCK_S,
};
use crate::output::Fault;
use crate::time::Instant;
use crate::units::AdcCode;

/// A code with the time at which it was read.
pub type Timed = (Instant, AdcCode);

/// What the gate lets through for one conversion.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Gated {
    /// A sample that had been held and proved real.
    pub held: Option<Timed>,
    /// This sample.
    pub sample: Option<Timed>,
    /// Something wrong has begun, or a single glitch was dropped.
    pub fault: Option<Fault>,
    /// What was wrong has ended.
    pub cleared: bool,
}

/// The state of the gate.
#[derive(Clone, Copy, Debug, Default)]
pub struct Gate {
    last: Option<Timed>,
    before_last: Option<AdcCode>,
    suspect: Option<Timed>,
    rails: u8,
    repeats: u16,
    repeating_since: Instant,
    previous: Option<AdcCode>,
    standing: Option<Fault>,
    dropped: u32,
}

impl Gate {
    /// Nothing seen yet.
    #[must_use]
    pub const fn new() -> Self {
        Self {
            last: None,
            before_last: None,
            suspect: None,
            rails: 0,
            repeats: 0,
            repeating_since: Instant::ZERO,
            previous: None,
            standing: None,
            dropped: 0,
        }
    }

    /// Samples dropped since power-up.
    #[must_use]
    pub const fn dropped(&self) -> u32 {
        self.dropped
    }

    /// Judges one conversion.
    pub fn take(&mut self, now: Instant, code: AdcCode, counts_per_gram: f32) -> Gated {
        let mut out = Gated::default();
        self.count_repeats(now, code);
        if code.0 >= CODE_MAX || code.0 <= CODE_MIN {
            self.rails = self.rails.saturating_add(1);
            self.dropped = self.dropped.saturating_add(1);
            if self.rails == SATURATED_CODES {
                self.begin(Fault::Saturated, &mut out);
            } else if self.rails < SATURATED_CODES {
                out.fault = Some(Fault::Glitch);
            }
            return out;
        }
        self.rails = 0;
        let jump_limit = GLITCH_G * counts_per_gram.abs();
        if let Some(suspect) = self.suspect.take() {
            let before = self.last.map_or(suspect.1, |(_, code)| code);
            let jump = distance(suspect.1, before);
            let level = self.before_last.unwrap_or(before);
            let near = GLITCH_BACK * jump;
            let back = distance(code, before) < near && distance(level, before) < near;
            let broken = is_broken_read(suspect.1) && distance(code, suspect.1) > jump_limit;
            if back || broken {
                self.dropped = self.dropped.saturating_add(1);
                out.fault = Some(Fault::Glitch);
            } else {
                out.held = Some(suspect);
                self.keep(suspect);
            }
        }
        let jump = self.last.map_or(0.0, |(_, last)| distance(code, last));
        if jump > jump_limit && out.held.is_none() {
            self.suspect = Some((now, code));
        } else {
            self.keep((now, code));
            out.sample = Some((now, code));
        }
        if self.is_stuck(now) {
            if self.standing != Some(Fault::Stuck) {
                self.begin(Fault::Stuck, &mut out);
            }
        } else if self.standing.take().is_some() {
            out.cleared = true;
        }
        out
    }

    fn keep(&mut self, sample: Timed) {
        self.before_last = self.last.map(|(_, code)| code);
        self.last = Some(sample);
    }

    fn begin(&mut self, fault: Fault, out: &mut Gated) {
        self.standing = Some(fault);
        out.fault = Some(fault);
    }

    fn count_repeats(&mut self, now: Instant, code: AdcCode) {
        if self.previous.replace(code) == Some(code) {
            self.repeats = self.repeats.saturating_add(1);
        } else {
            self.repeats = 0;
            self.repeating_since = now;
        }
    }

    fn is_stuck(&self, now: Instant) -> bool {
        self.repeats >= STUCK_CODES && now.seconds_since(self.repeating_since) >= STUCK_S
    }
}

fn distance(a: AdcCode, b: AdcCode) -> f32 {
    a.0.saturating_sub(b.0).unsigned_abs() as f32
}

/// All ones, or ones up to some bit: what a read gives whose clock slipped or whose data line
/// stayed high.
fn is_broken_read(code: AdcCode) -> bool {
    let bits = code.0 & 0xFF_FFFF;
    bits.count_ones() >= 12 && bits & bits.saturating_add(1) == 0
}
