//! Throws out codes that no mass can cause, and tells what kind of wrong each was.
//!
//! | kind | what it is | told as |
//! |---|---|---|
//! | rail | a code at the end of the range | `glitch`; [`SATURATED_CODES`] in a row: `saturated` |
//! | broken | all ones or `2^n - 1`, and a jump of [`GLITCH_G`] or more | `glitch` |
//! | reversal | one sample far from both its neighbours | `glitch` |
//! | swing | jumps over [`SWING_G`], to and fro | `glitch`; [`SWING_CODES`] in a row: `saturated` |
//! | stuck | the very same code for [`STUCK_S`] | `stuck` |
//! | duplicate | one conversion read twice: the same code within [`DUPLICATE_PERIODS`] | counted |
//! | gap | a conversion later than [`GAP_PERIODS`] | counted; when it lasts: `silent` |
//! | jitter | an interval off by more than [`JITTER_PERIODS`] | counted |
//!
//! Until a code that repeats is known to be stuck it is passed on, but nothing settles on it
//! ([`Gate::repeating`]); once it is known, the pan forgets it.
//!
//! A glitch is a pattern *and* an impossible jump: a quiet pan that sits at `2^18 - 1` is no
//! fault. A suspicious sample is held until the next one tells; a real step is then passed on with
//! both samples at their own times. A broken read that repeats is held on: only a code beside it
//! that is no pattern makes it a mass. Late and uneven samples are passed on at their own times,
//! since everything after the gate works on those. What was dropped is never averaged in, and
//! nothing needs to be done by hand: after saturation the converter's filter is full again within
//! [`SATURATED_CODES`] usable codes, and weighing goes on.
//!
//! **A disconnected bridge** is taken for one where the input floats: it drives the converter to
//! a rail, or swings it to and fro further than any hand can move a load between two conversions.
//! Both are told as `saturated`. It cannot be told when only the excitation is lost: both inputs
//! then rest at the same voltage, the code is quiet and near 0, and looks like a load taken away
//! or set down. A data line that is broken off reads all ones (`stuck`) or is never ready
//! (`silent`). A code may rest by itself where the noise is under about a third of a code; then
//! `stuck` is false, and the cell has too few codes per gram for this scale anyway.

use crate::fault::Fault;
use crate::limits::{
    CODE_MAX, CODE_MIN, DOUBTED_REPEATS, DUPLICATE_PERIODS, GAP_PERIODS, GLITCH_BACK, GLITCH_G,
    JITTER_PERIODS, SATURATED_CODES, STUCK_CODES, STUCK_S, SWING_CODES, SWING_G,
};
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

/// How often each kind was seen since power-up. A full count begins again at 0: at 320 conversions a
/// second after five months at the earliest.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Seen {
    /// Codes at a rail.
    pub rails: u32,
    /// Broken reads.
    pub broken: u32,
    /// Single samples far from both neighbours.
    pub reversals: u32,
    /// Times at which the converter was saturated, at a rail or swinging.
    pub saturations: u32,
    /// Times at which the code was stuck.
    pub stuck: u32,
    /// Conversions read twice.
    pub duplicates: u32,
    /// Conversions that came late, or never.
    pub gaps: u32,
    /// Uneven intervals.
    pub jitters: u32,
}

impl Seen {
    const NONE: Self = Self {
        rails: 0,
        broken: 0,
        reversals: 0,
        saturations: 0,
        stuck: 0,
        duplicates: 0,
        gaps: 0,
        jitters: 0,
    };

    /// The kinds by name with their counts.
    #[must_use]
    pub const fn by_kind(&self) -> [(&'static str, u32); 8] {
        [
            ("rail", self.rails),
            ("broken", self.broken),
            ("reversal", self.reversals),
            ("saturation", self.saturations),
            ("stuck", self.stuck),
            ("duplicate", self.duplicates),
            ("gap", self.gaps),
            ("jitter", self.jitters),
        ]
    }
}

/// The state of the gate.
#[derive(Clone, Copy, Debug, Default)]
pub struct Gate {
    last: Option<Timed>,
    before_last: Option<AdcCode>,
    suspect: Option<Timed>,
    /// Broken reads in a row before the suspect.
    suspected: u32,
    /// Rails in a row; on the way out of saturation, usable codes still to come.
    rails: u8,
    swings: u8,
    /// Up 1, down -1: the last jump, where it was beyond any load's.
    swing: i32,
    repeats: u16,
    repeating_since: Instant,
    previous: Option<Timed>,
    standing: Option<Fault>,
    seen: Seen,
}

impl Gate {
    /// Nothing seen yet.
    #[must_use]
    pub const fn new() -> Self {
        Self {
            last: None,
            before_last: None,
            suspect: None,
            suspected: 0,
            rails: 0,
            swings: 0,
            swing: 0,
            repeats: 0,
            repeating_since: Instant::ZERO,
            previous: None,
            standing: None,
            seen: Seen::NONE,
        }
    }

    /// What was wrong since power-up, by kind.
    #[must_use]
    pub const fn seen(&self) -> &Seen {
        &self.seen
    }

