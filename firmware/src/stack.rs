//! How much stack was ever used: memory is painted at reset, what lost its paint was used.

#![expect(unsafe_code, reason = "the painted stack is read as memory")]

use cortex_m_rt::STACK_PAINT_VALUE;

unsafe extern "C" {
    static _stack_start: u32;
    static _stack_end: u32;
}

/// The most stack that was ever in use, bytes.
#[must_use]
pub fn peak() -> u32 {
    let top = (&raw const _stack_start).addr();
    let mut lowest = (&raw const _stack_end).addr();
    while lowest < top {
        let word = core::ptr::with_exposed_provenance::<u32>(lowest);
        // SAFETY: the linker script gives the stack the words from `_stack_end` to
        // `_stack_start`; they are always mapped and any bits are a `u32`.
        if unsafe { word.read_volatile() } != STACK_PAINT_VALUE {
            break;
        }
        lowest = lowest.wrapping_add(4);
    }
    top.wrapping_sub(lowest) as u32
}
