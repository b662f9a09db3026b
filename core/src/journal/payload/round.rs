//! The open round: the orders that wait, and each drink under way with what it got so far.
//!
//! [`WaitingV2`] is what counts: a drink whose number it lists is under way, and so is one with a
//! number it does not know yet, which was begun just before the power went and whose order it still
//! holds. Any other is over, whatever lies in its place. So a cut between two entries leaves the
//! round as it was before or as it is after.
//!
//! Version 1 knew one drink under way, and numbered the orders.

use heapless::Vec;
use serde::{Deserialize, Serialize};

use super::{MILLI, Payload, fixed, fixed_short, fixed_up, float, float_up, thaw};
use crate::build::{Stage, UnderWay};
use crate::journal::coder::{self, Coder, Fields};
use crate::journal::limits::{BROUGHT_MAX, OPEN_MAX, WAITING_MAX};
use crate::journal::{Kind, ReadError};
use crate::round::Order;
use crate::spec::DrinkId;
use crate::units::Grams;

/// Thousandths of a growth.
const GROWTH: f32 = 1e3;

/// One order of version 1.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
pub struct OrderV1 {
    /// Its number.
    pub order: u16,
    /// The drink's number in the sheet.
    pub drink: u8,
}

/// The orders that wait, as version 1 had them.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
pub struct WaitingV1 {
    /// The low half of the sheet's CRC-32.
    pub sheet: u16,
    /// The number of the next order.
    pub next: u16,
    /// The orders, the next one first.
    pub orders: Vec<OrderV1, WAITING_MAX>,
}

/// One order.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
pub struct OrderV2 {
    /// The drink's number in the sheet.
    pub drink: u8,
    /// How many glasses of it in one vessel.
    pub glasses: u8,
}

/// A drink under way.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
pub struct NumberV2 {
    /// Its number.
    pub number: u16,
    /// The drink's number in the sheet.
    pub drink: u8,
}

/// The round: what waits and what is under way.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
pub struct WaitingV2 {
    /// The low half of the sheet's CRC-32.
    pub sheet: u16,
    /// The number of the next drink to be begun.
    pub begun: u16,
    /// The drinks under way.
    pub under_way: Vec<NumberV2, { OPEN_MAX as usize }>,
    /// The orders, the next one first.
    pub orders: Vec<OrderV2, WAITING_MAX>,
}

/// What one finished step brought, as version 1 had it.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
pub struct BroughtV1 {
    /// The step, from 0.
    pub step: u8,
    /// Milligrams as the scale showed them.
    pub mass_mg: i32,
    /// One standard deviation of it, milligrams.
    pub sigma_mg: u16,
}

/// One drink under way, as version 1 had it.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
pub struct OpenDrinkV1 {
    /// The number of its order.
    pub order: u16,
    /// The drink's number in the sheet.
    pub drink: u8,
    /// The step it is at, from 0.
    pub step: u8,
    /// What the empty vessel weighs, milligrams.
    pub tare_mg: i32,
    /// What stood on the pan when this was written, vessel and all, milligrams.
    pub gross_mg: i32,
    /// What each finished step brought.
    pub brought: Vec<BroughtV1, BROUGHT_MAX>,
}

/// A place for a drink under way, as version 1 had it.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
pub struct OpenV1 {
    /// The low half of the sheet's CRC-32.
    pub sheet: u16,
    /// The drink; `None` where the place is free.
    pub drink: Option<OpenDrinkV1>,
}

/// What one step brought.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
pub struct BroughtV2 {
    /// The step, from 0.
    pub step: u8,
    /// Milligrams as the scale showed them.
    pub mass_mg: i32,
}

/// A place for a drink under way; the journal has [`crate::journal::limits::OPEN_MAX`] of them.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
pub struct OpenV2 {
    /// The low half of the sheet's CRC-32.
    pub sheet: u16,
    /// The drink's number, see [`WaitingV2`].
    pub number: u16,
    /// The drink's number in the sheet.
    pub drink: u8,
    /// The step it is at, from 0.
    pub step: u8,
    /// Glasses of it in one vessel.
    pub glasses: u8,
    /// Those that are done.
    pub served: u8,
    /// By how much it was grown after an over-pour, thousandths.
    pub growth_milli: u16,
    /// Earlier steps are being filled up: 0 no, 1 yes.
    pub mending: u8,
    /// 0 at a step, 1 away to be stirred or shaken, 2 its glass awaited, 3 being strained.
    pub stage: u8,
    /// What the empty vessel weighs, milligrams.
    pub tare_mg: i32,
    /// What stood on the pan as the step began or, for one that is away, as the vessel was lifted;
    /// vessel and all, milligrams.
    pub gross_mg: i32,
    /// What the first of several glasses holds, milligrams.
    pub first_served_mg: Option<u32>,
    /// What was strained, where something follows; milligrams.
    pub strained_mg: Option<u32>,
    /// What each step brought.
    pub brought: Vec<BroughtV2, BROUGHT_MAX>,
}

