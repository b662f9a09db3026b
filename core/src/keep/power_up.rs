//! What the station is handed before its first input.

use embedded_storage::nor_flash::NorFlash;

use super::Keeper;
use super::write::fold;
use crate::journal::limits::HABITS_MAX;
use crate::journal::payload::{HabitV1, OpenV1, Start, WaitingV1, bottle_key};
use crate::journal::{Condition, Tidied};
use crate::output::Fault;
use crate::pour::{Habit, Owner};
use crate::round::Order;
use crate::spec::{DrinkId, House, LiquidId, Sheet};
use crate::station::{Station, UnderWay};
use crate::weigh::Calibration;

impl<'s, F: NorFlash> Keeper<'s, F> {
    /// Hands `station` what was kept: calibration, sheet (`packed` where none was ever pushed),
    /// house measures, habits, the open round. Flash that holds no journal is made one, which
    /// takes an erase a sector; where it held something else, the station tells a fault.
    ///
    /// Never part of its caller, whose frame lasts for ever.
    #[cold]
    #[inline(never)]
    pub fn power_up(&mut self, station: &mut Station<'s>, packed: Option<&'s [u8]>) {
        if self.condition != Condition::Whole {
            while self.journal.tidy() == Ok(Tidied::Erased) {}
        }
        if self.condition == Condition::Damaged {
            station.tell(Fault::Memory);
        }
        let before = self.journal.get::<Start>(0).ok().flatten();
        self.memory.start = before.map_or(1, |start| start.0.wrapping_add(1));
        // What cannot be written shows with the first record.
        let _ = self.put(0, &Start(self.memory.start));
        if let Ok(Some(calibration)) = self.journal.get::<Calibration>(0) {
            station.calibrate(calibration);
        }
        self.memory.house = self.journal.get::<House>(0).ok().flatten();
        let pushed = self.pushed();
        let sheet = pushed.or_else(|| packed.and_then(|packed| Sheet::new(packed).ok()));
        if let Some(sheet) = sheet {
            self.hand_over(station, sheet);
            self.teach(station, &sheet);
            self.take_up(station);
        }
    }

    /// The sheet that was pushed.
    fn pushed(&mut self) -> Option<Sheet<'s>> {
        let span = self.places.used()?;
        let bytes = (self.map)(self.places.flash(), span);
        Sheet::new(bytes).ok()
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
    fn teach(&mut self, station: &mut Station<'s>, sheet: &Sheet<'_>) {
        for index in 0..HABITS_MAX {
            let Ok(Some(kept)) = self.journal.get::<HabitV1>(index) else {
                continue;
            };
            let Some(habit) = Habit::from_values(kept.values()) else {
                continue;
            };
            if let Some(owner) = self.memory.owners.get_mut(usize::from(index)) {
                *owner = fold(&kept);
            }
            let named = |id: &LiquidId| {
                sheet
                    .liquid(*id)
                    .is_ok_and(|it| Some(bottle_key(it.name)) == kept.bottle)
            };
            let liquid = (0..sheet.liquids()).map(LiquidId).find(named);
            // A bottle of another sheet keeps its place until it is back.
            if liquid.is_some() || kept.bottle.is_none() {
                let hand = kept.hand;
                station.teach(Owner { hand, liquid }, habit);
            }
        }
    }

    #[inline(never)]
    fn take_up(&mut self, station: &mut Station<'s>) {
        let sheet = self.memory.sheet;
        let open = self.journal.get::<OpenV1>(0).ok().flatten();
        let open = open
            .filter(|open| open.sheet == sheet)
            .unwrap_or(OpenV1 { sheet, drink: None });
        let under_way = open.drink.as_ref().map(|drink| drink.order);
        if let Ok(Some(waiting)) = self.journal.get::<WaitingV1>(0) {
            let orders = if waiting.sheet == sheet {
                waiting.orders.as_slice()
            } else {
                &[]
            };
            let next = waiting
                .next
                .max(under_way.map_or(0, |it| it.wrapping_add(1)));
            let mut orders = orders
                .iter()
                .filter(|it| Some(it.order) != under_way)
                .map(|it| Order {
                    number: it.order,
                    drink: it.drink(),
                });
            station.wait_again(next, &mut orders);
        }
        if let Some(drink) = &open.drink {
            let under_way = UnderWay {
                order: Order {
                    number: drink.order,
                    drink: DrinkId(drink.drink),
                },
                step: drink.step,
                tare: drink.tare(),
                gross: drink.gross(),
            };
            let mut brought = drink.brought.iter().map(|it| (it.step, it.shown()));
            station.take_up(under_way, &mut brought);
        }
        self.memory.open = open;
        self.memory.count_orders(station);
    }
}
