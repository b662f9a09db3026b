//! One moment of the station.

use crate::output::Outputs;
use crate::pour::Crew;
use crate::time::Instant;

/// What everything that happens to a drink needs: when it happens, what is known of the hands, and
/// where to tell it. Handed on as one, because nearly every function hands all of it on.
#[derive(Debug)]
pub struct Turn<'a> {
    /// The time.
    pub now: Instant,
    /// What is known of the hands, and the way of working.
    pub crew: &'a mut Crew,
    /// What is told.
    pub out: &'a mut Outputs,
}
