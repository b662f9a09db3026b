//! What happens on the pan while a step is open.

use crate::limits::{ICE_APART_S, ICE_QUIET_S};
use crate::output::Outputs;
use crate::pour::Crew;
use crate::time::Instant;
use crate::units::Grams;
use crate::weigh::pan::PanEvents;
use crate::weigh::settle::Settling;

use super::drink::Build;
use super::step::Open;

impl Build<'_> {
    pub(super) fn work(
        &mut self,
        now: Instant,
        events: &PanEvents,
        gross: Grams,
        crew: &mut Crew,
        out: &mut Outputs,
    ) {
        if events.lifted {
            self.leave(now, gross, crew, out);
            return;
        }
        if self.is_unseen() {
            if events.pour_started || events.added.is_some() {
                self.assume(now, crew, out);
                self.work(now, events, gross, crew, out);
            }
            return;
        }
        match &mut self.open {
            Some(Open::Pour(_)) if events.pour_started && events.settling.is_some() => {
                self.pass_on(now, events, gross, crew, out);
            }
            Some(Open::Pour(step)) => {
                if let Some(pouring) = &events.pouring
                    && let Some(count) = &mut step.count
                {
                    count.seen.follow(pouring.jerk);
                }
                if events.added.is_some()
                    && let Some(count) = &mut step.count
                {
                    count.seen.tipped();
                }
                step.pour.take(now, events, crew, out);
                self.close_pour(now, events, crew, out);
            }
            Some(Open::Ice { so_far, low_g, .. }) => {
                let low = f32::from(*low_g);
                let apart = |last| now.seconds_since(last) >= ICE_APART_S;
                if events.pour_started && so_far.0 >= 0.5 * low && self.held.iced.is_none_or(apart)
                {
                    // The next thing: ice is in.
                    self.advance(now, crew, out);
                    self.work(now, events, gross, crew, out);
                    return;
                }
                let landed = match events.settling {
                    Some(Settling::Landed(settled)) => Some(settled.mass),
                    _ => None,
                };
                if let Some(grams) = events.added.or(landed) {
                    *so_far += grams;
                    self.held.iced = Some(now);
                    if so_far.0 >= low {
                        self.ice_ready = Some(now.offset(ICE_QUIET_S));
                    }
                } else if let Some(grams) = events.removed {
                    *so_far -= grams;
                } else if events.moving && self.ice_ready.is_some() {
                    // One more cube is on its way.
                    self.ice_ready = Some(now.offset(ICE_QUIET_S));
                }
            }
            Some(Open::Work { .. } | Open::Strain) | None => {}
        }
    }
}
