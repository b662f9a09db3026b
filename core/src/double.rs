//! Arithmetic of 64-bit floats in integers, for a processor that has none.
//!
//! IEEE 754-2019 binary64, rounded to nearest, ties to even; every NaN is the same quiet one. The
//! compiler brings routines of its own, made for speed and 2.5 KB larger; densities take some
//! hundred of these once a step of a drink. Floats are given as their bits. The checks hold each
//! against the processor of the desk.

const SIGN: u64 = 1 << 63;
const INFINITY: u64 = 0x7FF << 52;
const NAN: u64 = 0xFFF << 51;
/// The exponent of a whole number whose bits stand as they are.
const WHOLE: i32 = 1023 + 63;

/// The exponent and the significand, its first bit in bit 63, of what is neither infinite nor NaN;
/// a significand of 0 is zero.
#[inline(never)]
fn parts(bits: u64) -> (i32, u64) {
    let exponent = (bits >> 52) as i32 & 0x7FF;
    let fraction = bits & ((1 << 52) - 1);
    let first = u64::from(exponent != 0) << 52;
    let significand = (first | fraction) << 11;
    let zeros = significand.leading_zeros();
    (
        exponent.max(1).wrapping_sub(zeros as i32),
        significand.wrapping_shl(zeros),
    )
}

/// So far to the right; the last bit is set where a 1 was lost.
#[inline(never)]
fn shifted(value: u64, by: u32) -> u64 {
    if by == 0 {
        value
    } else if by > 63 {
        u64::from(value != 0)
    } else {
        let lost = value.wrapping_shl(64u32.wrapping_sub(by)) != 0;
        (value >> by) | u64::from(lost)
    }
}

/// Rounds; `exponent` is that of bit 63.
#[inline(never)]
fn pack(sign: u64, exponent: i32, significand: u64) -> u64 {
    if significand == 0 {
        return sign;
    }
    let zeros = significand.leading_zeros();
    let exponent = exponent.wrapping_sub(zeros as i32);
    if exponent >= 0x7FF {
        return sign | INFINITY;
    }
    let least = 1i32.wrapping_sub(exponent).max(0);
    let significand = shifted(significand.wrapping_shl(zeros), least.unsigned_abs());
    let kept = significand >> 11;
    let half = (significand & 0x7FF) as u32 | (kept & 1) as u32;
    let rounded = kept.wrapping_add(u64::from(half > 0x400));
    // The first bit counts as one of the exponent.
    let exponent = exponent.max(1).wrapping_sub(1) as u64;
    sign | (exponent << 52).wrapping_add(rounded)
}

const fn is_nan(bits: u64) -> bool {
    bits & !SIGN > INFINITY
}

/// `a + b`.
#[must_use]
pub fn add(a: u64, b: u64) -> u64 {
    let (mut a, mut b) = (a, b);
    if a & !SIGN < b & !SIGN {
        core::mem::swap(&mut a, &mut b);
    }
    let sign = a & SIGN;
    let differ = (a ^ b) & SIGN != 0;
    if a & !SIGN >= INFINITY {
        let undone = differ && b & !SIGN == INFINITY;
        return if is_nan(a) || undone { NAN } else { a };
    }
    let ((exponent, larger), (other, smaller)) = (parts(a), parts(b));
    let apart = exponent.wrapping_sub(other).max(0);
    let (larger, smaller) = (larger >> 1, shifted(smaller >> 1, apart.unsigned_abs()));
    let sum = if differ {
        larger.wrapping_sub(smaller)
    } else {
        larger.wrapping_add(smaller)
    };
    let sign = if differ && sum == 0 { 0 } else { sign };
    pack(sign, exponent.wrapping_add(1), sum)
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
    if plain_a >= INFINITY || plain_b >= INFINITY {
        let undefined = is_nan(a) || is_nan(b) || plain_a == 0 || plain_b == 0;
        return if undefined { NAN } else { sign | INFINITY };
    }
    let ((exponent, a), (other, b)) = (parts(a), parts(b));
    let product = |a: u64, b: u64| u64::from(a as u32).wrapping_mul(u64::from(b as u32));
    let low = product(a, b);
    let (left, right) = (product(a >> 32, b), product(a, b >> 32));
    let middle = (low >> 32)
        .wrapping_add(left & u64::from(u32::MAX))
        .wrapping_add(right & u64::from(u32::MAX));
    let high = product(a >> 32, b >> 32)
        .wrapping_add(left >> 32)
        .wrapping_add(right >> 32)
        .wrapping_add(middle >> 32);
    let lost = (low | middle) as u32 != 0;
    let exponent = exponent.wrapping_add(other).wrapping_sub(1022);
    pack(sign, exponent, high | u64::from(lost))
}

