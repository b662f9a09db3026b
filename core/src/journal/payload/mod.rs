//! What the journal stores, each type described once: serde derives its form, postcard writes it.
//!
//! A type whose form changes gets the next [`Payload::VERSION`], and [`Payload::from_earlier`]
//! reads the forms before it.

mod records;
mod states;

pub use records::{Back, Bottle, Drink, FaultSeen, Loss, Moment, Pour, Record, Stamp};
pub use states::{BottleHabit, Order, PowerUps, RoundState, UnderWayState, bottle_key};

use serde::Serialize;
use serde::de::DeserializeOwned;

use super::{Kind, ReadError};
use crate::codec;

/// A value that the journal stores.
pub trait Payload: Serialize + DeserializeOwned {
    /// What it is.
    const KIND: Kind;
    /// The version of its form.
    const VERSION: u8 = 1;

    /// Its figures can be. A value that is read and fails this is not used.
    fn is_valid(&self) -> bool;

    /// Reads a form of an earlier version.
    ///
    /// # Errors
    /// [`ReadError::Version`] for a form that this firmware does not know.
    fn from_earlier(version: u8, bytes: &[u8]) -> Result<Self, ReadError> {
        let _ = bytes;
        Err(ReadError::Version(version))
    }
}

/// Reads a payload of any version that `P` knows.
pub(super) fn decode<P: Payload>(version: u8, bytes: &[u8]) -> Result<P, ReadError> {
    let value = if version == P::VERSION {
        codec::read(bytes).ok_or(ReadError::Value)?
    } else {
        P::from_earlier(version, bytes)?
    };
    if P::is_valid(&value) {
        Ok(value)
    } else {
        Err(ReadError::Value)
    }
}
