//! The words of the panel: the trade's own or plain English.

use crate::output::{Fault, Verdict};
use crate::spec::{Unit, Vessel};
use crate::view::Work;

/// A unit behind a number.
pub(super) const fn unit(unit: Unit) -> &'static str {
    match unit {
        Unit::Ml => "ml",
        Unit::Cl => "cl",
        Unit::Oz => "oz",
        Unit::Gram => "g",
        Unit::Dash => "dash",
        Unit::Barspoon => "bsp",
        Unit::Drop => "drop",
        Unit::Piece => "pc",
        Unit::Rinse => "rinse",
    }
}

/// What is counted, one or several of it.
pub(super) const fn counted(unit: Unit, of: u8) -> &'static str {
    match (unit, of) {
        (Unit::Dash, 1) => "dash",
        (Unit::Dash, _) => "dashes",
        (Unit::Barspoon, 1) => "barspoon",
        (Unit::Barspoon, _) => "barspoons",
        (Unit::Drop, 1) => "drop",
        (Unit::Drop, _) => "drops",
        (Unit::Piece, 1) => "piece",
        (Unit::Piece, _) => "pieces",
        (Unit::Ml | Unit::Cl | Unit::Oz | Unit::Gram | Unit::Rinse, _) => self::unit(unit),
    }
}

/// A vessel, at most 12 characters.
pub(super) const fn vessel(vessel: Vessel) -> &'static str {
    match vessel {
        Vessel::MixingGlass => "mixing glass",
        Vessel::Tin => "tin",
        Vessel::Rocks => "rocks glass",
        Vessel::Highball => "highball",
        Vessel::Coupe => "coupe",
    }
}

/// A vessel in one word.
pub(super) const fn vessel_in_short(vessel: Vessel) -> &'static str {
    match vessel {
        Vessel::MixingGlass => "mixing",
        Vessel::Rocks => "rocks",
        Vessel::Tin | Vessel::Highball | Vessel::Coupe => self::vessel(vessel),
    }
}

/// Work away from the scale.
pub(super) const fn work(work: Work) -> &'static str {
    match work {
        Work::Stir => "stir",
        Work::Shake => "shake",
    }
}

/// How a pour was judged.
pub(super) const fn verdict(verdict: Verdict) -> &'static str {
    match verdict {
        Verdict::Good => "good",
        Verdict::Short => "short",
        Verdict::Over => "over",
    }
}

/// A command is not carried out: as long as the words of [`fault`].
pub(super) const REFUSED: (&str, [&str; 2]) = ("Not just now", ["finish this step", "first"]);

/// What is wrong, at most 12 characters, and two lines on what to do, at most 16 each.
pub(super) const fn fault(fault: Fault) -> (&'static str, [&'static str; 2]) {
    match fault {
        Fault::Saturated => ("Cannot weigh", ["clear the pan,", "check the cable"]),
        Fault::Overload => ("Too heavy", ["take some off", ""]),
        Fault::Stuck => ("Weight stuck", ["switch off,", "then on again"]),
        Fault::Silent => ("No weight", ["check the cable,", "turn off and on"]),
        Fault::Time => ("Clock jumped", ["check what you", "poured last"]),
        Fault::Range | Fault::Glitch => ("Odd weight", ["left out,", "carry on"]),
        Fault::Sheet => ("Bad sheet", ["load the sheet", "again"]),
        Fault::Zero => ("Zero is off", ["clear the pan,", "zero it"]),
        Fault::Memory => ("Memory", ["check sheet", "and settings"]),
    }
}
