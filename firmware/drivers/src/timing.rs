//! The board's clock as drivers see it.

/// A clock that drivers measure themselves against, and a way not to be interrupted.
pub trait Timing {
    /// Microseconds; wraps.
    fn micros(&self) -> u32;

    /// Does `work` with no interrupt in between. It has to be short: what is interrupt-fed waits.
    fn uninterrupted<R>(&self, work: impl FnOnce() -> R) -> R;
}
