//! The open round: the orders that wait, and each drink under way with what it got so far.
//!
//! A drink moves on by two entries: first it is written as open, then the orders without it; first
//! its record, then its place as free. Cut off in between, the order number tells that both are the
//! same drink.

use heapless::Vec;
use serde::{Deserialize, Serialize};

use super::{MILLI, Payload, fixed, fixed_short, float, float_up, thaw};
use crate::journal::coder::{self, Coder, Fields};
use crate::journal::limits::{BROUGHT_MAX, WAITING_MAX};
use crate::journal::{Kind, ReadError};
use crate::output::Settled;
use crate::spec::DrinkId;
use crate::units::Grams;

/// One order.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
pub struct OrderV1 {
    /// Its number.
    pub order: u16,
    /// The drink's number in the sheet.
    pub drink: u8,
}

/// The orders that wait, the next one first.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
pub struct WaitingV1 {
    /// The low half of the sheet's CRC-32.
    pub sheet: u16,
    /// The number of the next order.
    pub next: u16,
    /// The orders.
    pub orders: Vec<OrderV1, WAITING_MAX>,
}

/// What one finished step brought.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
pub struct BroughtV1 {
    /// The step, from 0.
    pub step: u8,
    /// Milligrams as the scale showed them.
    pub mass_mg: i32,
    /// One standard deviation of it, milligrams.
    pub sigma_mg: u16,
}

/// One drink under way.
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

/// A place for a drink under way; the journal has [`crate::journal::limits::OPEN_MAX`] of them.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
pub struct OpenV1 {
    /// The low half of the sheet's CRC-32.
    pub sheet: u16,
    /// The drink; `None` where the place is free.
    pub drink: Option<OpenDrinkV1>,
}

impl OrderV1 {
    /// The drink of the sheet.
    #[must_use]
    pub const fn drink(&self) -> DrinkId {
        DrinkId(self.drink)
    }
}

impl BroughtV1 {
    /// What a step brought.
    #[must_use]
    pub fn new(step: u8, shown: Settled) -> Self {
        Self {
            step,
            mass_mg: fixed(shown.mass.0, MILLI),
            sigma_mg: fixed_short(shown.sigma.0, MILLI),
        }
    }

    /// The same as the scale's own figures.
    #[must_use]
    pub fn shown(&self) -> Settled {
        Settled {
            mass: Grams(float(self.mass_mg, MILLI)),
            sigma: Grams(float_up(u32::from(self.sigma_mg), MILLI)),
        }
    }
}

impl OpenDrinkV1 {
    /// A drink about to begin in a vessel of this mass.
    #[must_use]
    pub fn new(order: u16, drink: DrinkId, tare: Grams) -> Self {
        let tare_mg = fixed(tare.0, MILLI);
        Self {
            order,
            drink: drink.0,
            step: 0,
            tare_mg,
            gross_mg: tare_mg,
            brought: Vec::new(),
        }
    }

    /// A step is finished, and the pan carries so much now; what the same step brought before is
    /// replaced. `false` when there are more steps than a drink can have.
    pub fn bring(&mut self, brought: BroughtV1, gross: Grams) -> bool {
        self.stand(gross);
        self.step = self.step.max(brought.step.saturating_add(1));
        let same = self
            .brought
            .iter_mut()
            .find(|known| known.step == brought.step);
        match same {
            Some(known) => {
                *known = brought;
                true
            }
            None => self.brought.push(brought).is_ok(),
        }
    }

    /// The pan carries so much now.
    pub fn stand(&mut self, gross: Grams) {
        self.gross_mg = fixed(gross.0, MILLI);
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

impl Payload for WaitingV1 {
    const KIND: Kind = Kind::Waiting;
    const VERSION: u8 = 1;

    #[inline(never)]
    fn encode(&self, bytes: &mut [u8]) -> Option<usize> {
        coder::write(&mut self.clone(), bytes)
    }

    #[inline(never)]
    fn decode(version: u8, bytes: &[u8]) -> Result<Self, ReadError> {
        let mut form = Self::default();
        thaw(version, bytes, &mut form).map(|()| form)
    }
}

impl Payload for OpenV1 {
    const KIND: Kind = Kind::Open;
    const VERSION: u8 = 1;

    #[inline(never)]
    fn encode(&self, bytes: &mut [u8]) -> Option<usize> {
        coder::write(&mut self.clone(), bytes)
    }

    #[inline(never)]
    fn decode(version: u8, bytes: &[u8]) -> Result<Self, ReadError> {
        let mut form = Self::default();
        thaw(version, bytes, &mut form).map(|()| form)
    }
}
