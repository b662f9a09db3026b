//! What hands have taught.
//!
//! A bottle is known by its name, not by its number in the sheet, which the next sheet may give to
//! another one.

use serde::{Deserialize, Serialize};

use super::{Payload, fixed, fixed_short, float, thaw};
use crate::journal::coder::{self, Coder, Fields};
use crate::journal::sum::sum;
use crate::journal::{Kind, ReadError};

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
