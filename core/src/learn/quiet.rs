//! What stands on a quiet pan, to within what averaging gives.

use crate::limits::{LEARN_GAP_S, LEARN_HALF_S, SETTLE_G, SIGMA_FLOOR_G, SIGMA_SHARE};
use crate::output::Settled;
use crate::time::Instant;
use crate::units::{Grams, deviation};

/// The least samples of a mean.
const LEAST: u16 = 4;

/// Two means of the reading, one after the other.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub(super) struct Quiet {
    /// Nothing before this counts.
    from: Instant,
    last: Instant,
    before: Option<Mean>,
    now: Option<Mean>,
}

#[derive(Clone, Copy, Debug, PartialEq)]
struct Mean {
    begun: Instant,
    count: u16,
    grams: f32,
}

impl Quiet {
    /// Something happened: begins anew `seconds` from `now`.
    pub(super) fn disturb(&mut self, now: Instant, seconds: f32) {
        let from = now.offset(seconds).max(self.from);
        *self = Self {
            from,
            last: now,
            ..Self::default()
        };
    }

    /// One more reading; what stands there once two means agree.
    pub(super) fn take(&mut self, now: Instant, reading: Grams, noise: Grams) -> Option<Settled> {
        if now.seconds_since(self.last) > LEARN_GAP_S {
            self.disturb(now, 0.0);
        }
        self.last = now;
        if now < self.from {
            return None;
        }
        let mut mean = self.now.unwrap_or(Mean {
            begun: now,
            count: 0,
            grams: 0.0,
        });
        mean.count = mean.count.saturating_add(1);
        mean.grams += (reading.0 - mean.grams) / f32::from(mean.count);
        if mean.count < LEAST || now.seconds_since(mean.begun) < LEARN_HALF_S {
            self.now = Some(mean);
            return None;
        }
        self.now = None;
        let before = self.before.replace(mean)?;
        let (a, b) = (f32::from(before.count), f32::from(mean.count));
        let variance = noise.0 * noise.0;
        let apart = mean.grams - before.grams;
        if apart.abs() > SETTLE_G + 2.0 * deviation(variance / a + variance / b) {
            return None;
        }
        let share = SIGMA_SHARE * mean.grams;
        let sigma = deviation(
            variance / (a + b)
                + 0.25 * apart * apart
                + SIGMA_FLOOR_G * SIGMA_FLOOR_G
                + share * share,
        );
        Some(Settled {
            mass: Grams((before.grams * a + mean.grams * b) / (a + b)),
            sigma: Grams(sigma),
        })
    }
}
