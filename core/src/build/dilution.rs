//! The station's words for stirring and shaking, in those of [`crate::liquid::dilution`].

use crate::limits::{HOLD_UP_SHAKEN_G, HOLD_UP_STIRRED_G};
use crate::liquid::dilution::{Chilling, Weighed};
use crate::view::Work;

const STIRRED: Weighed = Weighed::between(HOLD_UP_STIRRED_G.0, HOLD_UP_STIRRED_G.1);
const SHAKEN: Weighed = Weighed::between(HOLD_UP_SHAKEN_G.0, HOLD_UP_SHAKEN_G.1);

/// How a drink was chilled.
pub(super) const fn chilling(work: Work) -> Chilling {
    match work {
        Work::Stir => Chilling::Stirred,
        Work::Shake => Chilling::Shaken,
    }
}

/// What stays behind on ice and vessel.
pub(super) const fn hold_up(work: Work) -> Weighed {
    match work {
        Work::Stir => STIRRED,
        Work::Shake => SHAKEN,
    }
}
