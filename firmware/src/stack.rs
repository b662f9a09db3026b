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
    let lowest = (&raw const _stack_end).addr();
    let top = (&raw const _stack_start).addr();
    let paint = (lowest..top).step_by(4).take_while(|&address| {
        let word = core::ptr::with_exposed_provenance::<u32>(address);
        // SAFETY: the linker script gives the stack the words from `_stack_end` to
        // `_stack_start`; they are always mapped and any bits are a `u32`.
        let word = unsafe { word.read_volatile() };
        word == STACK_PAINT_VALUE
    });
    let unused = paint.count().wrapping_mul(4);
    top.wrapping_sub(lowest).wrapping_sub(unused) as u32
}
