//! Guiding one pour: when to ease, when to stop, what the hand teaches, how it is judged.
//!
//! Words: *target*, what the scale is to show; *overrun*, what still lands after the stop cue:
//! the hand's reaction, the bottle tilting back, drips and a syrup's thread; *ease*, the cue to
//! pour slower, so that the overrun and its spread shrink; *stop*, the cue to tilt back; *ramp*,
//! the bar and tone that run up to the moment the hand is to move; *landed*, the early settled
//! value; *amended*, a later one; *second go*, what is added after a short pour.
//!
//! The strategy follows the predicted seconds left, not the volume. A pour long enough is eased
//! [`crate::limits::EASE_LEAD_S`] before its stop. A pour too short for that is eased at once
//! where [`crate::limits::EASE_LEAST_S`] is left, else only stopped. A flow already slow is only
//! stopped. Dashes, barspoons and things tipped in get no cues: they are over before a hand could
//! follow one.

mod control;
mod goes;
mod judge;
mod overrun;

pub use control::{Call, Control, Stopped};
pub use goes::{Crew, Pour};
pub use judge::{Band, Judge};
pub use overrun::{Habit, Habits, Owner};
