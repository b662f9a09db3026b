//! The open round, as it is written down.

use super::Memory;
use crate::input::Input;
use crate::journal::payload::{BroughtV1, OpenDrinkV1, OrderV1, WaitingV1};
use crate::output::Outputs;
use crate::station::Station;

impl Memory {
    /// Follows the drink under way; `true` when it is to be written.
    #[cold]
    #[inline(never)]
    pub(super) fn follow(&mut self, out: &Outputs, station: &Station<'_>) -> bool {
        let gross = station.standing();
        let under_way = station.round().and_then(|round| round.open_order());
        let mut changed = self.open.sheet != self.sheet;
        self.open.sheet = self.sheet;
        if let Some(poured) = &out.poured
            && let Some(drink) = &mut self.open.drink
        {
            drink.bring(BroughtV1::new(poured.step, poured.poured), gross);
            changed = true;
        }
        if let Some(judged) = &out.verdict {
            self.judged = Some(judged.poured);
        }
        let is_over = |drink: &OpenDrinkV1| out.done.is_some() || under_way != Some(drink.order);
        if self.open.drink.as_ref().is_some_and(is_over) {
            self.open.drink = None;
            changed = true;
        }
        if let Some(begun) = &out.step
            && let Some(order) = under_way
        {
            let judged = self.judged.take();
            match &mut self.open.drink {
                Some(drink) if drink.step <= begun.step => {
                    // The step before is judged, its record only comes with the next thing.
                    let recorded = drink.brought.iter().any(|it| it.step == drink.step);
                    if let (Some(judged), false) = (judged, recorded) {
                        drink.bring(BroughtV1::new(drink.step, judged), gross);
                    }
                    drink.stand(gross);
                    drink.step = begun.step;
                }
                Some(_) | None => {
                    let mut drink = OpenDrinkV1::new(order, begun.drink, gross);
                    drink.step = begun.step;
                    self.open.drink = Some(drink);
                }
            }
            changed = true;
        }
        changed
    }

    /// Follows the orders; `true` when they are to be written.
    #[cold]
    #[inline(never)]
    pub(super) fn count_orders(&mut self, station: &Station<'_>) -> bool {
        let waiting = WaitingV1 {
            sheet: self.sheet,
            ..waiting(station)
        };
        let changed = waiting != self.waiting;
        self.waiting = waiting;
        changed
    }
}

/// The orders that wait.
#[must_use]
pub fn waiting(station: &Station<'_>) -> WaitingV1 {
    let mut waiting = WaitingV1::default();
    if let Some(round) = station.round() {
        waiting.next = round.next_order();
        for order in round.waiting() {
            // A round takes fewer than fit here.
            let _ = waiting.orders.push(OrderV1 {
                order: order.number,
                drink: order.drink.0,
            });
        }
    }
    waiting
}

/// Something happened that may have to be kept.
pub(super) const fn matters(input: &Input, out: &Outputs) -> bool {
    matches!(input, Input::Command(_))
        || out.fault.is_some()
        || out.verdict.is_some()
        || out.poured.is_some()
        || out.done.is_some()
        || out.step.is_some()
}
