//! Calibration, house measures, starts.

use serde::{Deserialize, Serialize};

use super::{Payload, fixed, float, thaw};
use crate::journal::coder::{self, Coder, Fields};
use crate::journal::{Kind, ReadError};
use crate::spec::House;
use crate::spec::limits::HOUSE_MEASURE_MAX_UL;
use crate::weigh::Calibration;

/// Hundred-thousandths of a count make one: finer than an `f32` at 128 counts a gram and more.
const COUNT: f32 = 1e5;

/// [`Calibration`].
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
pub struct CalibrationV1 {
    /// The code of the empty pan.
    pub zero_code: i32,
    /// Hundred-thousandths of a code per gram.
    pub counts_e5_per_gram: i32,
}

impl Fields for CalibrationV1 {
    fn fields(&mut self, coder: &mut Coder<'_>) {
        coder.signed(&mut self.zero_code);
        coder.signed(&mut self.counts_e5_per_gram);
    }
}

impl From<&Calibration> for CalibrationV1 {
    fn from(calibration: &Calibration) -> Self {
        Self {
            zero_code: calibration.zero_code,
            counts_e5_per_gram: fixed(calibration.counts_per_gram, COUNT),
        }
    }
}

impl CalibrationV1 {
    /// What it means now; `None` for one that cannot be used.
    #[must_use]
    pub fn thaw(self) -> Option<Calibration> {
        let calibration = Calibration {
            zero_code: self.zero_code,
            counts_per_gram: float(self.counts_e5_per_gram, COUNT),
        };
        calibration.is_usable().then_some(calibration)
    }
}

impl Payload for Calibration {
    const KIND: Kind = Kind::Calibration;
    const VERSION: u8 = 1;

    #[inline(never)]
    fn encode(&self, bytes: &mut [u8]) -> Option<usize> {
        coder::write(&mut CalibrationV1::from(self), bytes)
    }

    #[inline(never)]
    fn decode(version: u8, bytes: &[u8]) -> Result<Self, ReadError> {
        let mut form = CalibrationV1::default();
        thaw((version, 1), bytes, &mut form)?;
        form.thaw().ok_or(ReadError::Value)
    }
}

/// [`House`], microlitres.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
pub struct HouseV1 {
    /// A dash.
    pub dash_ul: u32,
    /// A barspoon.
    pub barspoon_ul: u32,
    /// A drop.
    pub drop_ul: u32,
}

impl Fields for HouseV1 {
    fn fields(&mut self, coder: &mut Coder<'_>) {
        coder.number(&mut self.dash_ul);
        coder.number(&mut self.barspoon_ul);
        coder.number(&mut self.drop_ul);
    }
}

impl From<&House> for HouseV1 {
    fn from(house: &House) -> Self {
        let House {
            dash_ul,
            barspoon_ul,
            drop_ul,
        } = *house;
        Self {
            dash_ul,
            barspoon_ul,
            drop_ul,
        }
    }
}

impl HouseV1 {
    /// What it means now; `None` beyond what a house measure can be.
    #[must_use]
    pub fn thaw(self) -> Option<House> {
        let Self {
            dash_ul,
            barspoon_ul,
            drop_ul,
        } = self;
        let all = [dash_ul, barspoon_ul, drop_ul];
        let fits = all.iter().all(|ul| *ul > 0 && *ul <= HOUSE_MEASURE_MAX_UL);
        fits.then_some(House {
            dash_ul,
            barspoon_ul,
            drop_ul,
        })
    }
}

impl Payload for House {
    const KIND: Kind = Kind::House;
    const VERSION: u8 = 1;

    #[inline(never)]
    fn encode(&self, bytes: &mut [u8]) -> Option<usize> {
        coder::write(&mut HouseV1::from(self), bytes)
    }

    #[inline(never)]
    fn decode(version: u8, bytes: &[u8]) -> Result<Self, ReadError> {
        let mut form = HouseV1::default();
        thaw((version, 1), bytes, &mut form)?;
        form.thaw().ok_or(ReadError::Value)
    }
}

/// How often the power came on. Told with every record: times since power-up of different starts
/// cannot be compared.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub struct Start(pub u16);

/// [`Start`].
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
pub struct StartV1 {
    /// How often, from 1; begins again after 65,535.
    pub count: u16,
}

impl Fields for StartV1 {
    fn fields(&mut self, coder: &mut Coder<'_>) {
        coder.short(&mut self.count);
    }
}

impl Payload for Start {
    const KIND: Kind = Kind::Start;
    const VERSION: u8 = 1;

    #[inline(never)]
    fn encode(&self, bytes: &mut [u8]) -> Option<usize> {
        coder::write(&mut StartV1 { count: self.0 }, bytes)
    }

    #[inline(never)]
    fn decode(version: u8, bytes: &[u8]) -> Result<Self, ReadError> {
        let mut form = StartV1::default();
        thaw((version, 1), bytes, &mut form).map(|()| Self(form.count))
    }
}
