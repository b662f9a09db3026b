//! The open round, as it is written down.

use embedded_storage::nor_flash::NorFlash;

use super::{Keeper, Memory};
use crate::build::{Build, Stage, UnderWay};
use crate::input::Input;
use heapless::Vec;

use crate::journal::payload::{Order, RoundState, UnderWayState};
use crate::journal::{WriteError, fingerprint};
use crate::output::Outputs;
use crate::station::Station;
use crate::units::Grams;

/// A place in the journal for a drink under way.
#[derive(Clone, Copy)]
pub(super) struct Place {
    /// The drink's number.
    pub(super) number: u16,
    /// There is one: the round in the journal lists it, or will, so that it must not be written over.
    pub(super) taken: bool,
    /// The empty vessel.
    pub(super) tare: Grams,
    /// What stood on the pan as its step began.
    pub(super) gross: Grams,
    /// What was written last.
    pub(super) written: u32,
}

impl Place {
    pub(super) const FREE: Self = Self {
        number: 0,
        taken: false,
        tare: Grams::ZERO,
        gross: Grams::ZERO,
        written: 0,
    };
}

impl Memory {
    /// The place of the drink of this number, a new one where it has none.
    fn place(&mut self, number: u16) -> Option<(u8, &mut Place)> {
        let has = |place: &Place| place.taken && place.number == number;
        let known = self.places.iter().position(has);
        let index = match known {
            Some(index) => index,
            None => self.places.iter().position(|place| !place.taken)?,
        };
        let place = self.places.get_mut(index)?;
        if known.is_none() {
            *place = Place {
                number,
                taken: true,
                ..Place::FREE
            };
        }
        Some((index as u8, place))
    }
}

impl<F: NorFlash> Keeper<'_, F> {
    /// Writes what of the round has changed: drinks under way first, then the round.
    #[cold]
    #[inline(never)]
    pub(super) fn keep_round(
        &mut self,
        out: &Outputs,
        station: &Station<'_>,
    ) -> Result<(), WriteError> {
        let mut round = waiting(station);
        round.sheet = self.memory.sheet;
        let build = station.round().and_then(|round| round.build());
        self.memory.on_pan = build.map(|build| (build.number(), build.drink()));
        if let Some(build) = build
            && let Some(open) = build.under_way()
        {
            if out.step.is_some()
                && let Some((_, place)) = self.memory.place(open.number)
            {
                place.gross = station.standing();
                if build.is_untouched() {
                    place.tare = place.gross;
                }
            }
            self.keep_open(&open, &mut build.brought())?;
        }
        for aside in station.round().iter().flat_map(|round| round.aside()) {
            if let Some(open) = aside.under_way() {
                self.keep_open(&open, &mut aside.brought())?;
            }
        }
        let print = fingerprint(&round);
        if print != self.memory.waiting {
            self.journal.put(0, &round)?;
            self.memory.waiting = print;
            for place in &mut self.memory.places {
                place.taken &= round.lists(place.number);
            }
        }
        Ok(())
    }

    #[inline(never)]
    fn keep_open(
        &mut self,
        open: &UnderWay,
        brought: &mut dyn Iterator<Item = (u8, Grams)>,
    ) -> Result<(), WriteError> {
        let sheet = self.memory.sheet;
        let Some((index, place)) = self.memory.place(open.number) else {
            return Ok(());
        };
        let gross = match open.stage {
            Stage::Working | Stage::Between | Stage::Straining => place.gross,
            Stage::Away | Stage::Glass => open.gross,
        };
        let mut state = UnderWayState {
            sheet,
            drink: UnderWay { gross, ..*open },
            tare: place.tare,
            brought: Vec::new(),
        };
        for step in brought {
            // A drink has no more steps than there are places.
            let _ = state.brought.push(step);
        }
        let print = fingerprint(&state);
        if print != place.written {
            self.journal.put(index, &state)?;
            place.written = print;
        }
        Ok(())
    }
}

/// The round: what waits and what is under way.
#[must_use]
pub fn waiting(station: &Station<'_>) -> RoundState {
    let mut state = RoundState {
        // Beside a round too: what was begun before is not to be taken for new.
        begun: station.begun(),
        ..RoundState::default()
    };
    let Some(round) = station.round() else {
        return state;
    };
    let build = round.build().and_then(Build::under_way);
    let asides = round.aside().filter_map(|aside| aside.under_way());
    for open in build.into_iter().chain(asides) {
        // A round has fewer than fit here, and so with the orders.
        let _ = state.under_way.push((open.number, open.drink));
    }
    // One whose vessel is awaited has nothing to lose: it waits as before.
    if let Some(build) = round.build()
        && build.is_awaited()
    {
        let _ = state.orders.push(Order {
            drink: build.drink(),
            glasses: build.glasses(),
        });
    }
    for order in round.waiting() {
        let _ = state.orders.push(*order);
    }
    state
}

/// Something happened that may have to be kept.
pub(super) const fn matters(input: &Input, out: &Outputs) -> bool {
    matches!(input, Input::Command(_))
        || out.fault.is_some()
        || out.lifted
        || out.placed.is_some()
        || out.pressed
        || out.verdict.is_some()
        || out.poured.is_some()
        || out.done.is_some()
        || out.weighed_back.is_some()
        || out.step.is_some()
        || out.learned.is_some()
        || out.lost.is_some()
}
