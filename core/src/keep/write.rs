//! Records and states into the journal.

use embedded_storage::nor_flash::NorFlash;

use super::{Keeper, Memory};
use crate::journal::limits::HABITS_MAX;
use crate::journal::payload::{
    Back, Bottle, Drink, HabitV1, Loss, Pour, Seen, ShiftV1, bottle_key,
};
use crate::journal::{Kind, WriteError};
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
            self.journal.log(&Seen { stamp, fault })?;
        }
        self.keep_round(out, station)?;
        let mut shift = ShiftV1::from(&station.shift());
        if shift != self.memory.shift {
            self.journal.keep(Kind::Shift, 0, &mut shift)?;
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
            if *owner != 0 {
                let nothing = &mut HabitV1::default();
                match self.journal.keep(Kind::Habit, index, nothing) {
                    Ok(_) => *owner = 0,
                    Err(why) => all = all.and(Err(why)),
                }
            }
        }
        self.memory.taught = (0, 0);
        all
    }

    /// The habit learned last, where it was not written yet.
    fn keep_habit(&mut self, station: &Station<'_>) -> Result<(), WriteError> {
        let Some((owner, habit)) = station.habits().known().last() else {
            return Ok(());
        };
        let Some(mut kept) = frozen(owner, habit, station) else {
            return Ok(());
        };
        let folded = fold(&kept);
        if self.memory.taught == (folded, kept.pours) {
            return Ok(());
        }
        self.memory.taught = (folded, kept.pours);
        let index = self.memory.place_of(folded);
        self.journal.keep(Kind::Habit, index, &mut kept)
    }
}

/// A habit as it is frozen; `None` where the bottle is not of the sheet.
fn frozen(owner: &Owner, habit: &Habit, station: &Station<'_>) -> Option<HabitV1> {
    let bottle = match owner.liquid {
        Some(id) => Some(bottle_key(station.sheet()?.liquid(id).ok()?.name)),
        None => None,
    };
    let mut kept = HabitV1 {
        hand: owner.hand,
        bottle,
        ..HabitV1::default()
    };
    kept.set(&habit.values());
    Some(kept)
}

/// Whose habit it is, in 16 bits, never 0. Two that fall together share a place, and one of them
/// is learned anew.
pub(super) fn fold(kept: &HabitV1) -> u16 {
    let bottle = kept.bottle.unwrap_or(0);
    let hand = kept.hand.map_or(0, |hand| u16::from(hand).wrapping_add(1));
    let folded = (bottle ^ (bottle >> 16)) as u16;
    folded.wrapping_add(hand.wrapping_mul(0x9E37)).max(1)
}

impl Memory {
    fn place_of(&mut self, folded: u16) -> u8 {
        let known = |place: u16| self.owners.iter().position(|owner| *owner == place);
        let place = known(folded).or_else(|| known(0));
        let index = match place {
            Some(place) => place as u8,
            None => {
                let next = self.habit_next;
                self.habit_next = next.wrapping_add(1) % HABITS_MAX;
                next
            }
        };
        if let Some(owner) = self.owners.get_mut(usize::from(index)) {
            *owner = folded;
        }
        index
    }
}