/// `a / b`.
#[must_use]
pub fn divide(a: u64, b: u64) -> u64 {
    let sign = (a ^ b) & SIGN;
    let (plain_a, plain_b) = (a & !SIGN, b & !SIGN);
    if is_nan(a) || is_nan(b) || (plain_a == plain_b && (plain_a == 0 || plain_a == INFINITY)) {
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
    for _ in 0..56 {
        quotient <<= 1;
        if left >= by {
            left = left.wrapping_sub(by);
            quotient |= 1;
        }
        left <<= 1;
    }
    let exponent = exponent.wrapping_sub(other).wrapping_add(1023);
    pack(sign, exponent, (quotient << 8) | u64::from(left != 0))
}

/// The square root.
#[must_use]
#[inline(never)]
pub fn square_root(value: f64) -> f64 {
    let bits = value.to_bits();
    if bits & !SIGN == 0 || bits == INFINITY {
        return value;
    }
    if is_nan(bits) || bits & SIGN != 0 {
        return f64::from_bits(NAN);
    }
    let (exponent, significand) = parts(bits);
    let exponent = exponent.wrapping_sub(1023);
    // From 1 up to 4, 1 being bit 62.
    let mut left = significand >> (!exponent & 1);
    let (mut root, mut rest) = (0u64, 0u64);
    for _ in 0..55 {
        rest = (rest << 2) | (left >> 62);
        left <<= 2;
        let next = (root << 2) | 1;
        root <<= 1;
        if rest >= next {
            rest = rest.wrapping_sub(next);
            root |= 1;
        }
    }
    let significand = (root << 9) | u64::from(rest != 0);
    f64::from_bits(pack(0, (exponent >> 1).wrapping_add(1023), significand))
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
    if is_nan(a) || is_nan(b) {
        return 2;
    }
    let (a, b) = (key(a), key(b));
    i32::from(a > b).wrapping_sub(i32::from(a < b))
}

/// A whole number.
#[must_use]
pub fn of_whole(whole: u32) -> u64 {
    pack(0, WHOLE, u64::from(whole))
}

/// A whole number with a sign.
#[must_use]
pub fn of_signed(whole: i32) -> u64 {
    let sign = u64::from(whole < 0) << 63;
    pack(sign, WHOLE, u64::from(whole.unsigned_abs()))
}

/// A 32-bit float, given as its bits.
#[must_use]
pub fn of_single(bits: u32) -> u64 {
    let sign = u64::from(bits >> 31) << 63;
    let exponent = (bits >> 23) as i32 & 0xFF;
    let fraction = bits & 0x7F_FFFF;
    if exponent == 0xFF {
        return if fraction == 0 { sign | INFINITY } else { NAN };
    }
    let significand = fraction | (u32::from(exponent != 0) << 23);
    let exponent = exponent.max(1).wrapping_add(WHOLE - 127 - 23);
    pack(sign, exponent, u64::from(significand))
}

/// The nearest 32-bit float.
#[must_use]
pub fn to_single(bits: u64) -> u32 {
    let sign = (bits >> 32) as u32 & (1 << 31);
    if bits & !SIGN >= INFINITY {
        return if is_nan(bits) {
            0x7FC0_0000
        } else {
            sign | 0x7F80_0000
        };
    }
    let (exponent, significand) = parts(bits);
    let exponent = exponent.wrapping_sub(1023 - 127);
    if significand == 0 {
        return sign;
    }
    if exponent >= 0xFF {
        return sign | 0x7F80_0000;
    }
    let least = 1i32.wrapping_sub(exponent).max(0).unsigned_abs();
    let significand = shifted(significand, least.wrapping_add(29));
    let kept = (significand >> 11) as u32;
    let half = (significand & 0x7FF) as u32 | (kept & 1);
    let rounded = kept.wrapping_add(u32::from(half > 0x400));
    let exponent = exponent.max(1).wrapping_sub(1) as u32;
    sign | (exponent << 23).wrapping_add(rounded)
}

/// The whole part, kept within 32 bits; 0 for a NaN.
#[must_use]
pub fn to_signed(bits: u64) -> i32 {
    let exponent = (bits >> 52) as i32 & 0x7FF;
    let negative = bits & SIGN != 0;
    if is_nan(bits) || exponent < 1023 {
        return 0;
    }
    if exponent >= 1023 + 31 {
        return if negative { i32::MIN } else { i32::MAX };
    }
    let (_, significand) = parts(bits);
    let whole = (significand >> WHOLE.wrapping_sub(exponent).unsigned_abs()) as i32;
    if negative {
        whole.wrapping_neg()
    } else {
        whole
    }
}