impl From<&Order> for OrderV2 {
    fn from(order: &Order) -> Self {
        Self {
            drink: order.drink.0,
            glasses: order.glasses,
        }
    }
}

impl OrderV2 {
    /// What it means.
    #[must_use]
    pub const fn thaw(self) -> Order {
        Order {
            drink: DrinkId(self.drink),
            glasses: self.glasses,
        }
    }
}

impl WaitingV2 {
    /// The drink of this number is under way.
    #[must_use]
    pub fn lists(&self, number: u16) -> bool {
        self.under_way.iter().any(|it| it.number == number)
    }

    /// A drink of this number was begun after this was written.
    #[must_use]
    pub fn precedes(&self, number: u16) -> bool {
        // Numbers begin anew after 65,535.
        number.wrapping_sub(self.begun) < u16::MAX / 2
    }

    /// Takes the order out of which this drink was begun.
    pub fn begin(&mut self, drink: u8, glasses: u8) {
        let from = OrderV2 { drink, glasses };
        if let Some(place) = self.orders.iter().position(|order| *order == from) {
            self.orders.remove(place);
        }
    }
}

impl OpenV2 {
    /// So much of a drink as is to be kept.
    #[must_use]
    pub fn new(
        sheet: u16,
        open: &UnderWay,
        (tare, gross): (Grams, Grams),
        brought: &mut dyn Iterator<Item = (u8, Grams)>,
    ) -> Self {
        let mg = |grams: Grams| fixed_up(grams.0, MILLI);
        let mut form = Self {
            sheet,
            number: open.number,
            drink: open.drink.0,
            step: open.step,
            glasses: open.glasses,
            served: open.served,
            growth_milli: fixed_short(open.growth, GROWTH),
            mending: u8::from(open.mending),
            stage: match open.stage {
                // Which of several has the pan, the round tells.
                Stage::Working | Stage::Between => 0,
                Stage::Away => 1,
                Stage::Glass => 2,
                Stage::Straining => 3,
            },
            tare_mg: fixed(tare.0, MILLI),
            gross_mg: fixed(gross.0, MILLI),
            first_served_mg: open.first_served.map(mg),
            strained_mg: open.strained.map(mg),
            brought: Vec::new(),
        };
        for (step, mass) in brought {
            let mass_mg = fixed(mass.0, MILLI);
            // There are fewer steps than places.
            let _ = form.brought.push(BroughtV2 { step, mass_mg });
        }
        form
    }

    /// What it means; `None` where its figures are beyond what can be.
    #[must_use]
    pub fn under_way(&self) -> Option<UnderWay> {
        let grams = |mg: u32| Grams(float_up(mg, MILLI));
        Some(UnderWay {
            number: self.number,
            drink: DrinkId(self.drink),
            step: self.step,
            glasses: self.glasses,
            served: self.served,
            growth: float_up(u32::from(self.growth_milli), GROWTH),
            mending: self.mending > 0,
            stage: match self.stage {
                0 => Stage::Working,
                1 => Stage::Away,
                2 => Stage::Glass,
                3 => Stage::Straining,
                _ => return None,
            },
            gross: self.gross(),
            first_served: self.first_served_mg.map(grams),
            strained: self.strained_mg.map(grams),
        })
    }

    /// The empty vessel.
    #[must_use]
    pub fn tare(&self) -> Grams {
        Grams(float(self.tare_mg, MILLI))
    }

    /// What stood on the pan, vessel and all.
    #[must_use]
    pub fn gross(&self) -> Grams {
        Grams(float(self.gross_mg, MILLI))
    }

    /// What each step brought.
    pub fn brought(&self) -> impl Iterator<Item = (u8, Grams)> + '_ {
        let brought = self.brought.iter();
        brought.map(|it| (it.step, Grams(float(it.mass_mg, MILLI))))
    }
}

impl From<WaitingV1> for WaitingV2 {
    fn from(before: WaitingV1) -> Self {
        let mut now = Self {
            sheet: before.sheet,
            // The one under way was begun under a number before those that wait.
            begun: before.orders.first().map_or(before.next, |it| it.order),
            ..Self::default()
        };
        let under_way = NumberV2 {
            number: now.begun.wrapping_sub(1),
            drink: u8::MAX,
        };
        // There are places for both.
        let _ = now.under_way.push(under_way);
        for order in &before.orders {
            let (drink, glasses) = (order.drink, 1);
            let _ = now.orders.push(OrderV2 { drink, glasses });
        }
        now
    }
}

