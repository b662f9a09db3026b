//! Pours, drinks and faults, as they are remembered.

use serde::{Deserialize, Serialize};

use super::{
    Back, BackV2, CENTI, MILLI, Payload, Stamp, StampV1, fixed, fixed_short, fixed_up, float,
    float_up, thaw,
};
use crate::journal::coder::{Coder, Fields, Pen};
use crate::journal::{Kind, ReadError};
use crate::output::{Dilution, DilutionBasis, DrinkRecord, Fault, PourRecord, Settled, Verdict};
use crate::spec::{Amount, DrinkId, LiquidId, Quantity, Unit};
use crate::units::{Grams, Millilitres};

/// One closed pour.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Pour {
    /// When.
    pub stamp: Stamp,
    /// The number of its drink, see [`crate::round::Round::begun`].
    pub order: u16,
    /// The drink of the sheet; version 1 did not tell.
    pub drink: Option<DrinkId>,
    /// What was poured.
    pub record: PourRecord,
}

/// One finished drink.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Drink {
    /// When.
    pub stamp: Stamp,
    /// Its number. A later record of the same number takes the place of one before.
    pub order: u16,
    /// What the glass holds.
    pub record: DrinkRecord,
    /// What was found once its vessel was set back, where it was.
    pub back: Option<Back>,
}

/// Something was wrong.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub struct Seen {
    /// When.
    pub stamp: Stamp,
    /// What.
    pub fault: Fault,
}

/// [`Pour`].
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
pub struct PourV1 {
    /// When.
    pub stamp: StampV1,
    /// The number of the drink.
    pub order: u16,
    /// The step, from 0.
    pub step: u8,
    /// The liquid's number in the sheet.
    pub liquid: u8,
    /// The unit it was asked for in: 0 ml, 1 cl, 2 oz, 3 g, 4 dash, 5 barspoon, 6 drop, 7 piece;
    /// from version 2 on 8, a rinse.
    pub unit: u8,
    /// What `quantity` counts: 0 microlitres, 1 milligrams, 2 things.
    pub measure: u8,
    /// How much was asked for.
    pub quantity: u32,
    /// The volume asked for, microlitres.
    pub target_ul: u32,
    /// What the scale was to show, milligrams.
    pub target_mg: i32,
    /// What it showed, milligrams.
    pub poured_mg: i32,
    /// One standard deviation of it, milligrams.
    pub sigma_mg: u32,
    /// 0 good, 1 short, 2 over.
    pub verdict: u8,
}

/// The last unit of version 1.
const UNIT_V1: u8 = 7;

impl Fields for PourV1 {
    fn fields(&mut self, coder: &mut Coder<'_>) {
        self.stamp.fields(coder);
        coder.short(&mut self.order);
        for byte in [
            &mut self.step,
            &mut self.liquid,
            &mut self.unit,
            &mut self.measure,
        ] {
            coder.byte(byte);
        }
        coder.number(&mut self.quantity);
        coder.number(&mut self.target_ul);
        coder.signed(&mut self.target_mg);
        coder.signed(&mut self.poured_mg);
        coder.number(&mut self.sigma_mg);
        coder.byte(&mut self.verdict);
    }
}

impl PourV1 {
    fn thaw(self, drink: Option<DrinkId>) -> Option<Pour> {
        Some(Pour {
            stamp: self.stamp.into(),
            order: self.order,
            drink,
            record: PourRecord {
                step: self.step,
                liquid: LiquidId(self.liquid),
                amount: Amount {
                    quantity: match self.measure {
                        0 => Quantity::Volume(self.quantity),
                        1 => Quantity::Mass(self.quantity),
                        2 => Quantity::Count(u8::try_from(self.quantity).ok()?),
                        _ => return None,
                    },
                    unit: match self.unit {
                        0 => Unit::Ml,
                        1 => Unit::Cl,
                        2 => Unit::Oz,
                        3 => Unit::Gram,
                        4 => Unit::Dash,
                        5 => Unit::Barspoon,
                        6 => Unit::Drop,
                        7 => Unit::Piece,
                        8 => Unit::Rinse,
                        _ => return None,
                    },
                },
                target_volume: Millilitres(float_up(self.target_ul, MILLI)),
                target: Grams(float(self.target_mg, MILLI)),
                poured: Settled {
                    mass: Grams(float(self.poured_mg, MILLI)),
                    sigma: Grams(float_up(self.sigma_mg, MILLI)),
                },
                verdict: match self.verdict {
                    0 => Verdict::Good,
                    1 => Verdict::Short,
                    2 => Verdict::Over,
                    _ => return None,
                },
            },
        })
    }
}

/// [`Pour`].
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
pub struct PourV2 {
    /// As before.
    pub pour: PourV1,
    /// The drink's number in the sheet.
    pub drink: u8,
}

impl Fields for PourV2 {
    fn fields(&mut self, coder: &mut Coder<'_>) {
        self.pour.fields(coder);
        coder.byte(&mut self.drink);
    }
}

