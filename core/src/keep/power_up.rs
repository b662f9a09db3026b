//! What the station is handed before its first input.

use embedded_storage::nor_flash::NorFlash;

use super::write::fold;
use super::{Keeper, Memory};
use crate::journal::limits::HABITS_MAX;
use crate::journal::payload::{CalibrationV1, HabitV1, HouseV1, StartV1, bottle_key};
use crate::journal::{Condition, Kind, Tidied};
use crate::output::Fault;
use crate::pour::{Habit, Owner};
use crate::round::Order;
use crate::spec::{DrinkId, LiquidId, Sheet};
use crate::station::{Station, UnderWay};

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
        let mut start = StartV1::default();
        self.journal.read(Kind::Start, 0, &mut start);
        start.count = start.count.wrapping_add(1);
        self.memory.start = start.count;
        // What cannot be written shows with the first record.
        let _ = self.journal.keep(Kind::Start, 0, &mut start);
        let mut line = CalibrationV1::default();
        self.journal.read(Kind::Calibration, 0, &mut line);
        if let Some(calibration) = line.thaw() {
            station.calibrate(calibration);
        }
        let mut house = HouseV1::default();
        self.journal.read(Kind::House, 0, &mut house);
        self.memory.house = house.thaw();
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
            let mut kept = HabitV1::default();
            if !self.journal.read(Kind::Habit, index, &mut kept) {
                continue;
            }
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
        let Memory {
            sheet,
            open,
            waiting,
            ..
        } = &mut self.memory;
        if !self.journal.read(Kind::Open, 0, open) || open.sheet != *sheet {
            open.drink = None;
        }
        open.sheet = *sheet;
        let mut under_way = None;
        if let Some(drink) = &open.drink {
            let order = Order {
                number: drink.order,
                drink: DrinkId(drink.drink),
            };
            let mut brought = drink.brought.iter().map(|it| (it.step, it.shown()));
            let drink = UnderWay {
                order,
                step: drink.step,
                tare: drink.tare(),
                gross: drink.gross(),
            };
            station.take_up(drink, &mut brought);
            under_way = Some(order.number);
        }
        if self.journal.read(Kind::Waiting, 0, waiting) {
            let after = under_way.map_or(0, |order| order.wrapping_add(1));
            station.number_from(waiting.next.max(after));
            for order in &waiting.orders {
                if waiting.sheet == *sheet && Some(order.order) != under_way {
                    station.wait_again(Order {
                        number: order.order,
                        drink: order.drink(),
                    });
                }
            }
        }
        self.memory.count_orders(station);
    }
}
