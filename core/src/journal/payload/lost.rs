//! What did not come into the glass: weighed back, or gone before.

use serde::{Deserialize, Serialize};

use super::{
    CENTI, MILLI, Payload, Stamp, StampV1, fixed, fixed_short, fixed_up, float, float_up, thaw,
};
use crate::journal::coder::{Coder, Fields, Pen};
use crate::journal::{Kind, ReadError};
use crate::output::{Dilution, DilutionBasis, Settled};
use crate::spec::DrinkId;
use crate::units::Grams;

/// What was found once the vessel was set back.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Back {
    /// What left the vessel and did not come into the glass; negative where it gained.
    pub lost: Settled,
    /// The water that such work usually melts, where that is known.
    pub expected: Option<Dilution>,
}

/// [`Back`].
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
pub struct BackV2 {
    /// What was lost, milligrams.
    pub lost_mg: i32,
    /// One standard deviation of it, milligrams.
    pub lost_sigma_mg: u32,
    /// The water usually melted: 0 not known, 2 expected.
    pub expected: u8,
    /// Hundredths of a percent of the undiluted volume.
    pub expected_centi: i32,
    /// One standard deviation of it.
    pub expected_sigma_centi: u16,
}

impl Fields for BackV2 {
    fn fields(&mut self, coder: &mut Coder<'_>) {
        coder.signed(&mut self.lost_mg);
        coder.number(&mut self.lost_sigma_mg);
        coder.byte(&mut self.expected);
        coder.signed(&mut self.expected_centi);
        coder.short(&mut self.expected_sigma_centi);
    }
}

impl From<&Back> for BackV2 {
    fn from(back: &Back) -> Self {
        let expected = back.expected.as_ref();
        Self {
            lost_mg: fixed(back.lost.mass.0, MILLI),
            lost_sigma_mg: fixed_up(back.lost.sigma.0, MILLI),
            expected: if expected.is_some() { 2 } else { 0 },
            expected_centi: expected.map_or(0, |it| fixed(it.percent, CENTI)),
            expected_sigma_centi: expected.map_or(0, |it| fixed_short(it.sigma_percent, CENTI)),
        }
    }
}

impl From<BackV2> for Back {
    fn from(form: BackV2) -> Self {
        Self {
            lost: Settled {
                mass: Grams(float(form.lost_mg, MILLI)),
                sigma: Grams(float_up(form.lost_sigma_mg, MILLI)),
            },
            expected: (form.expected > 0).then(|| Dilution {
                basis: DilutionBasis::Expected,
                percent: float(form.expected_centi, CENTI),
                sigma_percent: float_up(u32::from(form.expected_sigma_centi), CENTI),
            }),
        }
    }
}

/// The vessel of a drink came back lighter than it went.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Loss {
    /// When.
    pub stamp: Stamp,
    /// The number of the drink.
    pub order: u16,
    /// The drink of the sheet.
    pub drink: DrinkId,
    /// What is gone.
    pub lost: Settled,
}

/// [`Loss`].
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
pub struct LossV1 {
    /// When.
    pub stamp: StampV1,
    /// The number of the drink.
    pub order: u16,
    /// The drink's number in the sheet.
    pub drink: u8,
    /// What is gone, milligrams.
    pub lost_mg: i32,
    /// One standard deviation of it, milligrams.
    pub sigma_mg: u32,
}

impl Fields for LossV1 {
    fn fields(&mut self, coder: &mut Coder<'_>) {
        self.stamp.fields(coder);
        coder.short(&mut self.order);
        coder.byte(&mut self.drink);
        coder.signed(&mut self.lost_mg);
        coder.number(&mut self.sigma_mg);
    }
}

impl Payload for Loss {
    const KIND: Kind = Kind::Loss;
    const VERSION: u8 = 1;

    #[inline(never)]
    fn encode(&self, bytes: &mut [u8]) -> Option<usize> {
        let mut coder = Coder::writing(bytes);
        self.stamp.write(&mut coder);
        Pen(&mut coder)
            .number(u32::from(self.order))
            .byte(self.drink.0)
            .signed(fixed(self.lost.mass.0, MILLI))
            .number(fixed_up(self.lost.sigma.0, MILLI));
        coder.finish()
    }

    #[inline(never)]
    fn decode(version: u8, bytes: &[u8]) -> Result<Self, ReadError> {
        let mut form = LossV1::default();
        thaw((version, 1), bytes, &mut form)?;
        Ok(Self {
            stamp: form.stamp.into(),
            order: form.order,
            drink: DrinkId(form.drink),
            lost: Settled {
                mass: Grams(float(form.lost_mg, MILLI)),
                sigma: Grams(float_up(form.sigma_mg, MILLI)),
            },
        })
    }
}