impl Payload for Pour {
    const KIND: Kind = Kind::Pour;
    const VERSION: u8 = 2;

    #[inline(never)]
    fn encode(&self, bytes: &mut [u8]) -> Option<usize> {
        let record = &self.record;
        let (measure, quantity) = match record.amount.quantity {
            Quantity::Volume(ul) => (0, ul),
            Quantity::Mass(mg) => (1, mg),
            Quantity::Count(count) => (2, u32::from(count)),
        };
        let unit = match record.amount.unit {
            Unit::Ml => 0,
            Unit::Cl => 1,
            Unit::Oz => 2,
            Unit::Gram => 3,
            Unit::Dash => 4,
            Unit::Barspoon => 5,
            Unit::Drop => 6,
            Unit::Piece => 7,
            Unit::Rinse => 8,
        };
        let verdict = match record.verdict {
            Verdict::Good => 0,
            Verdict::Short => 1,
            Verdict::Over => 2,
        };
        let mut coder = Coder::writing(bytes);
        self.stamp.write(&mut coder);
        Pen(&mut coder)
            .number(u32::from(self.order))
            .byte(record.step)
            .byte(record.liquid.0)
            .byte(unit)
            .byte(measure)
            .number(quantity)
            .number(fixed_up(record.target_volume.0, MILLI))
            .signed(fixed(record.target.0, MILLI))
            .signed(fixed(record.poured.mass.0, MILLI))
            .number(fixed_up(record.poured.sigma.0, MILLI))
            .byte(verdict)
            .byte(self.drink.unwrap_or_default().0);
        coder.finish()
    }

    #[inline(never)]
    fn decode(version: u8, bytes: &[u8]) -> Result<Self, ReadError> {
        let mut form = PourV2::default();
        let drink = if version == 1 {
            thaw((version, 1), bytes, &mut form.pour)?;
            if form.pour.unit > UNIT_V1 {
                return Err(ReadError::Value);
            }
            None
        } else {
            thaw((version, 2), bytes, &mut form)?;
            Some(DrinkId(form.drink))
        };
        form.pour.thaw(drink).ok_or(ReadError::Value)
    }
}

/// [`Drink`].
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
pub struct DrinkV1 {
    /// When.
    pub stamp: StampV1,
    /// The number of the drink.
    pub order: u16,
    /// The drink's number in the sheet.
    pub drink: u8,
    /// Microlitres at 20 degC.
    pub volume_ul: u32,
    /// One standard deviation of it, microlitres.
    pub volume_sigma_ul: u32,
    /// Hundredths of a percent by volume.
    pub abv_centi: u16,
    /// One standard deviation of it.
    pub abv_sigma_centi: u16,
    /// Hundredths of a gram per litre.
    pub sugar_cg_per_l: u32,
    /// Milligrams of pure alcohol.
    pub ethanol_mg: u32,
    /// One standard deviation of it, milligrams.
    pub ethanol_sigma_mg: u32,
    /// How the dilution is known: 0 not at all, 1 weighed, 2 expected.
    pub dilution: u8,
    /// Hundredths of a percent of the undiluted volume; a loss is negative.
    pub dilution_centi: i32,
    /// One standard deviation of it.
    pub dilution_sigma_centi: u16,
}

impl Fields for DrinkV1 {
    fn fields(&mut self, coder: &mut Coder<'_>) {
        self.stamp.fields(coder);
        coder.short(&mut self.order);
        coder.byte(&mut self.drink);
        coder.number(&mut self.volume_ul);
        coder.number(&mut self.volume_sigma_ul);
        coder.short(&mut self.abv_centi);
        coder.short(&mut self.abv_sigma_centi);
        coder.number(&mut self.sugar_cg_per_l);
        coder.number(&mut self.ethanol_mg);
        coder.number(&mut self.ethanol_sigma_mg);
        coder.byte(&mut self.dilution);
        coder.signed(&mut self.dilution_centi);
        coder.short(&mut self.dilution_sigma_centi);
    }
}

impl DrinkV1 {
    fn thaw(self, back: Option<Back>) -> Option<Drink> {
        let basis = match self.dilution {
            0 => None,
            1 => Some(DilutionBasis::Weighed),
            2 => Some(DilutionBasis::Expected),
            _ => return None,
        };
        let centi = |figure: u16| float_up(u32::from(figure), CENTI);
        Some(Drink {
            stamp: self.stamp.into(),
            order: self.order,
            record: DrinkRecord {
                drink: DrinkId(self.drink),
                volume: Millilitres(float_up(self.volume_ul, MILLI)),
                volume_sigma: Millilitres(float_up(self.volume_sigma_ul, MILLI)),
                abv_percent: centi(self.abv_centi),
                abv_sigma_percent: centi(self.abv_sigma_centi),
                sugar_g_per_l: float_up(self.sugar_cg_per_l, CENTI),
                ethanol: Grams(float_up(self.ethanol_mg, MILLI)),
                ethanol_sigma: Grams(float_up(self.ethanol_sigma_mg, MILLI)),
                dilution: basis.map(|basis| Dilution {
                    basis,
                    percent: float(self.dilution_centi, CENTI),
                    sigma_percent: centi(self.dilution_sigma_centi),
                }),
            },
            back,
        })
    }
}

