//! Arithmetic of 64-bit floats in integers, for a processor that has none.
//!
//! IEEE 754-2019 binary64, rounded to nearest, ties to even; every NaN is the same quiet one. The
//! compiler brings routines of its own, more than twice as large. Floats are given as their bits.
//! A check holds each against the processor of the desk.

const SIGN: u64 = 1 << 63;
const FIRST: u64 = 1 << 52;
const INFINITY: u64 = 0x7FF << 52;
const NAN: u64 = 0xFFF << 51;
const SINGLE_INFINITY: u32 = 0xFF << 23;
const SINGLE_NAN: u32 = 0x1FF << 22;
/// An exponent of 64 bits less one of 32.
const APART: i32 = 1023 - 127;

/// The exponent and the significand, its first bit in bit 63, of what is neither infinite nor NaN;
/// a significand of 0 is zero.
#[inline]
fn parts(bits: u64) -> (i32, u64) {
    let exponent = (bits >> 52) as i32 & 0x7FF;
    if exponent == 0 {
        return small_parts(bits);
    }
    (exponent, bits << 11 | SIGN)
}

/// The same of what is smaller than an exponent tells.
#[cold]
#[inline(never)]
fn small_parts(bits: u64) -> (i32, u64) {
    let significand = bits << 12;
    let zeros = significand.leading_zeros();
    (
        0i32.wrapping_sub(zeros as i32),
        significand.wrapping_shl(zeros),
    )
}

/// So far to the right; the last bit is set where a 1 was lost.
#[inline(never)]
fn shifted(value: u64, by: u32) -> u64 {
    if by > 63 {
        return u64::from(value != 0);
    }
    let kept = value.wrapping_shr(by);
    kept | u64::from(kept.wrapping_shl(by) != value)
}

/// Rounds a significand whose first bit is bit 63, which `exponent` is of.
#[inline(never)]
fn pack(sign: u64, exponent: i32, significand: u64) -> u64 {
    if exponent >= 0x7FF {
        return sign | INFINITY;
    }
    let (exponent, significand) = if exponent > 0 {
        (exponent, significand)
    } else {
        let least = 1i32.wrapping_sub(exponent).unsigned_abs();
        (1, shifted(significand, least))
    };
    let kept = significand >> 11;
    let half = (significand & 0x7FF) as u32 | (kept & 1) as u32;
    let rounded = kept.wrapping_add(u64::from(half > 0x400));
    // The first bit counts as one of the exponent.
    let exponent = u64::from(exponent.wrapping_sub(1).unsigned_abs());
    sign | (exponent << 52).wrapping_add(rounded)
}

/// `a + b`.
#[must_use]
#[inline(never)]
pub fn add(a: u64, b: u64) -> u64 {
    let (a, b) = if a & !SIGN < b & !SIGN {
        (b, a)
    } else {
        (a, b)
    };
    let sign = a & SIGN;
    let differ = (a ^ b) & SIGN != 0;
    if a & !SIGN >= INFINITY {
        let undone = differ && b & !SIGN == INFINITY;
        let is_nan = a & !SIGN > INFINITY;
        return if is_nan || undone { NAN } else { a };
    }
    let ((exponent, larger), (other, smaller)) = (parts(a), parts(b));
    let apart = exponent.wrapping_sub(other).unsigned_abs();
    let (larger, smaller) = (larger >> 1, shifted(smaller >> 1, apart));
    let sum = if differ {
        larger.wrapping_sub(smaller)
    } else {
        larger.wrapping_add(smaller)
    };
    if sum == 0 {
        return if differ { 0 } else { sign };
    }
    let zeros = sum.leading_zeros();
    let exponent = exponent.wrapping_add(1).wrapping_sub(zeros as i32);
    pack(sign, exponent, sum.wrapping_shl(zeros))
}

/// `a - b`.
#[must_use]
pub fn subtract(a: u64, b: u64) -> u64 {
    add(a, b ^ SIGN)
}

/// `a b`.
#[must_use]
pub fn multiply(a: u64, b: u64) -> u64 {
    let sign = (a ^ b) & SIGN;
    let (plain_a, plain_b) = (a & !SIGN, b & !SIGN);
    let nothing = plain_a == 0 || plain_b == 0;
    let larger = plain_a.max(plain_b);
    if larger >= INFINITY {
        let undefined = larger > INFINITY || nothing;
        return if undefined { NAN } else { sign | INFINITY };
    }
    if nothing {
        return sign;
    }
    let ((exponent, a), (other, b)) = (parts(a), parts(b));
    let product = |a: u64, b: u64| u64::from(a as u32).wrapping_mul(u64::from(b as u32));
    let low = product(a, b);
    let middle = product(a >> 32, b).wrapping_add(low >> 32);
    let second = product(a, b >> 32).wrapping_add(u64::from(middle as u32));
    let high = product(a >> 32, b >> 32)
        .wrapping_add(middle >> 32)
        .wrapping_add(second >> 32);
    let lost = (low | second) as u32 != 0;
    let high = high | u64::from(lost);
    let short = i32::from(high < SIGN);
    let exponent = exponent.wrapping_add(other).wrapping_sub(1022);
    let high = if short == 1 { high << 1 } else { high };
    pack(sign, exponent.wrapping_sub(short), high)
}

/// `a / b`.
#[must_use]
pub fn divide(a: u64, b: u64) -> u64 {
    let sign = (a ^ b) & SIGN;
    let (plain_a, plain_b) = (a & !SIGN, b & !SIGN);
    if plain_a.max(plain_b) > INFINITY
        || (plain_a == plain_b && (plain_a == 0 || plain_a == INFINITY))
    {
        return NAN;
    }
    if plain_a == INFINITY || plain_b == 0 {
        return sign | INFINITY;
    }
    if plain_a == 0 || plain_b == INFINITY {
        return sign;
    }
    let ((exponent, a), (other, b)) = (parts(a), parts(b));
    let (mut left, by, mut quotient) = (a >> 1, b >> 1, 0u64);
    let short = i32::from(left < by);
    if short == 1 {
        left <<= 1;
    }
    for _ in 0..55 {
        quotient <<= 1;
        if left >= by {
            left = left.wrapping_sub(by);
            quotient |= 1;
        }
        left <<= 1;
    }
    let exponent = exponent
        .wrapping_sub(other)
        .wrapping_add(1023)
        .wrapping_sub(short);
    pack(sign, exponent, quotient << 9 | u64::from(left != 0))
}

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
