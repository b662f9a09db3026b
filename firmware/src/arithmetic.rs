//! Conversions and comparisons of 64-bit floats, which this core has no instructions for: the
//! compiler asks for them by these names (Run-time ABI for the Arm Architecture, IHI 0043, 4.1.2),
//! and [`double`] does the work.

#![expect(unsafe_code, reason = "names that the compiler knows")]

use pennyweight_core::double;

#[unsafe(no_mangle)]
extern "aapcs" fn __aeabi_dcmpeq(a: u64, b: u64) -> bool {
    double::order(a, b) == 0
}

#[unsafe(no_mangle)]
extern "aapcs" fn __aeabi_dcmplt(a: u64, b: u64) -> bool {
    double::order(a, b) < 0
}

#[unsafe(no_mangle)]
extern "aapcs" fn __aeabi_dcmple(a: u64, b: u64) -> bool {
    double::order(a, b) <= 0
}

#[unsafe(no_mangle)]
extern "aapcs" fn __aeabi_dcmpge(a: u64, b: u64) -> bool {
    matches!(double::order(a, b), 0 | 1)
}

#[unsafe(no_mangle)]
extern "aapcs" fn __aeabi_dcmpgt(a: u64, b: u64) -> bool {
    double::order(a, b) == 1
}

#[unsafe(no_mangle)]
extern "aapcs" fn __aeabi_dcmpun(a: u64, b: u64) -> bool {
    double::order(a, b) == 2
}

#[unsafe(no_mangle)]
extern "aapcs" fn __aeabi_d2f(bits: u64) -> u32 {
    double::to_single(bits)
}

#[unsafe(no_mangle)]
extern "aapcs" fn __aeabi_f2d(bits: u32) -> u64 {
    double::of_single(bits)
}

#[unsafe(no_mangle)]
extern "aapcs" fn __aeabi_i2d(whole: i32) -> u64 {
    double::of_signed(whole)
}

#[unsafe(no_mangle)]
extern "aapcs" fn __aeabi_ui2d(whole: u32) -> u64 {
    double::of_whole(whole)
}