    /// Since when the very same code has come, once it has repeated [`DOUBTED_REPEATS`] times: it may
    /// turn out to be stuck.
    #[must_use]
    pub const fn repeating(&self) -> Option<Instant> {
        if self.repeats < DOUBTED_REPEATS {
            return None;
        }
        Some(self.repeating_since)
    }

    /// Judges the time of a conversion; `period_s` is the time between two. False for one that is
    /// read again, which is to be left out.
    pub fn is_new(&mut self, now: Instant, code: AdcCode, period_s: f32) -> bool {
        let Some((at, before)) = self.previous else {
            return true;
        };
        let periods = now.seconds_since(at) / period_s;
        if periods < DUPLICATE_PERIODS && code == before {
            count(&mut self.seen.duplicates);
            return false;
        }
        if periods > GAP_PERIODS {
            count(&mut self.seen.gaps);
        } else if (periods - 1.0).abs() > JITTER_PERIODS {
            count(&mut self.seen.jitters);
        }
        true
    }

    /// Judges the code of one conversion.
    pub fn take(&mut self, now: Instant, code: AdcCode, counts_per_gram: f32) -> Gated {
        let mut out = Gated::default();
        let counts_per_gram = counts_per_gram.abs();
        self.compare(now, code, SWING_G * counts_per_gram);
        let saturated = self.standing == Some(Fault::Saturated);
        let swings = self.swings >= SWING_CODES || (saturated && self.swing != 0);
        if code.0 >= CODE_MAX || code.0 <= CODE_MIN {
            count(&mut self.seen.rails);
            self.rails = self.rails.saturating_add(1).min(SATURATED_CODES);
        } else if swings {
            self.rails = SATURATED_CODES;
        } else if saturated {
            // The filter still holds some of what drove it there.
            self.rails = self.rails.saturating_sub(1);
        } else {
            self.rails = 0;
        }
        if self.rails > 0 {
            if self.rails < SATURATED_CODES {
                out.fault = (!saturated).then_some(Fault::Glitch);
            } else if !saturated {
                count(&mut self.seen.saturations);
                self.suspect = None;
                self.begin(Fault::Saturated, &mut out);
            }
            return out;
        }
        self.hold(now, code, GLITCH_G * counts_per_gram, &mut out);
        if self.is_stuck(now) {
            if self.standing != Some(Fault::Stuck) {
                count(&mut self.seen.stuck);
                self.begin(Fault::Stuck, &mut out);
            }
            out.sample = None;
        } else if self.standing.take().is_some() {
            out.cleared = true;
        }
        out
    }

    /// Holds a suspicious sample back; tells what the one held before was.
    fn hold(&mut self, now: Instant, code: AdcCode, jump_limit: f32, out: &mut Gated) {
        let jump = self.last.map_or(0.0, |(_, last)| distance(code, last));
        if let Some(suspect) = self.suspect.take() {
            let patterned = is_broken_read(suspect.1);
            if patterned && is_broken_read(code) && jump > jump_limit {
                count(&mut self.suspected);
                self.suspect = Some((now, code));
                return;
            }
            let before = self.last.map_or(suspect.1, |(_, code)| code);
            let leap = distance(suspect.1, before);
            let level = self.before_last.unwrap_or(before);
            let near = GLITCH_BACK * leap;
            let back = distance(code, before) < near && distance(level, before) < near;
            let broken = patterned && distance(code, suspect.1) > jump_limit;
            let run = core::mem::take(&mut self.suspected);
            if back || broken || self.swings > 0 {
                if patterned {
                    self.seen.broken = self.seen.broken.wrapping_add(run).wrapping_add(1);
                } else {
                    count(&mut self.seen.reversals);
                }
                out.fault = Some(Fault::Glitch);
            } else {
                out.held = Some(suspect);
                self.keep(suspect);
            }
        }
        if jump > jump_limit && out.held.is_none() {
            self.suspect = Some((now, code));
        } else {
            self.keep((now, code));
            out.sample = Some((now, code));
        }
    }

    fn keep(&mut self, sample: Timed) {
        self.before_last = self.last.map(|(_, code)| code);
        self.last = Some(sample);
    }

    fn begin(&mut self, fault: Fault, out: &mut Gated) {
        self.standing = Some(fault);
        out.fault = Some(fault);
    }

    /// Compares a code with the one before: the same again, or a swing back.
    fn compare(&mut self, now: Instant, code: AdcCode, swing_limit: f32) {
        let before = self.previous.replace((now, code)).map(|(_, code)| code);
        if before == Some(code) {
            self.repeats = self.repeats.saturating_add(1);
        } else {
            self.repeats = 0;
            self.repeating_since = now;
        }
        let jump = before.map_or(0, |before| code.0.saturating_sub(before.0));
        let swing = if jump.unsigned_abs() as f32 > swing_limit {
            jump.signum()
        } else {
            0
        };
        self.swings = if swing != 0 && swing.saturating_add(self.swing) == 0 {
            self.swings.saturating_add(1)
        } else {
            0
        };
        self.swing = swing;
    }

    fn is_stuck(&self, now: Instant) -> bool {
        self.repeats >= STUCK_CODES && now.seconds_since(self.repeating_since) >= STUCK_S
    }
}

fn count(kind: &mut u32) {
    *kind = kind.wrapping_add(1);
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
