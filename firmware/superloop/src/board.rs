//! What the loop needs of a board.

use embedded_storage::nor_flash::NorFlash;
use pennyweight_core::Instant;
use pennyweight_core::keep::Keeper;
use pennyweight_core::link::{RequestError, STRIP_BYTES};
use pennyweight_core::output::Fault;
use pennyweight_core::view::Light;

use crate::queue::Conversion;

/// A board, with the parts that hang on it.
///
/// Nothing here may wait for longer than it says: what hangs is bounded by the board, and told.
pub trait Board {
    /// Where the journal and the sheets lie.
    type Flash: NorFlash;

    /// How long a page takes to be drawn at worst, microseconds.
    const PAINT_US: u32;

    /// How long [`Board::show`] takes at worst, microseconds.
    const STRIP_US: u32;

    /// Ticks of [`Board::ticks`] in a second.
    const TICKS_PER_SECOND: u32;

    /// A counter that runs up and wraps, for measuring what work takes.
    fn ticks(&self) -> u32;

    /// The most stack that was ever in use, bytes.
    fn stack_peak(&self) -> u32;

    /// Time since power-up. It must have been read before anything that is queued later is
    /// stamped: interrupts stamp by the same clock.
    fn now(&self) -> Instant;

    /// The oldest conversion that waits.
    fn conversion(&mut self) -> Option<Conversion>;

    /// Conversions dropped since power-up because the queue was full; wraps.
    fn lost(&self) -> u32;

    /// Has a converter that fell silent begin anew.
    fn restart_converter(&mut self);

    /// The oldest byte of the link that waits.
    fn receive(&mut self) -> Option<u8>;

    /// Sends bytes over the link, as far as they can be sent.
    fn send(&mut self, bytes: &[u8]);

    /// Shows strip `index` of the picture, the top one first; false where no panel answers.
    fn show(&mut self, index: u8, columns: &[u8; STRIP_BYTES]) -> bool;

    /// Sounds at this many hertz from now on, or falls silent.
    fn sound(&mut self, hertz: Option<u16>);

    /// Lights the light from now on.
    fn light(&mut self, light: Light);

    /// Has the panel glow less, or as usual.
    fn dim(&mut self, dim: bool);

    /// The store in its flash, once; `None` where no flash answers or it is not fit for a store.
    fn keeper(&mut self) -> Option<Keeper<'static, Self::Flash>>;

    /// Restarts the board; what it sends goes out before. A board does not return.
    fn restart(&mut self);

    /// Puts the watchdog off: without it the board is reset after about two seconds.
    fn feed(&mut self);

    /// Writes a line of the log.
    fn note(&mut self, happening: Happening);

    /// Rests until a conversion or a byte waits, or this instant has come; at once if one does or
    /// it has.
    fn rest(&mut self, until: Instant);
}

/// What is worth a line in the log.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub enum Happening {
    /// The loop begins; whether it has a store.
    Began {
        /// It has: what outlived the last power cut is restored.
        stored: bool,
    },
    /// The station reports a fault.
    Fault(Fault),
    /// What was wrong is well again.
    Cleared,
    /// So many conversions were dropped since the last pass.
    Lost(u32),
    /// No conversion has come since power-up, or for too long: the converter begins anew.
    ConverterRestarted,
    /// No panel answers; it is tried again later.
    PanelGone,
    /// The panel answers again.
    PanelBack,
    /// A request over the link was not carried out.
    Refused(RequestError),
    /// The station began anew.
    Reset,
    /// The board restarts, to work from another sheet.
    Restarts,
    /// What the last conversion was, for whoever calibrates; once a second.
    Code(i32),
}
