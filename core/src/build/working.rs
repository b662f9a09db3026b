//! What happens on the pan while a step is open.

use crate::limits::{ICE_APART_S, ICE_QUIET_S};
use crate::units::Grams;
use crate::weigh::pan::PanEvents;
use crate::weigh::settle::Settling;

use super::drink::Build;
use super::step::Open;
use super::turn::Turn;

impl Build<'_> {
    pub(super) fn work(&mut self, events: &PanEvents, gross: Grams, turn: &mut Turn<'_>) {
        if events.lifted {
            self.leave(gross, turn);
            return;
        }
        if self.is_unseen() {
            if events.pour_started || events.added.is_some() {
                self.assume(turn);
                self.work(events, gross, turn);
            }
            return;
        }
        match &mut self.open {
            Some(Open::Pour(_)) if events.pour_started && events.settling.is_some() => {
                self.pass_on(events, gross, turn);
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
                step.pour.take(turn.now, events, turn.crew, turn.out);
                if events.settling.is_some() {
                    self.pass_rinse(turn);
                }
                self.close_pour(events, turn);
            }
            Some(Open::Ice { so_far, low_g, .. }) => {
                let low = f32::from(*low_g);
                let apart = |last| turn.now.seconds_since(last) >= ICE_APART_S;
                if events.pour_started && so_far.0 >= 0.5 * low && self.held.iced.is_none_or(apart)
                {
                    // The next thing: ice is in.
                    self.advance(turn);
                    self.work(events, gross, turn);
                    return;
                }
                let landed = match events.settling {
                    Some(Settling::Landed(settled)) if self.closing.is_none() => Some(settled.mass),
                    _ => None,
                };
                if let Some(grams) = events.added.or(landed) {
                    *so_far += grams;
                    self.held.iced = Some(turn.now);
                    if so_far.0 >= low {
                        self.ice_ready = Some(turn.now.offset(ICE_QUIET_S));
                    }
                } else if let Some(grams) = events.removed {
                    *so_far -= grams;
                } else if events.moving && self.ice_ready.is_some() {
                    // One more cube is on its way.
                    self.ice_ready = Some(turn.now.offset(ICE_QUIET_S));
                }
            }
            Some(Open::Work { .. } | Open::Strain) | None => {}
        }
    }
}
