//! The panel, in stretches: a page is drawn, then what differs of it is sent strip by strip, each
//! where there is time for it.

use pennyweight_core::link::{STRIP_BYTES, STRIPS};
use pennyweight_core::panel::{self, Frame};
use pennyweight_core::{Instant, View};

use crate::board::{Board, Happening};
use crate::pass::later;
use crate::spare::Rhythm;

/// Bytes of a picture.
pub(crate) const PICTURE: usize = STRIP_BYTES * STRIPS as usize;

/// A page is drawn no more often than this, microseconds: nobody reads faster.
const REPAINT_US: u64 = 50_000;
/// A panel that does not answer is tried again after so long, microseconds.
const RETRY_US: u64 = 1_000_000;
/// One strip is sent again so often, microseconds: a panel that was unplugged is noticed, and what
/// a spark has changed is made good.
const REFRESH_US: u64 = 1_000_000;

/// What is drawn, and what of it the panel shows.
pub(crate) struct Screen {
    /// As far as it is known.
    shown: [u8; PICTURE],
    known: [bool; STRIPS as usize],
    drawn: bool,
    repaint_at: Instant,
    gone: bool,
    retry_at: Instant,
    refresh: usize,
    refresh_at: Instant,
}

impl Screen {
    pub(crate) const fn new() -> Self {
        Self {
            shown: [0; PICTURE],
            known: [false; STRIPS as usize],
            drawn: false,
            repaint_at: Instant::ZERO,
            gone: false,
            retry_at: Instant::ZERO,
            refresh: 0,
            refresh_at: Instant::ZERO,
        }
    }

    /// The view has changed, or not: then its page is to be drawn.
    pub(crate) const fn spoil(&mut self, changed: bool) {
        self.drawn &= !changed;
    }

    /// One stretch, where there is time for it and something to show; how long a page took to be
    /// drawn, where one was.
    #[inline(never)]
    pub(crate) fn show<B: Board>(
        &mut self,
        view: &View<'_>,
        deadline: Option<Instant>,
        rhythm: &Rhythm,
        picture: &mut Frame,
        board: &mut B,
    ) -> Option<u32> {
        let now = board.now();
        if self.gone && now < self.retry_at {
            return None;
        }
        if now >= self.refresh_at {
            self.refresh_at = later(now, REFRESH_US);
            self.refresh = self.refresh.wrapping_add(1) % self.known.len();
            if let Some(known) = self.known.get_mut(self.refresh) {
                *known = false;
            }
        }
        if let Some((index, columns)) = self.stale(picture) {
            if rhythm.has_time(now, B::STRIP_US, deadline) {
                let is_shown = board.show(index, &columns);
                self.note(now, index, &columns, is_shown, board);
            }
        } else if !self.drawn
            && now >= self.repaint_at
            && rhythm.has_time(now, B::PAINT_US, deadline)
        {
            let begun = board.ticks();
            panel::draw(view, picture);
            self.drawn = true;
            self.repaint_at = later(now, REPAINT_US);
            return Some(board.ticks().wrapping_sub(begun));
        }
        None
    }

    /// The next strip that the panel does not show yet.
    fn stale(&self, picture: &Frame) -> Option<(u8, [u8; STRIP_BYTES])> {
        let (wanted, _) = picture.bytes().as_chunks::<STRIP_BYTES>();
        let (shown, _) = self.shown.as_chunks::<STRIP_BYTES>();
        let strips = wanted.iter().zip(shown).zip(&self.known).zip(0..STRIPS);
        for (((wanted, shown), known), index) in strips {
            if !known || wanted != shown {
                return Some((index, *wanted));
            }
        }
        None
    }

    fn note<B: Board>(
        &mut self,
        now: Instant,
        index: u8,
        columns: &[u8; STRIP_BYTES],
        is_shown: bool,
        board: &mut B,
    ) {
        if is_shown {
            let (shown, _) = self.shown.as_chunks_mut::<STRIP_BYTES>();
            let mut strips = shown.iter_mut().zip(&mut self.known);
            if let Some((shown, known)) = strips.nth(usize::from(index)) {
                *shown = *columns;
                *known = true;
            }
        } else {
            // Whatever it shows when it answers again.
            self.known = [false; STRIPS as usize];
            self.retry_at = later(now, RETRY_US);
        }
        if is_shown == self.gone {
            self.gone = !is_shown;
            board.note(if is_shown {
                Happening::PanelBack
            } else {
                Happening::PanelGone
            });
        }
    }

    /// When it goes on, where it has something to do; in the past, as soon as there is time.
    pub(crate) fn due(&self, picture: &Frame) -> Option<Instant> {
        if self.gone {
            Some(self.retry_at)
        } else if self.stale(picture).is_some() {
            // What does not fit now fits after the next conversion, which ends the rest.
            Some(Instant::ZERO)
        } else {
            (!self.drawn).then_some(self.repaint_at)
        }
    }
}
