//! What hands and bottles have taught.
//!
//! A bottle is known by its name, not by its number in the sheet, which the next sheet may give to
//! another one.

use serde::{Deserialize, Serialize};

use super::{Payload, fixed, fixed_up, float, float_up, thaw};
use crate::input::{Known, Sample};
use crate::journal::coder::{self, Coder, Fields};
use crate::journal::entry::CRC;
use crate::journal::{Kind, ReadError};
use crate::output::{Figure, Learned, Lesson, Refused};

/// By which the journal knows a bottle: the CRC-32 of its name.
#[must_use]
pub fn bottle_key(name: &str) -> u32 {
    CRC.checksum(name.as_bytes())
}

/// How one hand pours one bottle: the figures of [`crate::pour`]'s habit, in its units.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Taught {
    /// The hand, where one was named.
    pub hand: Option<u8>,
    /// The bottle's [`bottle_key`], where it is known.
    pub bottle: Option<u32>,
    /// Drips after a pour, grams.
    pub drips: f32,
    /// Overrun in seconds of flow.
    pub k1: f32,
    /// Its quadratic part, s2/g.
    pub k2: f32,
    /// Variance of `k1`, s2.
    pub p11: f32,
    /// Covariance of both, s3/g.
    pub p12: f32,
    /// Variance of `k2`, s4/g2.
    pub p22: f32,
    /// Flow after an ease, g/s.
    pub eased: f32,
    /// Flow before any ease, g/s.
    pub usual: f32,
    /// Flow after an ease over the flow before it.
    pub share: f32,
    /// Residuals in a row that jumped to one side.
    pub jumps: i8,
    /// Pours that have taught it.
    pub pours: u16,
}

/// [`Taught`].
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
pub struct HabitV1 {
    /// As [`Taught::hand`].
    pub hand: Option<u8>,
    /// As [`Taught::bottle`].
    pub bottle: Option<u32>,
    /// Micrograms.
    pub drips_ug: i32,
    /// Microseconds.
    pub k1_us: i32,
    /// 1e-9 s2/g.
    pub k2_e9: i32,
    /// 1e-9 s2.
    pub p11_e9: i32,
    /// 1e-12 s3/g.
    pub p12_e12: i32,
    /// 1e-14 s4/g2.
    pub p22_e14: i32,
    /// Milligrams a second.
    pub eased_mg_s: i32,
    /// Milligrams a second.
    pub usual_mg_s: i32,
    /// Millionths.
    pub share_ppm: i32,
    /// As [`Taught::jumps`].
    pub jumps: i8,
    /// As [`Taught::pours`].
    pub pours: u16,
}

impl HabitV1 {
    /// What a float of [`Taught`] is multiplied with, in the order of the fields.
    const SCALES: [f64; 9] = [1e6, 1e6, 1e9, 1e9, 1e12, 1e14, 1e3, 1e3, 1e6];

    fn figures(&mut self) -> [&mut i32; 9] {
        [
            &mut self.drips_ug,
            &mut self.k1_us,
            &mut self.k2_e9,
            &mut self.p11_e9,
            &mut self.p12_e12,
            &mut self.p22_e14,
            &mut self.eased_mg_s,
            &mut self.usual_mg_s,
            &mut self.share_ppm,
        ]
    }
}

impl Taught {
    fn figures(&mut self) -> [&mut f32; 9] {
        [
            &mut self.drips,
            &mut self.k1,
            &mut self.k2,
            &mut self.p11,
            &mut self.p12,
            &mut self.p22,
            &mut self.eased,
            &mut self.usual,
            &mut self.share,
        ]
    }
}

impl Fields for HabitV1 {
    fn fields(&mut self, coder: &mut Coder<'_>) {
        coder.option(&mut self.hand, Coder::byte);
        coder.option(&mut self.bottle, Coder::number);
        for figure in self.figures() {
            coder.signed(figure);
        }
        coder.signed_byte(&mut self.jumps);
        coder.short(&mut self.pours);
    }
}

impl From<Taught> for HabitV1 {
    fn from(mut taught: Taught) -> Self {
        let mut habit = Self {
            hand: taught.hand,
            bottle: taught.bottle,
            jumps: taught.jumps,
            pours: taught.pours,
            ..Self::default()
        };
        let pairs = habit.figures().into_iter().zip(taught.figures());
        for ((figure, value), scale) in pairs.zip(Self::SCALES) {
            *figure = fixed(*value, scale);
        }
        habit
    }
}

impl From<HabitV1> for Taught {
    fn from(mut habit: HabitV1) -> Self {
        let mut taught = Self {
            hand: habit.hand,
            bottle: habit.bottle,
            jumps: habit.jumps,
            pours: habit.pours,
            ..Self::default()
        };
        let pairs = taught.figures().into_iter().zip(habit.figures());
        for ((value, figure), scale) in pairs.zip(HabitV1::SCALES) {
            *value = float(*figure, scale);
        }
        taught
    }
}

impl Payload for Taught {
    const KIND: Kind = Kind::Habit;
    const VERSION: u8 = 1;

    fn encode(&self, bytes: &mut [u8]) -> Option<usize> {
        coder::write(HabitV1::from(*self), bytes)
    }

    fn decode(version: u8, bytes: &[u8]) -> Result<Self, ReadError> {
        match version {
            1 => thaw(bytes, |habit: HabitV1| Some(habit.into())),
            later => Err(ReadError::Version(later)),
        }
    }
}

