//! What can be wrong with the scale.

use serde::{Deserialize, Serialize};

/// What can be wrong with the weighing.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub enum Fault {
    /// The converter sits at one of its rails.
    Saturated,
    /// More lies on the pan than the cell may carry.
    Overload,
    /// The code has not changed for longer than noise allows.
    Stuck,
    /// No conversion came for longer than the converter may take.
    Silent,
    /// Time ran backwards; the input was dropped.
    Time,
    /// The code has more than 24 bits; dropped.
    Range,
    /// A single code that no mass can cause; dropped.
    Glitch,
    /// The sheet cannot be read at this step.
    Sheet,
    /// After an overload the empty pan is off its zero.
    Zero,
    /// The memory held something else, or takes nothing any more: settings and records may be
    /// missing.
    Memory,
}
