//! Records and states into the journal.

use embedded_storage::nor_flash::NorFlash;

use super::{HabitOwner, Keeper, Memory};
use crate::journal::WriteError;
use crate::journal::limits::HABITS_MAX;
use crate::journal::payload::{
    Back, Bottle, BottleHabit, Drink, FaultSeen, Loss, Pour, bottle_key,
};
use crate::output::{Fault, Outputs, WeighedBack};
use crate::pour::{Habit, Owner};
use crate::station::Station;

impl<F: NorFlash> Keeper<'_, F> {
    /// Everything that happened, in the order in which a cut does least harm.
    #[cold]
    #[inline(never)]
    pub(super) fn write(&mut self, out: &Outputs, station: &Station<'_>) -> Result<(), WriteError> {
        let stamp = self.memory.stamp(station.now());
        let on_pan = self.memory.on_pan;
        let order = on_pan.map_or(0, |(number, _)| number);
        let drink = on_pan.map(|(_, drink)| drink);
        if let Some(record) = out.poured {
            self.journal.log(&Pour {
                stamp,
                order,
                drink,
                record,
            })?;
        }
        if let Some(lost) = out.lost
            && let Some(build) = station.round().and_then(|round| round.build())
        {
            // Its vessel was set down just now: it may have been aside while another had the pan.
            self.journal.log(&Loss {
                stamp,
                order: build.number(),
                drink: build.drink(),
                lost,
            })?;
        }
        let weighed_back = out.weighed_back.map(|found| {
            let WeighedBack {
                drink,
                lost,
                expected,
            } = found;
            (drink, Some(Back { lost, expected }))
        });
        let done = out.done.map(|record| (record, None));
        for (record, back) in done.into_iter().chain(weighed_back) {
            self.journal.log(&Drink {
                stamp,
                order,
                record,
                back,
            })?;
        }
        if let Some(learned) = out.learned {
            self.journal.log(&Bottle { stamp, learned })?;
        }
        if let Some(fault) = out.fault
            && fault != Fault::Glitch
        {
            self.journal.log(&FaultSeen { stamp, fault })?;
        }
        self.keep_round(out, station)?;
        let shift = Some(station.shift());
        if shift != self.memory.shift {
            self.journal.put(0, &station.shift())?;
            self.memory.shift = shift;
        }
        if out.poured.is_some() {
            self.keep_habit(station)?;
        }
        Ok(())
    }

    /// The station has forgotten what hands have taught: nothing of it may come back.
    #[cold]
    pub(super) fn forget_habits(&mut self) -> Result<(), WriteError> {
        let mut all = Ok(());
        for (index, owner) in (0u8..).zip(&mut self.memory.owners) {
            if let Some((hand, bottle)) = *owner {
                let forgotten = BottleHabit {
                    hand,
                    bottle,
                    habit: None,
                };
                match self.journal.put(index, &forgotten) {
                    Ok(()) => *owner = None,
                    Err(why) => all = all.and(Err(why)),
                }
            }
        }
        self.memory.taught = None;
        all
    }

    /// The habit learned last, where it was not written yet.
    fn keep_habit(&mut self, station: &Station<'_>) -> Result<(), WriteError> {
        let Some(learned) = station.habits().known().last() else {
            return Ok(());
        };
        let Some(state) = named(learned, station) else {
            return Ok(());
        };
        if self.memory.taught == Some(state) {
            return Ok(());
        }
        self.memory.taught = Some(state);
        let index = self.memory.place_of((state.hand, state.bottle));
        self.journal.put(index, &state)
    }
}

/// A habit under the name of its bottle; `None` where that is not of the sheet.
fn named((owner, habit): &(Owner, Habit), station: &Station<'_>) -> Option<BottleHabit> {
    let bottle = match owner.liquid {
        Some(id) => Some(bottle_key(station.sheet()?.liquid(id).ok()?.name)),
        None => None,
    };
    Some(BottleHabit {
        hand: owner.hand,
        bottle,
        habit: Some(*habit),
    })
}

impl Memory {
    fn place_of(&mut self, owner: HabitOwner) -> u8 {
        let of = |wanted| self.owners.iter().position(|owner| *owner == wanted);
        let index = match of(Some(owner)).or_else(|| of(None)) {
            Some(place) => place as u8,
            None => {
                let next = self.habit_next;
                self.habit_next = next.wrapping_add(1) % HABITS_MAX;
                next
            }
        };
        if let Some(place) = self.owners.get_mut(usize::from(index)) {
            *place = Some(owner);
        }
        index
    }
}
