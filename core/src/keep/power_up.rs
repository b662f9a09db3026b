//! What the station is handed before its first input.

use embedded_storage::nor_flash::NorFlash;

use super::Keeper;
use super::open::Place;
use crate::build::Stage;
use crate::journal::limits::{ENTRY_MAX, HABITS_MAX, OPEN_MAX, SECTORS_MIN};
use crate::journal::payload::{
    BottleHabit, Payload, PowerUps, RoundState, UnderWayState, bottle_key,
};
use crate::journal::{Condition, Cursor, Record, Tidied};
use crate::pour::Owner;
use crate::spec::{LiquidId, Sheet};
use crate::station::Station;

/// So many records are looked at for a drink that was recorded just before the power went.
const LAST_RECORDS: u32 = 16;

impl<'s, F: NorFlash> Keeper<'s, F> {
    /// Hands `station` what was kept: calibration, sheet (`packed` where none was ever pushed),
    /// house measures, habits, the open round. Flash that holds no journal is made one, which takes
    /// an erase for each of its first sectors, the others follow at rest; where it held something
    /// else, the station reports a fault.
    ///
    /// Never part of its caller, whose frame lasts for ever.
    #[cold]
    #[inline(never)]
    pub fn power_up(&mut self, station: &mut Station<'s>, packed: Option<&'s [u8]>) {
        if self.condition != Condition::Whole {
            for _ in 0..SECTORS_MIN {
                if self.journal.tidy() != Ok(Tidied::Erased) {
                    break;
                }
            }
        }
        if self.condition == Condition::Damaged || self.places.is_damaged() {
            self.memory.to_tell = true;
        }
        let PowerUps(before) = self.state(0).unwrap_or_default();
        self.memory.start = before.wrapping_add(1);
        // What cannot be written shows with the first record.
        let _ = self.journal.put(0, &PowerUps(self.memory.start));
        if let Some(calibration) = self.state(0) {
            station.calibrate(calibration);
        }
        self.memory.shift = self.state(0);
        if let Some(shift) = self.memory.shift {
            station.work_on(shift);
        }
        self.memory.house = self.state(0);
        let pushed = self.pushed();
        // Another sheet than the one that was taken: somebody is to know.
        self.memory.to_tell |= pushed.is_none() && self.places.used().is_some();
        let sheet = pushed.or_else(|| packed.and_then(|packed| Sheet::new(packed).ok()));
        if let Some(sheet) = sheet {
            self.hand_over(station, sheet);
            self.teach(station, &sheet);
            self.take_up(station);
        }
    }

    /// A state of the journal; `None` where there is none that can be used.
    fn state<P: Payload>(&mut self, index: u8) -> Option<P> {
        self.journal.get(index).ok().flatten()
    }

    /// The sheet that was pushed.
    fn pushed(&mut self) -> Option<Sheet<'s>> {
        let span = self.places.used()?;
        let bytes = (self.map)(self.places.flash(), span)?;
        let sheet = Sheet::new(bytes).ok()?;
        // One that was not read before it was committed is read here.
        sheet.check().is_ok().then_some(sheet)
    }

    /// The station works from this sheet.
    pub(super) fn hand_over(&mut self, station: &mut Station<'s>, sheet: Sheet<'s>) {
        self.memory.sheet = sheet.checksum() as u16;
        station.load(match self.memory.house {
            Some(house) => sheet.measured_by(house),
            None => sheet,
        });
    }

    #[inline(never)]
    pub(super) fn teach(&mut self, station: &mut Station<'s>, sheet: &Sheet<'_>) {
        for index in 0..HABITS_MAX {
            let Some(BottleHabit {
                hand,
                bottle,
                habit: Some(habit),
            }) = self.state(index)
            else {
                continue;
            };
            if let Some(owner) = self.memory.owners.get_mut(usize::from(index)) {
                *owner = Some((hand, bottle));
            }
            let named = |id: &LiquidId| {
                sheet
                    .liquid(*id)
                    .is_ok_and(|it| Some(bottle_key(it.name)) == bottle)
            };
            let liquid = (0..sheet.liquids()).map(LiquidId).find(named);
            // A bottle of another sheet keeps its place until it is back.
            if liquid.is_some() || bottle.is_none() {
                station.teach(Owner { hand, liquid }, habit);
            }
        }
    }

    #[inline(never)]
    fn take_up(&mut self, station: &mut Station<'s>) {
        let sheet = self.memory.sheet;
        let Some(mut round) = self.state::<RoundState>(0) else {
            return;
        };
        if round.sheet == sheet {
            let owner = self.owner(&round);
            // Those that are away first: whatever is on the pan keeps it.
            for on_pan in [false, true] {
                for index in 0..OPEN_MAX {
                    self.take_up_one((index, on_pan), owner, &mut round, station);
                }
            }
            station.number_from(round.begun);
            for order in &round.orders {
                station.wait_again(*order);
            }
        }
        station.number_from(station.begun().max(round.begun));
    }

    /// The drink that had the pan: one begun after the round was written, else the one that the
    /// round lists first. Others at a step are aside between two of theirs.
    #[inline(never)]
    fn owner(&mut self, round: &RoundState) -> Option<u16> {
        for index in 0..OPEN_MAX {
            if let Some(open) = self.state::<UnderWayState>(index)
                && open.sheet == round.sheet
                && !round.lists(open.drink.number)
                && round.precedes(open.drink.number)
            {
                return Some(open.drink.number);
            }
        }
        round.under_way.first().map(|(number, _)| *number)
    }

    /// A drink under way, where the round says that it is.
    #[inline(never)]
    fn take_up_one(
        &mut self,
        (index, on_pan): (u8, bool),
        owner: Option<u16>,
        round: &mut RoundState,
        station: &mut Station<'s>,
    ) {
        let Some(open) = self.state::<UnderWayState>(index) else {
            return;
        };
        let mut under_way = open.drink;
        let number = under_way.number;
        // Which of several has the pan, the round says.
        if matches!(under_way.stage, Stage::Working | Stage::Between) {
            under_way.stage = if owner == Some(number) {
                Stage::Working
            } else {
                Stage::Between
            };
        }
        let has_pan = matches!(under_way.stage, Stage::Working | Stage::Straining);
        if open.sheet != self.memory.sheet || has_pan != on_pan {
            return;
        }
        if !round.lists(number) {
            if !round.precedes(number) {
                return;
            }
            round.begin(under_way.drink, under_way.glasses);
            round.begun = number.wrapping_add(1);
        }
        under_way.served = under_way.served.max(self.served(number));
        if under_way.served >= under_way.glasses {
            return;
        }
        let (tare, gross) = (open.tare, under_way.gross);
        let brought = &mut open.brought.iter().copied();
        let taken = station.take_up(&under_way, tare, gross, brought);
        if taken && on_pan {
            self.memory.on_pan = Some((number, under_way.drink));
        }
        if taken && let Some(place) = self.memory.places.get_mut(usize::from(index)) {
            *place = Place {
                number,
                taken: true,
                tare,
                gross,
                written: 1,
            };
        }
    }

    /// How many glasses of this drink the last records tell of.
    fn served(&mut self, number: u16) -> u8 {
        let mut cursor = Cursor::since(self.journal.next_number().saturating_sub(LAST_RECORDS));
        let mut buffer = [0; ENTRY_MAX];
        let mut served = 0u8;
        while let Some(kept) = self.journal.next(&mut cursor, &mut buffer) {
            if let Ok(Record::Drink(drink)) = kept.record()
                && drink.order == number
                && drink.back.is_none()
            {
                served = served.saturating_add(1);
            }
        }
        served
    }
}
