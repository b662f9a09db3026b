//! What else happens to the pan while liquid lands on it.

use crate::limits::{ADDED_G, EMPTY_G, LIFT_HOLD_S};
use crate::time::Instant;
use crate::units::Grams;

use super::{Flow, Pan, PanEvents};

impl Pan {
    /// The vessel was lifted or struck hard while liquid was landing; true when so.
    pub(super) fn taken_away(
        &mut self,
        flow: &mut Flow,
        at: Instant,
        raw: Grams,
        period_s: f32,
        events: &mut PanEvents,
    ) -> bool {
        let reading = raw - self.zero;
        if reading.0 < EMPTY_G {
            let since = *flow.empty.get_or_insert(at);
            if at.seconds_since(since) >= LIFT_HOLD_S.max(period_s) {
                self.empty(at, raw, events);
                return true;
            }
        } else {
            flow.empty = None;
        }
        // Far below what stood there before the pour: it is on its way up.
        if raw.0 < flow.base.0 - (20.0 + 0.1 * (flow.base - self.zero).0) && flow.empty.is_none() {
            self.level = flow.base;
            self.move_on(at, raw, true);
            return true;
        }
        false
    }

    /// Something fell in, was put down or leans on the pan during the pour: samples stay outside
    /// the clip on one side. The lines and the base move by it together, so that the pour goes on.
    pub(super) fn absorb_step(
        &mut self,
        flow: &mut Flow,
        at: Instant,
        raw: Grams,
        period_s: f32,
        events: &mut PanEvents,
    ) {
        let off = raw - self.guide.line().mass;
        if off.abs() < self.clip() {
            flow.outside = None;
            return;
        }
        flow.clean = false;
        let above = off.0 > 0.0;
        match flow.outside {
            Some((since, side)) if side == above => {
                if at.seconds_since(since) >= 0.12_f32.max(3.0 * period_s) {
                    self.guide.shift(off);
                    self.fast.restart(raw);
                    flow.base += off;
                    flow.outside = None;
                    if off.0 > ADDED_G {
                        events.added = Some(off);
                    }
                }
            }
            Some(_) | None => flow.outside = Some((at, above)),
        }
    }
}
