//! Guiding one pour: when to ease, when to stop, what the hand teaches, how it is judged.
//!
//! Words: *target*, what the scale is to show; *overrun*, what still lands after the stop cue:
//! the hand's reaction, the bottle tilting back, drips and a syrup's thread; *ease*, the cue to
//! pour slower, so that the overrun and its spread shrink; *stop*, the cue to tilt back; *ramp*,
//! the bar and tone that run up to the moment the hand is to move; *landed*, the early settled
//! value; *amended*, a later one; *second go*, what is added after a short pour.
//!
//! The strategy follows the predicted seconds left, not the volume:
//!
//! - A pour long enough is eased [`EASE_LEAD_S`] before its stop, or earlier where the flow is so
//!   fast that a hand late by [`EASE_LATE_S`] would have poured too much: what is left of the
//!   hand's chance is seconds times flow, so the flow goes down first.
//! - A short pour is eased as soon as it is seen, where at least [`EASE_LEAST_S`] are left.
//! - Where the ease would come too late even then, by the flow of this bottle and hand as it was
//!   learned (or [`USUAL_START_G_PER_S`] where it was not), the panel and the light say "ease"
//!   before the pour begins, and the sounder repeats it when liquid lands: 15 ml at 22 ml/s last
//!   0.7 s, of which the first third passes before liquid is seen and the next before a hand has
//!   moved. A hand known not to ease is spared that, and only stopped; once in a while it is asked
//!   again.
//! - A second go begins the same way: what is missing is little.
//! - A float or a drizzle, slower than [`EASE_FLOW_G_PER_S`], is only stopped: easing would stop it
//!   altogether, and its overrun is small already.
//! - Dashes, barspoons and whole things are counted and get no cues: the spoon or the jerk is the
//!   measure. A barspoon poured off the bottle counts by what it weighs.
//! - What is tipped in at once, a jigger say, is over before a hand could move: it is judged, and
//!   teaches nothing.
//!
//! [`EASE_LEAD_S`]: crate::limits::EASE_LEAD_S
//! [`EASE_LATE_S`]: crate::limits::EASE_LATE_S
//! [`EASE_LEAST_S`]: crate::limits::EASE_LEAST_S
//! [`USUAL_START_G_PER_S`]: crate::limits::USUAL_START_G_PER_S
//! [`EASE_FLOW_G_PER_S`]: crate::limits::EASE_FLOW_G_PER_S

mod control;
mod goes;
mod judge;
mod overrun;

pub use control::{Call, Control, EaseCue, Stopped};
pub use goes::{Crew, Pour};
pub use judge::{Band, Judge};
pub use overrun::{Habit, Habits, Owner};
