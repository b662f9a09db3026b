//! Weighing back: after the strain the vessel is set on the pan again with what stayed behind.
//!
//! The vessel as it left, less what came into the glass and less what stayed behind, is what was
//! *lost*: a spill, what runs down outside. No part of it is known without weighing back, and
//! without it the loss is taken for water that never melted. How much of what stayed behind is
//! liquid and how much is ice no weight tells: that stays as uncertain as it was.

use crate::input::Mode;
use crate::limits::{BACK_S, BACK_SIGMA_G, LOST_MOST_G};
use crate::output::{Dilution, Settled, WeighedBack};
use crate::time::Instant;
use crate::units::Grams;
use crate::view::{Page, STAYED};
use crate::weigh::pan::PanEvents;

use super::drink::{Build, Phase};
use super::turn::Turn;

/// Where weighing back stands.
#[derive(Clone, Copy, Debug)]
pub(super) enum Back {
    /// The vessel may be set down until then.
    Awaited(Instant),
    /// It stands there, and this was told.
    Told(Found),
}

/// What is shown of it, in tenths.
#[derive(Clone, Copy, Debug)]
pub(super) struct Found {
    water: i16,
    expected: Option<i16>,
    lost: i16,
}

impl<'s> Build<'s> {
    /// The only or last glass has gone: over, unless its vessel may be weighed back.
    pub(super) fn after_last_glass(&self, turn: &Turn<'_>) -> Phase {
        if turn.crew.mode == Mode::Develop && self.held.tally.tells_water() {
            Phase::Back(Back::Awaited(turn.now.offset(BACK_S)))
        } else {
            Phase::Over
        }
    }

    /// It is waited for, and what was set down is something else.
    #[must_use]
    pub fn is_passed_over(&self, placed: Grams) -> bool {
        matches!(self.held.phase, Phase::Back(Back::Awaited(_)))
            && self.lost(placed).abs() > Grams(LOST_MOST_G)
    }

    /// What is missing where the vessel comes back as `placed`.
    fn lost(&self, placed: Grams) -> Grams {
        self.held.gross - placed - self.held.tally.strained_g().unwrap_or_default()
    }

    /// Takes what the pan told while the vessel may be set back. Apart from what every sample passes
    /// through.
    #[cold]
    #[inline(never)]
    pub(super) fn weigh_back(&mut self, events: &PanEvents, gross: Grams, turn: &mut Turn<'_>) {
        if events.lifted {
            self.held.phase = Phase::Over;
        } else if let Some(placed) = events.placed {
            let lost = Settled {
                // The glass may have left a puddle, which lies under the vessel now.
                mass: self.lost(placed) + (gross - self.held.bare),
                sigma: self.held.tally.sigma_with(Grams(BACK_SIGMA_G)),
            };
            let record = self.held.tally.weigh_back(lost, self.held.id);
            let expected = self.held.tally.expected();
            self.held.phase = Phase::Back(Back::Told(Found {
                water: record.dilution.map_or(0, of_water),
                expected: expected.map(of_water),
                lost: tenths(lost.mass.0),
            }));
            turn.out.weighed_back = Some(WeighedBack {
                drink: record,
                lost,
                expected,
            });
        }
    }

    pub(super) fn back_page(&self, back: Back) -> Page<'s> {
        match back {
            Back::Awaited(_) => Page::Place {
                drink: STAYED,
                vessel: self.drink.vessel,
            },
            Back::Told(found) => Page::WeighedBack {
                water: found.water,
                expected: found.expected,
                lost: found.lost,
            },
        }
    }
}

impl Back {
    /// Nobody waits any longer.
    pub(super) const fn until(self) -> Option<Instant> {
        match self {
            Self::Awaited(until) => Some(until),
            Self::Told(_) => None,
        }
    }
}

fn of_water(dilution: Dilution) -> i16 {
    tenths(dilution.percent)
}

/// The nearest tenth, of what is no less than nothing; as many digits as the panel has room for.
/// The cast takes what is no number to 0.
fn tenths(figure: f32) -> i16 {
    (10.0 * figure + 0.5).clamp(0.0, 9999.0) as i16
}
