//! Records: what happened, one after the other.

use serde::{Deserialize, Serialize};

use super::{Payload, decode};
use crate::journal::{Kind, ReadError};
use crate::output::{Dilution, DrinkRecord, Fault, Learned, Lesson, PourRecord, Refused, Settled};
use crate::spec::DrinkId;

/// When and under which sheet something was recorded.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub struct Stamp {
    /// The power-up it happened in, see [`super::PowerUps`].
    pub start: u16,
    /// When.
    pub at: Moment,
    /// The low half of the sheet's CRC-32: numbers of liquids and drinks are that sheet's.
    pub sheet: u16,
}

/// When something happened. UTC and time since power-up are never mixed.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub enum Moment {
    /// The clock was not set: tenths of a second since power-up.
    SincePowerUp(u32),
    /// Seconds since 1970-01-01 00:00 UTC, without leap seconds.
    Utc(u32),
}

/// One closed pour.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct Pour {
    /// When.
    pub stamp: Stamp,
    /// The number of its drink, see [`crate::round::Round::begun`].
    pub order: u16,
    /// The drink of the sheet; none beside a round.
    pub drink: Option<DrinkId>,
    /// What was poured.
    pub record: PourRecord,
}

/// One finished drink.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct Drink {
    /// When.
    pub stamp: Stamp,
    /// Its number. A later record of the same number replaces an earlier one.
    pub order: u16,
    /// What the glass contains.
    pub record: DrinkRecord,
    /// What was found once its vessel was set back, where it was.
    pub back: Option<Back>,
}

/// What was found once a vessel was set back.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct Back {
    /// What left the vessel and did not reach the glass; negative where the vessel gained.
    pub lost: Settled,
    /// The water that such work usually melts, where that is known.
    pub expected: Option<Dilution>,
}

/// The vessel of a drink was lighter when it came back.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
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

/// A bottle was learned, or it was refused and why.
///
/// The station does not know which bottle it was; the time of the record identifies it. Each fill
/// is a record with all fills of its bottle so far: the last one counts.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct Bottle {
    /// When.
    pub stamp: Stamp,
    /// What the fills show.
    pub learned: Learned,
}

/// Something was wrong.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub struct FaultSeen {
    /// When.
    pub stamp: Stamp,
    /// What.
    pub fault: Fault,
}

/// Any record.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Record {
    /// A pour was closed.
    Pour(Pour),
    /// A drink was finished.
    Drink(Drink),
    /// Something was wrong.
    Fault(FaultSeen),
    /// A vessel came back lighter.
    Loss(Loss),
    /// A bottle was learned, or refused.
    Bottle(Bottle),
}

impl Record {
    pub(in crate::journal) fn decode(
        kind: Kind,
        version: u8,
        bytes: &[u8],
    ) -> Result<Self, ReadError> {
        match kind {
            Kind::Pour => decode(version, bytes).map(Self::Pour),
            Kind::Drink => decode(version, bytes).map(Self::Drink),
            Kind::Fault => decode(version, bytes).map(Self::Fault),
            Kind::Loss => decode(version, bytes).map(Self::Loss),
            Kind::Bottle => decode(version, bytes).map(Self::Bottle),
            Kind::Calibration
            | Kind::House
            | Kind::Start
            | Kind::Shift
            | Kind::Round
            | Kind::UnderWay
            | Kind::Habit => Err(ReadError::Value),
        }
    }
}

impl Payload for Pour {
    const KIND: Kind = Kind::Pour;

    fn is_valid(&self) -> bool {
        let PourRecord {
            target_volume,
            target,
            ..
        } = self.record;
        is_finite([target_volume.0, target.0]) && is_sound(self.record.poured)
    }
}

impl Payload for Drink {
    const KIND: Kind = Kind::Drink;

    fn is_valid(&self) -> bool {
        let DrinkRecord {
            drink: _,
            volume,
            volume_sigma,
            abv_percent,
            abv_sigma_percent,
            sugar_g_per_l,
            ethanol,
            ethanol_sigma,
            dilution,
        } = self.record;
        let expected = self.back.and_then(|back| back.expected);
        let waters = dilution.into_iter().chain(expected);
        is_finite([
            volume.0,
            volume_sigma.0,
            abv_percent,
            abv_sigma_percent,
            sugar_g_per_l,
            ethanol.0,
            ethanol_sigma.0,
        ]) && waters
            .into_iter()
            .all(|water| is_finite([water.percent, water.sigma_percent]))
            && self.back.is_none_or(|back| is_sound(back.lost))
    }
}

impl Payload for Loss {
    const KIND: Kind = Kind::Loss;

    fn is_valid(&self) -> bool {
        is_sound(self.lost)
    }
}

impl Payload for Bottle {
    const KIND: Kind = Kind::Bottle;

    fn is_valid(&self) -> bool {
        let Learned {
            density,
            spread,
            lesson,
            ..
        } = self.learned;
        let follows = match lesson {
            Lesson::Density | Lesson::Refused(Refused::Label) => [0.0; 2],
            Lesson::Sugar(figure) | Lesson::Strength(figure) => [figure.value, figure.sigma],
            Lesson::Refused(
                Refused::NoLiquid(bound) | Refused::TooLight(bound) | Refused::TooDense(bound),
            ) => [bound, 0.0],
        };
        is_finite([density.value, density.sigma, spread]) && is_finite(follows)
    }
}

impl Payload for FaultSeen {
    const KIND: Kind = Kind::Fault;

    fn is_valid(&self) -> bool {
        true
    }
}

fn is_finite<const N: usize>(figures: [f32; N]) -> bool {
    figures.into_iter().all(f32::is_finite)
}

fn is_sound(settled: Settled) -> bool {
    is_finite([settled.mass.0, settled.sigma.0])
}
