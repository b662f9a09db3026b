//! What hands and bottles have taught.
//!
//! A bottle is known by its name, not by its number in the sheet, which the next sheet may give to
//! another one.

use serde::{Deserialize, Serialize};

use super::{MILLI, Payload, fixed, fixed_short, fixed_up, float, thaw};
use crate::input::Known;
use crate::journal::coder::{self, Coder, Fields};
use crate::journal::sum::sum;
use crate::journal::{Kind, ReadError};
use crate::output::{Learned, Lesson};

/// By which the journal knows a bottle: the CRC-32 of its name.
#[must_use]
pub fn bottle_key(name: &str) -> u32 {
    sum(name.as_bytes())
}

/// How one hand pours one bottle.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
pub struct HabitV1 {
    /// The hand, where one was named.
    pub hand: Option<u8>,
    /// The bottle's [`bottle_key`], where it is known.
    pub bottle: Option<u32>,
    /// Drips (micrograms); overrun (microseconds of flow); its variance (1e-9 s2), their
    /// covariance (1e-9 s g), the drips' variance (1e-9 g2); the flow after an ease and usually
    /// before one (mg/s); the one over the other (millionths).
    pub figures: [i32; 8],
    /// Pours that have taught it.
    pub pours: u16,
}

impl HabitV1 {
    /// What a habit's figure in grams and seconds is multiplied with.
    const SCALES: [f32; 8] = [1e6, 1e6, 1e9, 1e9, 1e9, 1e3, 1e3, 1e6];

    /// Takes what was learned: the figures in grams and seconds, then the pours.
    pub fn set(&mut self, values: &[f32; 9]) {
        let [.., pours] = *values;
        let pairs = self.figures.iter_mut().zip(values);
        for ((figure, value), scale) in pairs.zip(&Self::SCALES) {
            *figure = fixed(*value, *scale);
        }
        self.pours = fixed_short(pours, 1.0);
    }

    /// The same as it was taken.
    #[must_use]
    pub fn values(&self) -> [f32; 9] {
        let mut values = [f32::from(self.pours); 9];
        let pairs = values.iter_mut().zip(&self.figures);
        for ((value, figure), scale) in pairs.zip(&Self::SCALES) {
            *value = float(*figure, *scale);
        }
        values
    }
}

impl Fields for HabitV1 {
    fn fields(&mut self, coder: &mut Coder<'_>) {
        coder.option(&mut self.hand, Coder::byte);
        coder.option(&mut self.bottle, Coder::number);
        for figure in &mut self.figures {
            coder.signed(figure);
        }
        coder.short(&mut self.pours);
    }
}

impl Payload for HabitV1 {
    const KIND: Kind = Kind::Habit;
    const VERSION: u8 = 1;

    #[inline(never)]
    fn encode(&self, bytes: &mut [u8]) -> Option<usize> {
        coder::write(&mut self.clone(), bytes)
    }

    #[inline(never)]
    fn decode(version: u8, bytes: &[u8]) -> Result<Self, ReadError> {
        let mut form = Self::default();
        thaw((version, 1), bytes, &mut form).map(|()| form)
    }
}

/// What was learned of one bottle, in the units in which a sheet states a liquid.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
pub struct BottleV1 {
    /// The bottle's [`bottle_key`].
    pub bottle: u32,
    /// How many fills.
    pub fills: u8,
    /// Grams per cubic metre.
    pub density_g_per_m3: u32,
    /// One standard deviation of it, grams per cubic metre.
    pub sigma_g_per_m3: u32,
    /// How warm it was, hundredths of a degree Celsius.
    pub density_at_centi_c: i16,
    /// Strength, stated or learned, hundredths of a percent by volume.
    pub abv_centi: Option<u16>,
    /// Sugar, stated or learned, tenths of a gram per litre.
    pub sugar_dg_per_l: Option<u16>,
}

impl BottleV1 {
    /// What is to be kept of it; `None` where it was refused.
    #[must_use]
    pub fn of(bottle: u32, learned: &Learned) -> Option<Self> {
        let (mut abv_centi, mut sugar_dg_per_l) = match learned.sample.known {
            Known::Nothing => (None, None),
            Known::Strength(centi) => (Some(centi), None),
            Known::Sugar(tenths) => (None, Some(tenths)),
        };
        match learned.lesson {
            Lesson::Density => {}
            Lesson::Sugar(sugar) => sugar_dg_per_l = Some(fixed_short(sugar.value, 10.0)),
            Lesson::Strength(strength) => abv_centi = Some(fixed_short(strength.value, 100.0)),
            Lesson::Refused(_) => return None,
        }
        Some(Self {
            bottle,
            fills: learned.fills,
            density_g_per_m3: fixed_up(learned.density.value, MILLI),
            sigma_g_per_m3: fixed_up(learned.density.sigma, MILLI),
            density_at_centi_c: learned.sample.celsius,
            abv_centi,
            sugar_dg_per_l,
        })
    }
}

impl Fields for BottleV1 {
    fn fields(&mut self, coder: &mut Coder<'_>) {
        coder.number(&mut self.bottle);
        coder.byte(&mut self.fills);
        coder.number(&mut self.density_g_per_m3);
        coder.number(&mut self.sigma_g_per_m3);
        coder.signed_short(&mut self.density_at_centi_c);
        coder.option(&mut self.abv_centi, Coder::short);
        coder.option(&mut self.sugar_dg_per_l, Coder::short);
    }
}

impl Payload for BottleV1 {
    const KIND: Kind = Kind::Bottle;
    const VERSION: u8 = 1;

    #[inline(never)]
    fn encode(&self, bytes: &mut [u8]) -> Option<usize> {
        coder::write(&mut self.clone(), bytes)
    }

    #[inline(never)]
    fn decode(version: u8, bytes: &[u8]) -> Result<Self, ReadError> {
        let mut form = Self::default();
        thaw((version, 1), bytes, &mut form).map(|()| form)
    }
}
