//! The log: defmt frames on a port of their own.

#![expect(unsafe_code, reason = "the logger trait demands it")]

use core::cell::UnsafeCell;

use cortex_m::register::primask;

use crate::board::put_log;

#[defmt::global_logger]
struct Log;

struct Writer {
    encoder: UnsafeCell<defmt::Encoder>,
    interrupts_were_on: UnsafeCell<bool>,
}

// SAFETY: it is touched only between `acquire` and `release`, with interrupts off, on the one
// core there is.
unsafe impl Sync for Writer {}

static WRITER: Writer = Writer {
    encoder: UnsafeCell::new(defmt::Encoder::new()),
    interrupts_were_on: UnsafeCell::new(false),
};

// SAFETY: between `acquire` and `release` interrupts are off, so nothing else runs; defmt does
// not log while it logs.
unsafe impl defmt::Logger for Log {
    fn acquire() {
        let were_on = primask::read().is_active();
        cortex_m::interrupt::disable();
        // SAFETY: interrupts are off: nobody else holds either cell.
        unsafe {
            *WRITER.interrupts_were_on.get() = were_on;
            (*WRITER.encoder.get()).start_frame(put);
        }
    }

    unsafe fn flush() {}

    unsafe fn release() {
        // SAFETY: interrupts have been off since `acquire`; they come back on only if they were,
        // and only after the last use of the cells.
        unsafe {
            (*WRITER.encoder.get()).end_frame(put);
            if *WRITER.interrupts_were_on.get() {
                cortex_m::interrupt::enable();
            }
        }
    }

    unsafe fn write(bytes: &[u8]) {
        // SAFETY: interrupts have been off since `acquire`.
        unsafe { (*WRITER.encoder.get()).write(bytes, put) }
    }
}

fn put(bytes: &[u8]) {
    for &byte in bytes {
        put_log(byte);
    }
}
