//! The queue between the converter's interrupt and the loop.

use core::sync::atomic::{AtomicU32, Ordering};

use heapless::spsc;
use pennyweight_core::Instant;
use pennyweight_core::units::AdcCode;

/// Conversions that can wait: 0.8 s at 80 a second, as long as erasing flash takes twice over.
pub const QUEUED: usize = 63;

/// One conversion, with the time at which it was ready.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Conversion {
    /// When.
    pub at: Instant,
    /// Signed 24-bit.
    pub code: AdcCode,
}

/// The storage of a queue. One place of it stays empty, so it is a power of two.
pub type Queue = spsc::Queue<Conversion, { QUEUED + 1 }>;

/// The interrupt's end.
pub struct Intake<'q> {
    queue: spsc::Producer<'q, Conversion>,
    lost: &'q AtomicU32,
}

/// The loop's end.
pub struct Waiting<'q> {
    queue: spsc::Consumer<'q, Conversion>,
    lost: &'q AtomicU32,
}

/// Both ends of a queue; what finds it full is counted in `lost`.
pub fn split<'q>(queue: &'q mut Queue, lost: &'q AtomicU32) -> (Intake<'q>, Waiting<'q>) {
    let (producer, consumer) = queue.split();
    let intake = Intake {
        queue: producer,
        lost,
    };
    let waiting = Waiting {
        queue: consumer,
        lost,
    };
    (intake, waiting)
}

impl Intake<'_> {
    /// Queues a conversion; where the queue is full it is dropped and counted. The oldest are kept:
    /// what comes after a gap is told apart by its time.
    pub fn put(&mut self, conversion: Conversion) {
        if self.queue.enqueue(conversion).is_err() {
            // One interrupt writes, so that nothing is counted twice.
            let lost = self.lost.load(Ordering::Relaxed);
            self.lost.store(lost.wrapping_add(1), Ordering::Relaxed);
        }
    }
}

impl Waiting<'_> {
    /// Takes the oldest.
    pub fn take(&mut self) -> Option<Conversion> {
        self.queue.dequeue()
    }

    /// Whether none waits.
    #[must_use]
    pub fn is_empty(&self) -> bool {
        !self.queue.ready()
    }

    /// Conversions dropped since power-up; wraps.
    #[must_use]
    pub fn lost(&self) -> u32 {
        self.lost.load(Ordering::Relaxed)
    }
}
