//! States: one value a key, the last one written.

use heapless::Vec;
use serde::{Deserialize, Serialize};

use super::Payload;
use crate::build::UnderWay;
use crate::codec::CRC_32;
use crate::journal::Kind;
use crate::journal::limits::{BROUGHT_MAX, OPEN_MAX, WAITING_MAX};
use crate::pour::Habit;
use crate::round;
use crate::spec::{DrinkId, House};
use crate::station::Shift;
use crate::units::Grams;
use crate::weigh::Calibration;

impl Payload for Calibration {
    const KIND: Kind = Kind::Calibration;

    fn is_valid(&self) -> bool {
        self.is_usable()
    }
}

impl Payload for House {
    const KIND: Kind = Kind::House;

    fn is_valid(&self) -> bool {
        House::is_valid(self)
    }
}

impl Payload for Shift {
    const KIND: Kind = Kind::Shift;

    fn is_valid(&self) -> bool {
        self.serve
            .is_none_or(|serve| serve.0 > 0.0 && serve.0.is_finite())
    }
}

/// How often the power came on, from 1; after 65,535 it begins again. Every record carries it:
/// times since power-up of different starts cannot be compared.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub struct PowerUps(pub u16);

impl Payload for PowerUps {
    const KIND: Kind = Kind::Start;

    fn is_valid(&self) -> bool {
        true
    }
}

/// How one hand pours one bottle. A bottle is known by its name, not by its number in the sheet,
/// which the next sheet may give to another one.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct BottleHabit {
    /// The hand, where one was named.
    pub hand: Option<u8>,
    /// The bottle's [`bottle_key`], where it is known.
    pub bottle: Option<u32>,
    /// The habit; `None` once it was forgotten.
    pub habit: Option<Habit>,
}

/// By which the journal knows a bottle: the CRC-32 of its name.
#[must_use]
pub fn bottle_key(name: &str) -> u32 {
    CRC_32.checksum(name.as_bytes())
}

impl Payload for BottleHabit {
    const KIND: Kind = Kind::Habit;

    fn is_valid(&self) -> bool {
        self.habit.as_ref().is_none_or(Habit::is_sound)
    }
}

pub use round::Order;

/// The round: the orders that wait and the drinks under way.
///
/// It decides what counts: a drink whose number it lists is under way, and so is one with a number
/// it does not know yet, which was begun just before the power went and whose order it still
/// contains. Any other is over, whatever its place says. So a cut between two entries leaves the
/// round as it was before or as it is after.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
pub struct RoundState {
    /// The low half of the sheet's CRC-32.
    pub sheet: u16,
    /// The number of the next drink to be begun.
    pub begun: u16,
    /// The drinks under way: number, and drink of the sheet.
    pub under_way: Vec<(u16, DrinkId), { OPEN_MAX as usize }>,
    /// The orders, the next one first.
    pub orders: Vec<Order, WAITING_MAX>,
}

impl RoundState {
    /// The drink of this number is under way.
    #[must_use]
    pub fn lists(&self, number: u16) -> bool {
        self.under_way.iter().any(|(listed, _)| *listed == number)
    }

    /// A drink of this number was begun after this was written.
    #[must_use]
    pub fn precedes(&self, number: u16) -> bool {
        // Numbers begin anew after 65,535.
        number.wrapping_sub(self.begun) < u16::MAX / 2
    }

    /// Removes the order out of which this drink was begun.
    pub fn begin(&mut self, drink: DrinkId, glasses: u8) {
        let from = Order { drink, glasses };
        if let Some(place) = self.orders.iter().position(|order| *order == from) {
            self.orders.remove(place);
        }
    }
}

impl Payload for RoundState {
    const KIND: Kind = Kind::Round;

    fn is_valid(&self) -> bool {
        true
    }
}

/// A place for a drink under way; the journal has [`OPEN_MAX`] of them.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct UnderWayState {
    /// The low half of the sheet's CRC-32.
    pub sheet: u16,
    /// The drink, as far as the sheet does not know it. Its `gross` is what was on the pan as the
    /// step began or, for one that is parked, as the vessel was lifted; vessel and all.
    pub drink: UnderWay,
    /// What the empty vessel weighs.
    pub tare: Grams,
    /// What each step brought: the step from 0, and grams as the scale showed them.
    pub brought: Vec<(u8, Grams), BROUGHT_MAX>,
}

impl Payload for UnderWayState {
    const KIND: Kind = Kind::UnderWay;

    fn is_valid(&self) -> bool {
        let UnderWay {
            growth,
            gross,
            first_served,
            strained,
            ..
        } = self.drink;
        let masses = [Some(gross), first_served, strained, Some(self.tare)];
        let brought = self.brought.iter().map(|(_, grams)| *grams);
        growth.is_finite()
            && masses
                .into_iter()
                .flatten()
                .chain(brought)
                .all(|grams| grams.0.is_finite())
    }
}
