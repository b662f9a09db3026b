//! The plan of the drinks under way and those that wait, as the panel offers it.
//!
//! The plan is made anew whenever a step opens: what the person did instead is where it begins.
//! It is a line on the page and nothing more: whatever is done next is right.

use heapless::Vec;

use crate::input::Mode;
use crate::limits::LEAST_SAVED;
use crate::spec::{DrinkId, Sheet};
use crate::view::Next;

use super::plan::{GLASSES, Glass, Here, Plan, Tool};
use super::{Order, Round};

/// No step of any drink.
pub(super) const NOTHING: (DrinkId, u8) = (DrinkId(u8::MAX), 0);

impl<'s> Round<'s> {
    /// The orders have changed: what was planned counts no more.
    pub fn forget_plan(&mut self) {
        self.doing = NOTHING;
    }

    /// Plans anew, where more than one glass is under way or waits. Apart from what every sample
    /// passes through: the plan lies on the stack.
    #[cold]
    #[inline(never)]
    pub(super) fn plan(&mut self, sheet: &Sheet<'s>, mode: Mode) {
        let offered = self.elsewhere.take().is_some();
        let Some(build) = &mut self.build else { return };
        if offered {
            build.look_on();
        }
        let (drink, number) = (build.drink(), build.step_number());
        let before = core::mem::replace(&mut self.doing, (drink, number));
        if before.0 == drink && before.1 < number {
            let done = sheet.step(drink, before.1);
            let tool = done.map_or(Tool::NONE, |step| Tool::of(&step));
            if tool != Tool::BARE {
                self.in_hand = tool;
            }
        }
        // In prep bottles come and go on the pan, and one thing is made after the other.
        if mode == Mode::Prep {
            return;
        }
        let mut plan = Plan::default();
        let mut drinks: Vec<DrinkId, GLASSES> = Vec::new();
        let mut add = |drinks: &mut Vec<DrinkId, GLASSES>, drink, number| {
            if drinks.push(drink).is_ok() {
                plan.add(Glass::of_drink(sheet, drink, number));
            }
        };
        add(&mut drinks, drink, number);
        for aside in self.aside.iter().flatten() {
            if let Some(number) = aside.goes_on_at() {
                add(&mut drinks, aside.drink(), number);
            }
        }
        let begun = drinks.len();
        for Order { drink, .. } in self.waiting.iter().rev() {
            add(&mut drinks, *drink, 0);
        }
        // Of those that wait the next one may be begun.
        let room = self.aside.iter().any(Option::is_none);
        let open = begun.saturating_add(usize::from(room)).min(drinks.len());
        if open < 2 {
            return;
        }
        let here = Here {
            glass: (!build.is_awaited()).then_some(0),
            tool: self.in_hand,
        };
        let offer = plan.next(here, open).filter(|offer| offer.glass > 0);
        let (Some(offer), Some(on)) = (offer, offer.and_then(|_| plan.next(here, 1))) else {
            return;
        };
        let saves = on.tenths.saturating_sub(offer.tenths);
        if saves >= LEAST_SAVED
            && let Some(id) = drinks.get(usize::from(offer.glass))
            && let Ok(drink) = sheet.drink(*id)
        {
            self.elsewhere = Some((drink.name, drink.vessel));
            if let Some(build) = &mut self.build {
                build.look_elsewhere(Next::Glass {
                    drink: drink.name,
                    saves,
                });
            }
        }
    }
}
