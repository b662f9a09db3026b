//! The gate before a sequence, as before any weighing: no code that no mass can cause is
//! averaged in.

use pennyweight_core::Instant;
use pennyweight_core::limits::{CODE_MAX, CODE_MIN};
use pennyweight_core::output::Fault;
use pennyweight_core::units::AdcCode;
use pennyweight_core::weigh::gate::{Gate, Timed};
use pennyweight_core::weigh::period::Period;

/// The gate and what it needs to know.
#[derive(Clone, Debug)]
pub struct Front {
    gate: Gate,
    period: Period,
    counts_per_gram: f32,
}

/// What became of one conversion.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Passed {
    /// What goes on, in the order of its times.
    pub samples: [Option<Timed>; 2],
    /// What was wrong.
    pub fault: Option<Fault>,
    /// What was wrong has ended.
    pub cleared: bool,
}

impl Front {
    /// Before a scale of that span.
    #[must_use]
    pub fn new(sps: f32, counts_per_gram: f32) -> Self {
        Self {
            gate: Gate::new(),
            period: Period::new(sps),
            counts_per_gram,
        }
    }

    /// Before a scale whose span is not known yet: it is taken for the greatest with which
    /// `capacity_g` still fits the range. A real load is then never taken for a glitch; a small
    /// one that gets through makes a block stand out, and costs another standing time.
    #[must_use]
    pub fn uncalibrated(sps: f32, capacity_g: f64) -> Self {
        Self::new(sps, (f64::from(CODE_MAX) / capacity_g) as f32)
    }

    /// Judges a conversion. Codes at the end of the range go on as they are: a sequence counts
    /// them and averages none.
    pub fn take(&mut self, now: Instant, code: AdcCode) -> Passed {
        self.period.learn(now);
        let at_end = code.0 >= CODE_MAX || code.0 <= CODE_MIN;
        if !self.gate.is_new(now, code, self.period.seconds()) && !at_end {
            return Passed::default();
        }
        let gated = self.gate.take(now, code, self.counts_per_gram);
        Passed {
            samples: [gated.held, gated.sample.or(at_end.then_some((now, code)))],
            fault: gated.fault,
            cleared: gated.cleared,
        }
    }
}