/// [`Drink`].
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
pub struct DrinkV2 {
    /// As before.
    pub drink: DrinkV1,
    /// What was found once the vessel was set back.
    pub back: Option<BackV2>,
}

impl Fields for DrinkV2 {
    fn fields(&mut self, coder: &mut Coder<'_>) {
        self.drink.fields(coder);
        coder.option(&mut self.back, |coder, back| back.fields(coder));
    }
}

impl Payload for Drink {
    const KIND: Kind = Kind::Drink;
    const VERSION: u8 = 2;

    #[inline(never)]
    fn encode(&self, bytes: &mut [u8]) -> Option<usize> {
        let record = &self.record;
        let (basis, percent, sigma_percent) = match &record.dilution {
            None => (0, 0.0, 0.0),
            Some(dilution) => {
                let basis = match dilution.basis {
                    DilutionBasis::Weighed => 1,
                    DilutionBasis::Expected => 2,
                };
                (basis, dilution.percent, dilution.sigma_percent)
            }
        };
        let mut coder = Coder::writing(bytes);
        self.stamp.write(&mut coder);
        Pen(&mut coder)
            .number(u32::from(self.order))
            .byte(record.drink.0)
            .number(fixed_up(record.volume.0, MILLI))
            .number(fixed_up(record.volume_sigma.0, MILLI))
            .number(fixed_short(record.abv_percent, CENTI).into())
            .number(fixed_short(record.abv_sigma_percent, CENTI).into())
            .number(fixed_up(record.sugar_g_per_l, CENTI))
            .number(fixed_up(record.ethanol.0, MILLI))
            .number(fixed_up(record.ethanol_sigma.0, MILLI))
            .byte(basis)
            .signed(fixed(percent, CENTI))
            .number(fixed_short(sigma_percent, CENTI).into());
        let mut back = self.back.as_ref().map(BackV2::from);
        coder.option(&mut back, |coder, back| back.fields(coder));
        coder.finish()
    }

    #[inline(never)]
    fn decode(version: u8, bytes: &[u8]) -> Result<Self, ReadError> {
        let mut form = DrinkV2::default();
        if version == 1 {
            thaw((version, 1), bytes, &mut form.drink)?;
        } else {
            thaw((version, 2), bytes, &mut form)?;
        }
        let back = form.back.map(Back::from);
        form.drink.thaw(back).ok_or(ReadError::Value)
    }
}

/// [`Seen`].
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
pub struct FaultV1 {
    /// When.
    pub stamp: StampV1,
    /// 0 saturated, 1 overload, 2 stuck, 3 silent, 4 time, 5 range, 6 glitch, 7 sheet,
    /// 9 zero, 10 memory.
    pub fault: u8,
}

impl Fields for FaultV1 {
    fn fields(&mut self, coder: &mut Coder<'_>) {
        self.stamp.fields(coder);
        coder.byte(&mut self.fault);
    }
}

impl FaultV1 {
    fn thaw(self) -> Option<Seen> {
        let fault = match self.fault {
            0 => Fault::Saturated,
            1 => Fault::Overload,
            2 => Fault::Stuck,
            3 => Fault::Silent,
            4 => Fault::Time,
            5 => Fault::Range,
            6 => Fault::Glitch,
            7 => Fault::Sheet,
            9 => Fault::Zero,
            10 => Fault::Memory,
            _ => return None,
        };
        Some(Seen {
            stamp: self.stamp.into(),
            fault,
        })
    }
}

impl Payload for Seen {
    const KIND: Kind = Kind::Fault;
    const VERSION: u8 = 1;

    #[inline(never)]
    fn encode(&self, bytes: &mut [u8]) -> Option<usize> {
        let fault = match self.fault {
            Fault::Saturated => 0,
            Fault::Overload => 1,
            Fault::Stuck => 2,
            Fault::Silent => 3,
            Fault::Time => 4,
            Fault::Range => 5,
            Fault::Glitch => 6,
            Fault::Sheet => 7,
            Fault::Zero => 9,
            Fault::Memory => 10,
        };
        let mut coder = Coder::writing(bytes);
        self.stamp.write(&mut coder);
        Pen(&mut coder).byte(fault);
        coder.finish()
    }

    #[inline(never)]
    fn decode(version: u8, bytes: &[u8]) -> Result<Self, ReadError> {
        let mut form = FaultV1::default();
        thaw((version, 1), bytes, &mut form)?;
        form.thaw().ok_or(ReadError::Value)
    }
}
