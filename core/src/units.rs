//! Quantities that must not be mixed up, each its own type.
//!
//! On the weighing side `f32` in grams and seconds (what a 24-bit converter can carry); on the
//! liquid side `f64` in SI units, see [`crate::liquid`]. Both give the same bits on the desk
//! and on the board.

use core::ops::{Add, AddAssign, Div, Mul, Neg, Sub, SubAssign};

use serde::{Deserialize, Serialize};

/// A converter code as read: signed, 24 bits.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub struct AdcCode(pub i32);

macro_rules! quantity {
    ($(#[$doc:meta])* $name:ident) => {
        $(#[$doc])*
        #[derive(Clone, Copy, Debug, Default, PartialEq, PartialOrd, Serialize, Deserialize)]
        #[cfg_attr(feature = "defmt", derive(defmt::Format))]
        pub struct $name(pub f32);

        impl $name {
            /// Nothing of it.
            pub const ZERO: Self = Self(0.0);

            /// Pulled in to at most `limit` on either side; a `clamp` whose bounds are not constant
            /// would carry a panic.
            #[must_use]
            pub const fn within(self, limit: Self) -> Self {
                Self(self.0.max(-limit.0).min(limit.0))
            }

            /// Its size without its sign.
            #[must_use]
            pub const fn abs(self) -> Self {
                Self(self.0.abs())
            }
        }

        impl Add for $name {
            type Output = Self;
            fn add(self, other: Self) -> Self {
                Self(self.0 + other.0)
            }
        }

        impl AddAssign for $name {
            fn add_assign(&mut self, other: Self) {
                self.0 += other.0;
            }
        }

        impl Sub for $name {
            type Output = Self;
            fn sub(self, other: Self) -> Self {
                Self(self.0 - other.0)
            }
        }

        impl SubAssign for $name {
            fn sub_assign(&mut self, other: Self) {
                self.0 -= other.0;
            }
        }

        impl Neg for $name {
            type Output = Self;
            fn neg(self) -> Self {
                Self(-self.0)
            }
        }

        impl Mul<f32> for $name {
            type Output = Self;
            fn mul(self, factor: f32) -> Self {
                Self(self.0 * factor)
            }
        }

        impl Div<f32> for $name {
            type Output = Self;
            fn div(self, divisor: f32) -> Self {
                Self(self.0 / divisor)
            }
        }
    };
}

quantity! {
    /// A mass as the scale shows it, in grams.
    Grams
}
quantity! {
    /// A mass flow, in grams per second.
    GramsPerSecond
}
quantity! {
    /// A volume at 20 degC, in millilitres.
    Millilitres
}

impl GramsPerSecond {
    /// What flows in `seconds`.
    #[must_use]
    pub fn during(self, seconds: f32) -> Grams {
        Grams(self.0 * seconds)
    }
}

/// The square root, to the last bit or the one beside it; 0 of what has none.
///
/// By Heron's rule from a first guess off by 3.5 %. This core takes a root in one instruction that
/// a library without an operating system may not name, and the library's own takes 0.5 KB of
/// flash; what is measured has a few digits.
pub(crate) fn square_root(value: f32) -> f32 {
    if !value.is_normal() || value < 0.0 {
        return if value == f32::INFINITY { value } else { 0.0 };
    }
    let half = (value.to_bits() >> 1).wrapping_add(0x1FBB_4F2E);
    let mut root = f32::from_bits(half);
    for _ in 0..3 {
        root = 0.5 * (root + value / root);
    }
    root
}

/// The least whole number that is no smaller, as far as 16 bits go; 0 of what is no number.
pub(crate) fn whole_up(value: f32) -> i16 {
    let whole = value as i16;
    whole.saturating_add(i16::from(value > f32::from(whole)))
}

#[cfg(test)]
mod tests {
    use crate::units;

    #[test]
    fn whole_numbers_are_rounded_up_as_the_library_does() {
        for tenths in -4000i16..4000 {
            let value = f32::from(tenths) / 10.0;
            assert_eq!(units::whole_up(value), libm::ceilf(value) as i16);
        }
        assert_eq!(units::whole_up(f32::NAN), 0);
        assert_eq!(units::whole_up(1e9), i16::MAX);
    }

    #[test]
    fn a_square_root_is_off_by_the_last_bit_at_most() {
        for bits in (f32::MIN_POSITIVE.to_bits()..f32::MAX.to_bits()).step_by(977) {
            let value = f32::from_bits(bits);
            // The processor's own, rounded as IEEE 754 asks.
            let right = f64::from(value).sqrt() as f32;
            let off = units::square_root(value)
                .to_bits()
                .abs_diff(right.to_bits());
            assert!(off <= 1, "{value}: {off}");
        }
        for none in [0.0, -0.0, -1.0, f32::NAN, f32::NEG_INFINITY] {
            assert_eq!(units::square_root(none), 0.0);
        }
        assert_eq!(units::square_root(f32::INFINITY), f32::INFINITY);
    }
}
