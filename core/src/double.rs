//! Conversions and comparisons of 64-bit floats in integers, for a processor that has none.
//!
//! IEEE 754-2019 binary64, rounded to nearest, ties to even; every NaN is the same quiet one. The
//! compiler brings routines of its own, 0.6 KB larger; what it brings for adding, multiplying and
//! dividing is kept: short ones take twice the time, and a step is loaded within a budget. Floats
//! are given as their bits. A check holds each against the processor of the desk.

const SIGN: u64 = 1 << 63;
const FIRST: u64 = 1 << 52;
const INFINITY: u64 = 0x7FF << 52;
const NAN: u64 = 0xFFF << 51;
const SINGLE_INFINITY: u32 = 0xFF << 23;
const SINGLE_NAN: u32 = 0x1FF << 22;
/// An exponent of 64 bits less one of 32.
const APART: i32 = 1023 - 127;

/// How two stand to each other: less -1, equal 0, greater 1; 2 where one is a NaN.
#[must_use]
#[inline(never)]
pub fn order(a: u64, b: u64) -> i32 {
    let key = |bits: u64| {
        let signed = bits.cast_signed();
        if signed < 0 {
            i64::MIN.wrapping_sub(signed)
        } else {
            signed
        }
    };
    if a & !SIGN > INFINITY || b & !SIGN > INFINITY {
        return 2;
    }
    let (a, b) = (key(a), key(b));
    i32::from(a > b).wrapping_sub(i32::from(a < b))
}

/// A whole number.
#[must_use]
pub fn of_whole(whole: u32) -> u64 {
    if whole == 0 {
        return 0;
    }
    let zeros = whole.leading_zeros();
    // The first bit counts as one of the exponent.
    let exponent = u64::from(1022u32.wrapping_add(31).wrapping_sub(zeros));
    (exponent << 52).wrapping_add(u64::from(whole.wrapping_shl(zeros)) << 21)
}

/// A whole number with a sign.
#[must_use]
pub fn of_signed(whole: i32) -> u64 {
    let sign = u64::from(whole < 0) << 63;
    sign | of_whole(whole.unsigned_abs())
}

/// A 32-bit float, given as its bits.
#[must_use]
pub fn of_single(bits: u32) -> u64 {
    let sign = u64::from(bits >> 31) << 63;
    let plain = bits & !(1 << 31);
    if plain >= SINGLE_INFINITY {
        return if plain == SINGLE_INFINITY {
            sign | INFINITY
        } else {
            NAN
        };
    }
    if plain >> 23 == 0 {
        // So many times the smallest there is, 2^-149.
        let whole = of_whole(plain);
        return sign | whole.saturating_sub(if whole == 0 { 0 } else { 149 << 52 });
    }
    sign | (u64::from(plain) << 29).wrapping_add((APART as u64) << 52)
}

/// The nearest 32-bit float.
#[must_use]
pub fn to_single(bits: u64) -> u32 {
    let sign = (bits >> 32) as u32 & (1 << 31);
    let plain = bits & !SIGN;
    if plain > INFINITY {
        return SINGLE_NAN;
    }
    let exponent = ((plain >> 52) as i32).wrapping_sub(APART);
    if exponent >= 0xFF {
        return sign | SINGLE_INFINITY;
    }
    // What is smaller than a 64-bit exponent tells is nothing in 32 bits either.
    let significand = (plain & FIRST.wrapping_sub(1)) | FIRST;
    let smaller = 1i32.wrapping_sub(exponent).clamp(0, 34).unsigned_abs();
    let by = smaller.wrapping_add(29);
    let kept = (significand >> by) as u32;
    let lost = significand.wrapping_shl(64u32.wrapping_sub(by));
    let up = lost > SIGN || (lost == SIGN && kept & 1 == 1);
    let exponent = exponent.wrapping_sub(1).max(0).unsigned_abs();
    sign | (exponent << 23)
        .wrapping_add(kept)
        .wrapping_add(u32::from(up))
}