impl From<OpenV1> for OpenV2 {
    fn from(before: OpenV1) -> Self {
        let sheet = before.sheet;
        let Some(drink) = before.drink else {
            return Self::default();
        };
        let mut now = Self {
            sheet,
            number: drink.order,
            drink: drink.drink,
            step: drink.step,
            glasses: 1,
            growth_milli: 1000,
            tare_mg: drink.tare_mg,
            gross_mg: drink.gross_mg,
            ..Self::default()
        };
        for it in &drink.brought {
            let (step, mass_mg) = (it.step, it.mass_mg);
            // As many as fitted there.
            let _ = now.brought.push(BroughtV2 { step, mass_mg });
        }
        now
    }
}

impl Fields for OrderV1 {
    fn fields(&mut self, coder: &mut Coder<'_>) {
        coder.short(&mut self.order);
        coder.byte(&mut self.drink);
    }
}

impl Fields for WaitingV1 {
    fn fields(&mut self, coder: &mut Coder<'_>) {
        coder.short(&mut self.sheet);
        coder.short(&mut self.next);
        coder.list(&mut self.orders);
    }
}

impl Fields for OrderV2 {
    fn fields(&mut self, coder: &mut Coder<'_>) {
        coder.byte(&mut self.drink);
        coder.byte(&mut self.glasses);
    }
}

impl Fields for NumberV2 {
    fn fields(&mut self, coder: &mut Coder<'_>) {
        coder.short(&mut self.number);
        coder.byte(&mut self.drink);
    }
}

impl Fields for WaitingV2 {
    fn fields(&mut self, coder: &mut Coder<'_>) {
        coder.short(&mut self.sheet);
        coder.short(&mut self.begun);
        coder.list(&mut self.under_way);
        coder.list(&mut self.orders);
    }
}

impl Fields for BroughtV1 {
    fn fields(&mut self, coder: &mut Coder<'_>) {
        coder.byte(&mut self.step);
        coder.signed(&mut self.mass_mg);
        coder.short(&mut self.sigma_mg);
    }
}

impl Fields for OpenDrinkV1 {
    fn fields(&mut self, coder: &mut Coder<'_>) {
        coder.short(&mut self.order);
        coder.byte(&mut self.drink);
        coder.byte(&mut self.step);
        coder.signed(&mut self.tare_mg);
        coder.signed(&mut self.gross_mg);
        coder.list(&mut self.brought);
    }
}

impl Fields for OpenV1 {
    fn fields(&mut self, coder: &mut Coder<'_>) {
        coder.short(&mut self.sheet);
        coder.option(&mut self.drink, |coder, drink| drink.fields(coder));
    }
}

impl Fields for BroughtV2 {
    fn fields(&mut self, coder: &mut Coder<'_>) {
        coder.byte(&mut self.step);
        coder.signed(&mut self.mass_mg);
    }
}

impl Fields for OpenV2 {
    fn fields(&mut self, coder: &mut Coder<'_>) {
        coder.short(&mut self.sheet);
        coder.short(&mut self.number);
        for byte in [
            &mut self.drink,
            &mut self.step,
            &mut self.glasses,
            &mut self.served,
        ] {
            coder.byte(byte);
        }
        coder.short(&mut self.growth_milli);
        coder.byte(&mut self.mending);
        coder.byte(&mut self.stage);
        coder.signed(&mut self.tare_mg);
        coder.signed(&mut self.gross_mg);
        coder.option(&mut self.first_served_mg, Coder::number);
        coder.option(&mut self.strained_mg, Coder::number);
        coder.list(&mut self.brought);
    }
}

impl Payload for WaitingV2 {
    const KIND: Kind = Kind::Waiting;
    const VERSION: u8 = 2;

    #[inline(never)]
    fn encode(&self, bytes: &mut [u8]) -> Option<usize> {
        coder::write(&mut self.clone(), bytes)
    }

    #[inline(never)]
    fn decode(version: u8, bytes: &[u8]) -> Result<Self, ReadError> {
        if version == 1 {
            let mut before = WaitingV1::default();
            thaw((version, 1), bytes, &mut before)?;
            return Ok(before.into());
        }
        let mut form = Self::default();
        thaw((version, 2), bytes, &mut form).map(|()| form)
    }
}

impl Payload for OpenV2 {
    const KIND: Kind = Kind::Open;
    const VERSION: u8 = 2;

    #[inline(never)]
    fn encode(&self, bytes: &mut [u8]) -> Option<usize> {
        coder::write(&mut self.clone(), bytes)
    }

    #[inline(never)]
    fn decode(version: u8, bytes: &[u8]) -> Result<Self, ReadError> {
        if version == 1 {
            let mut before = OpenV1::default();
            thaw((version, 1), bytes, &mut before)?;
            return Ok(before.into());
        }
        let mut form = Self::default();
        thaw((version, 2), bytes, &mut form).map(|()| form)
    }
}