/// What was learned of one bottle.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Bottle {
    /// Its [`bottle_key`].
    pub bottle: u32,
    /// What was learned.
    pub learned: Learned,
}

/// [`Bottle`].
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
pub struct BottleV1 {
    /// The CRC-32 of its name.
    pub bottle: u32,
    /// The measure, microlitres.
    pub volume_ul: u32,
    /// One standard deviation of it, microlitres.
    pub volume_sigma_ul: u32,
    /// How warm it was, hundredths of a degC.
    pub celsius_centi: i16,
    /// What was known: 0 nothing, 1 the strength, 2 the sugar.
    pub known: u8,
    /// Hundredths of a percent by volume, or tenths of a gram per litre.
    pub known_figure: u16,
    /// How many fills.
    pub fills: u8,
    /// g/m3.
    pub density: u32,
    /// One standard deviation of it, g/m3.
    pub density_sigma: u32,
    /// One standard deviation of a single fill, g/m3.
    pub spread: u32,
    /// What follows: 0 nothing, 1 sugar, 2 strength, 3 no liquid, 4 too light, 5 too dense, 6 the
    /// label is out of range.
    pub lesson: u8,
    /// Thousandths of a gram per litre, of a percent by volume, or of a kg/m3.
    pub lesson_figure: i32,
    /// One standard deviation of it.
    pub lesson_sigma: u32,
}

impl Fields for BottleV1 {
    fn fields(&mut self, coder: &mut Coder<'_>) {
        coder.number(&mut self.bottle);
        coder.number(&mut self.volume_ul);
        coder.number(&mut self.volume_sigma_ul);
        coder.signed_short(&mut self.celsius_centi);
        coder.byte(&mut self.known);
        coder.short(&mut self.known_figure);
        coder.byte(&mut self.fills);
        coder.number(&mut self.density);
        coder.number(&mut self.density_sigma);
        coder.number(&mut self.spread);
        coder.byte(&mut self.lesson);
        coder.signed(&mut self.lesson_figure);
        coder.number(&mut self.lesson_sigma);
    }
}

/// Thousandths of any of them.
const THOUSAND: f64 = 1e3;

impl From<&Bottle> for BottleV1 {
    fn from(Bottle { bottle, learned }: &Bottle) -> Self {
        let sample = learned.sample;
        let (known, known_figure) = match sample.known {
            Known::Nothing => (0, 0),
            Known::Strength(figure) => (1, figure),
            Known::Sugar(figure) => (2, figure),
        };
        let bound = |value| Figure { value, sigma: 0.0 };
        let (lesson, figure) = match learned.lesson {
            Lesson::Density => (0, bound(0.0)),
            Lesson::Sugar(figure) => (1, figure),
            Lesson::Strength(figure) => (2, figure),
            Lesson::Refused(Refused::NoLiquid(at)) => (3, bound(at)),
            Lesson::Refused(Refused::TooLight(at)) => (4, bound(at)),
            Lesson::Refused(Refused::TooDense(at)) => (5, bound(at)),
            Lesson::Refused(Refused::Label) => (6, bound(0.0)),
        };
        Self {
            bottle: *bottle,
            volume_ul: sample.volume_ul,
            volume_sigma_ul: sample.sigma_ul,
            celsius_centi: sample.celsius,
            known,
            known_figure,
            fills: learned.fills,
            density: fixed_up(learned.density.value, THOUSAND),
            density_sigma: fixed_up(learned.density.sigma, THOUSAND),
            spread: fixed_up(learned.spread, THOUSAND),
            lesson,
            lesson_figure: fixed(figure.value, THOUSAND),
            lesson_sigma: fixed_up(figure.sigma, THOUSAND),
        }
    }
}

impl BottleV1 {
    fn thaw(self) -> Option<Bottle> {
        let figure = Figure {
            value: float(self.lesson_figure, THOUSAND),
            sigma: float_up(self.lesson_sigma, THOUSAND),
        };
        let lesson = match self.lesson {
            0 => Lesson::Density,
            1 => Lesson::Sugar(figure),
            2 => Lesson::Strength(figure),
            3 => Lesson::Refused(Refused::NoLiquid(figure.value)),
            4 => Lesson::Refused(Refused::TooLight(figure.value)),
            5 => Lesson::Refused(Refused::TooDense(figure.value)),
            6 => Lesson::Refused(Refused::Label),
            _ => return None,
        };
        let known = match self.known {
            0 => Known::Nothing,
            1 => Known::Strength(self.known_figure),
            2 => Known::Sugar(self.known_figure),
            _ => return None,
        };
        Some(Bottle {
            bottle: self.bottle,
            learned: Learned {
                sample: Sample {
                    volume_ul: self.volume_ul,
                    sigma_ul: self.volume_sigma_ul,
                    celsius: self.celsius_centi,
                    known,
                },
                fills: self.fills,
                density: Figure {
                    value: float_up(self.density, THOUSAND),
                    sigma: float_up(self.density_sigma, THOUSAND),
                },
                spread: float_up(self.spread, THOUSAND),
                lesson,
            },
        })
    }
}

impl Payload for Bottle {
    const KIND: Kind = Kind::Bottle;
    const VERSION: u8 = 1;

    fn encode(&self, bytes: &mut [u8]) -> Option<usize> {
        coder::write(BottleV1::from(self), bytes)
    }

    fn decode(version: u8, bytes: &[u8]) -> Result<Self, ReadError> {
        match version {
            1 => thaw(bytes, BottleV1::thaw),
            later => Err(ReadError::Version(later)),
        }
    }
}
