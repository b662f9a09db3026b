//! What the journal keeps, in the form in which it is frozen.
//!
//! Each `...V1` is a list of integers in postcard's format; what a field means, its unit and its
//! codes never change. `From` and a checked way back lead to the types of the core.

mod bottle;
mod learned;
mod lost;
mod records;
mod round;
mod settings;
mod shift;
mod stamp;

pub use bottle::{Bottle, BottleV1};
pub use learned::{HabitV1, bottle_key};
pub use lost::{Back, BackV2, Loss, LossV1};
pub use records::{Drink, DrinkV1, DrinkV2, FaultV1, Pour, PourV1, PourV2, Seen};
pub use round::{
    BroughtV1, BroughtV2, NumberV2, OpenDrinkV1, OpenV1, OpenV2, OrderV1, OrderV2, WaitingV1,
    WaitingV2,
};
pub use settings::{CalibrationV1, HouseV1, Start, StartV1};
pub use shift::{MODES, ShiftV1};
pub use stamp::{Moment, MomentV1, Stamp, StampV1};

use super::coder::{self, Fields};
use super::{Kind, ReadError};

/// Something the journal keeps.
pub trait Payload: Sized {
    /// What it is.
    const KIND: Kind;
    /// The version that is written.
    const VERSION: u8;

    /// Writes it; how many bytes it took, `None` when `bytes` is too short.
    fn encode(&self, bytes: &mut [u8]) -> Option<usize>;

    /// Reads any version there has ever been.
    ///
    /// # Errors
    /// [`ReadError`].
    fn decode(version: u8, bytes: &[u8]) -> Result<Self, ReadError>;
}

/// Any record.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Record {
    /// A pour was closed.
    Pour(Pour),
    /// A drink was finished.
    Drink(Drink),
    /// Something was wrong.
    Fault(Seen),
    /// A vessel came back lighter.
    Loss(Loss),
    /// A bottle was learned, or refused.
    Bottle(Bottle),
}

impl Record {
    pub(super) fn decode(kind: Kind, version: u8, bytes: &[u8]) -> Result<Self, ReadError> {
        match kind {
            Kind::Pour => Pour::decode(version, bytes).map(Self::Pour),
            Kind::Drink => Drink::decode(version, bytes).map(Self::Drink),
            Kind::Fault => Seen::decode(version, bytes).map(Self::Fault),
            Kind::Loss => Loss::decode(version, bytes).map(Self::Loss),
            Kind::Bottle => Bottle::decode(version, bytes).map(Self::Bottle),
            Kind::Calibration
            | Kind::House
            | Kind::Start
            | Kind::Shift
            | Kind::Waiting
            | Kind::Open
            | Kind::Habit => Err(ReadError::Value),
        }
    }
}

/// Reads the frozen form of the version wanted.
#[inline(never)]
pub(super) fn thaw(
    (version, wanted): (u8, u8),
    bytes: &[u8],
    form: &mut dyn Fields,
) -> Result<(), ReadError> {
    if version != wanted {
        Err(ReadError::Version(version))
    } else if coder::read(bytes, form) {
        Ok(())
    } else {
        Err(ReadError::Value)
    }
}

/// So many of the unit that `scale` of make one: rounded, kept within 32 bits, 0 for a NaN.
#[inline(never)]
fn fixed(value: f32, scale: f32) -> i32 {
    // The cast cuts off, keeps within bounds and makes 0 of a NaN.
    (f64::from(value) * f64::from(scale) + f64::from(0.5f32.copysign(value))) as i32
}

/// The same for what is never negative.
#[inline(never)]
fn fixed_up(value: f32, scale: f32) -> u32 {
    fixed(value, scale).max(0).unsigned_abs()
}

/// The same in 16 bits.
#[inline(never)]
fn fixed_short(value: f32, scale: f32) -> u16 {
    fixed_up(value, scale).min(u32::from(u16::MAX)) as u16
}

/// And back.
#[inline(never)]
fn float(value: i32, scale: f32) -> f32 {
    (f64::from(value) / f64::from(scale)) as f32
}

/// And back.
#[inline(never)]
fn float_up(value: u32, scale: f32) -> f32 {
    float(value.min(i32::MAX.unsigned_abs()).cast_signed(), scale)
}

/// Milligrams of a gram, microlitres of a millilitre.
const MILLI: f32 = 1e3;

/// Hundredths of a percent, of a gram per litre.
const CENTI: f32 = 1e2;
