//! Quantities that must not be mixed up, each its own type.
//!
//! On the weighing side `f32` in grams and seconds (what a 24-bit converter can carry); on the
//! liquid side `f64` in SI units. Both give the same bits on the desk
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

/// The standard deviation of a variance; 0 where rounding left that below nothing, or it is NaN.
#[must_use]
pub fn deviation(variance: f32) -> f32 {
    libm::sqrtf(variance.max(0.0))
}
