//! The scale's own report: what it does, beside limits that are written down.
//!
//! Zero return, repeatability, linearity up and down, eccentricity, creep and warming up, each
//! compared with OIML R 76-1:2006, class III, at a stated Max and e. Codes are read unrounded, so
//! an error is the error before rounding (R 76-1 A.4.4.3). It is no verification and no approval
//! for trade, and always says so: see [`CAUTION`].
//!
//! - [`class_iii`]: Max, e, n, Min and the limits;
//! - [`steps`]: what is put on, in which order;
//! - [`guided`]: asks for it and reads it;
//! - [`findings`]: what came out.

pub mod class_iii;
pub mod findings;
pub mod guided;
pub mod steps;

/// Stands below every report.
pub const CAUTION: &str = "This is no verification and no approval for trade.";
