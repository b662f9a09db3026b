//! What a filled measure has told of a bottle, as it is remembered.
//!
//! Which bottle it was the station is not told: when it was has to do. Every fill is a record, and
//! so is what amends it; each tells all fills of its bottle so far, and the last one counts.

use serde::{Deserialize, Serialize};

use super::{CENTI, MILLI, Payload, Stamp, StampV1, fixed_up, float_up, thaw};
use crate::input::{Known, Sample};
use crate::journal::coder::{Coder, Fields, Pen};
use crate::journal::{Kind, ReadError};
use crate::output::{Figure, Learned, Lesson, Refused};

/// A bottle was learned, or it was refused and why.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Bottle {
    /// When.
    pub stamp: Stamp,
    /// What the fills have told.
    pub learned: Learned,
}

/// [`Bottle`].
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
pub struct BottleV1 {
    /// When.
    pub stamp: StampV1,
    /// What the measure holds, microlitres.
    pub volume_ul: u32,
    /// One standard deviation of it, microlitres.
    pub volume_sigma_ul: u32,
    /// How warm it was, hundredths of a degree Celsius.
    pub at_centi_c: i16,
    /// What the label says: 0 nothing, 1 the strength, 2 the sugar.
    pub known: u8,
    /// That: hundredths of a percent by volume, or tenths of a gram per litre.
    pub label: u16,
    /// How many fills.
    pub fills: u8,
    /// Grams per cubic metre; 0 where it was refused with 6.
    pub density_g_per_m3: u32,
    /// One standard deviation of it, grams per cubic metre; 0 where there is no such liquid.
    pub density_sigma_g_per_m3: u32,
    /// One standard deviation of a single fill, grams per cubic metre; 0 before there are two.
    pub spread_g_per_m3: u32,
    /// What follows: 0 nothing more, 1 the sugar, 2 the strength. Refused because there is no such
    /// liquid 3, for being too light 4 or too dense 5 for the label, or because label and
    /// temperature are out of range together 6.
    pub lesson: u8,
    /// The sugar, hundredths of a gram per litre; the strength, hundredths of a percent by volume;
    /// the bound that was crossed, grams per cubic metre.
    pub figure: u32,
    /// One standard deviation of sugar or strength, in the same unit.
    pub figure_sigma: u32,
}

impl Fields for BottleV1 {
    fn fields(&mut self, coder: &mut Coder<'_>) {
        self.stamp.fields(coder);
        coder.number(&mut self.volume_ul);
        coder.number(&mut self.volume_sigma_ul);
        coder.signed_short(&mut self.at_centi_c);
        coder.byte(&mut self.known);
        coder.short(&mut self.label);
        coder.byte(&mut self.fills);
        coder.number(&mut self.density_g_per_m3);
        coder.number(&mut self.density_sigma_g_per_m3);
        coder.number(&mut self.spread_g_per_m3);
        coder.byte(&mut self.lesson);
        coder.number(&mut self.figure);
        coder.number(&mut self.figure_sigma);
    }
}

impl BottleV1 {
    fn thaw(self) -> Option<Bottle> {
        let bound = || float_up(self.figure, MILLI);
        let follows = || Figure {
            value: float_up(self.figure, CENTI),
            sigma: float_up(self.figure_sigma, CENTI),
        };
        Some(Bottle {
            stamp: self.stamp.into(),
            learned: Learned {
                sample: Sample {
                    volume_ul: self.volume_ul,
                    sigma_ul: self.volume_sigma_ul,
                    celsius: self.at_centi_c,
                    known: match self.known {
                        0 => Known::Nothing,
                        1 => Known::Strength(self.label),
                        2 => Known::Sugar(self.label),
                        _ => return None,
                    },
                },
                fills: self.fills,
                density: Figure {
                    value: float_up(self.density_g_per_m3, MILLI),
                    sigma: float_up(self.density_sigma_g_per_m3, MILLI),
                },
                spread: float_up(self.spread_g_per_m3, MILLI),
                lesson: match self.lesson {
                    0 => Lesson::Density,
                    1 => Lesson::Sugar(follows()),
                    2 => Lesson::Strength(follows()),
                    3 => Lesson::Refused(Refused::NoLiquid(bound())),
                    4 => Lesson::Refused(Refused::TooLight(bound())),
                    5 => Lesson::Refused(Refused::TooDense(bound())),
                    6 => Lesson::Refused(Refused::Label),
                    _ => return None,
                },
            },
        })
    }
}

impl Payload for Bottle {
    const KIND: Kind = Kind::Bottle;
    const VERSION: u8 = 1;

    #[inline(never)]
    fn encode(&self, bytes: &mut [u8]) -> Option<usize> {
        let learned = &self.learned;
        let sample = &learned.sample;
        let (known, label) = match sample.known {
            Known::Nothing => (0, 0),
            Known::Strength(hundredths) => (1, hundredths),
            Known::Sugar(tenths) => (2, tenths),
        };
        let (lesson, figure, sigma, scale) = match learned.lesson {
            Lesson::Density => (0, 0.0, 0.0, CENTI),
            Lesson::Sugar(sugar) => (1, sugar.value, sugar.sigma, CENTI),
            Lesson::Strength(strength) => (2, strength.value, strength.sigma, CENTI),
            Lesson::Refused(Refused::NoLiquid(bound)) => (3, bound, 0.0, MILLI),
            Lesson::Refused(Refused::TooLight(bound)) => (4, bound, 0.0, MILLI),
            Lesson::Refused(Refused::TooDense(bound)) => (5, bound, 0.0, MILLI),
            Lesson::Refused(Refused::Label) => (6, 0.0, 0.0, MILLI),
        };
        let mut coder = Coder::writing(bytes);
        self.stamp.write(&mut coder);
        Pen(&mut coder)
            .number(sample.volume_ul)
            .number(sample.sigma_ul)
            .signed(sample.celsius.into())
            .byte(known)
            .number(label.into())
            .byte(learned.fills)
            .number(fixed_up(learned.density.value, MILLI))
            .number(fixed_up(learned.density.sigma, MILLI))
            .number(fixed_up(learned.spread, MILLI))
            .byte(lesson)
            .number(fixed_up(figure, scale))
            .number(fixed_up(sigma, scale));
        coder.finish()
    }

    #[inline(never)]
    fn decode(version: u8, bytes: &[u8]) -> Result<Self, ReadError> {
        let mut form = BottleV1::default();
        thaw((version, 1), bytes, &mut form)?;
        form.thaw().ok_or(ReadError::Value)
    }
}
