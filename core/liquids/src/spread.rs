//! How well it is known what a glass holds.
//!
//! First order, as the Guide to the Expression of Uncertainty in Measurement has it (JCGM 100,
//! 5.1), and without a list of the pours: what a mixture holds is a sum over its pours of mass
//! `M`, own volume `V`, ethanol `A` (as millilitres) and sugar `S`, so their variances and
//! covariances are sums too. A pour of strength `q`, sugar `c`, density `rho` and volume `v`
//! brings three independent deviations:
//!
//! | from | M | V | A | S |
//! |---|---|---|---|---|
//! | the scale, `s_m` | `s_m` | `s_m / rho` | `q s_m / rho` | `c s_m / rho` |
//! | the density's model, `s_rho` (relative) | 0 | `v s_rho` | `q v s_rho` | `c v s_rho` |
//! | the label's strength, `s_q` | 0 | `g v` | `v s_q + q g v` | `c g v` |
//!
//! where `g = -(d rho / d q) s_q / rho`: more strength in the same mass is also more volume. With
//! `q = A / V` and `c = S / V` of the whole,
//!
//! - `var V = VV`, `var E = rho_ethanol^2 AA`,
//! - `var q = (AA - 2 q VA + q^2 VV) / V^2`, `var c = (SS - 2 c VS + c^2 VV) / V^2`.
//!
//! Contraction is left out of these sensitivities: a millilitre of spirit or water that comes on
//! top counts as a millilitre, which is 2 % off at most and moves the figures by a percent. Every
//! pour counts as independent, also one from the same bottle as another, whose label and density
//! are off by the same: two equal pours come out a tenth too certain of their alcohol, or, weighed
//! exactly, by the square root of two. Both are measured in the tests. Single precision: an
//! uncertainty needs no more than a few digits.

use super::ethanol;
use super::mixture::WATER_G_PER_ML;

const WATER: f32 = WATER_G_PER_ML as f32;

/// One standard deviation of each figure of [`super::Contents`].
#[derive(Clone, Copy, Debug, Default, PartialEq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub struct ContentsSigma {
    /// Millilitres.
    pub volume_ml: f64,
    /// Percent by volume.
    pub abv_percent: f64,
    /// Grams per litre.
    pub sugar_g_per_l: f64,
    /// Grams of pure ethanol.
    pub ethanol_g: f64,
}

/// Variances and covariances of what was poured together: `[MM, MV, MA, MS, VV, VA, AA, VS, SS]`
/// of grams, millilitres, millilitres of ethanol and grams of sugar.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub struct Spread([f32; 9]);

/// One deviation, and what it does to each sum.
#[derive(Clone, Copy)]
pub(super) struct Deviation {
    pub mass: f32,
    pub volume: f32,
    pub ethanol: f32,
    pub sugar: f32,
}

impl Spread {
    /// Nothing poured, nothing uncertain.
    pub const NONE: Self = Self([0.0; 9]);

    /// Adds an independent deviation.
    pub(super) fn add(&mut self, by: Deviation) {
        let Deviation {
            mass,
            volume,
            ethanol,
            sugar,
        } = by;
        self.join(&Self([
            mass * mass,
            mass * volume,
            mass * ethanol,
            mass * sugar,
            volume * volume,
            volume * ethanol,
            ethanol * ethanol,
            volume * sugar,
            sugar * sugar,
        ]));
    }

    /// Adds what an independent mixture brings.
    pub(super) fn join(&mut self, other: &Self) {
        for (own, added) in self.0.iter_mut().zip(&other.0) {
            *own += added;
        }
    }

    /// Of such a share of it.
    pub(super) fn scale(&mut self, share: f32) {
        for sum in &mut self.0 {
            *sum *= share * share;
        }
    }

    /// Of the same with water up to a mass that is known by itself: a gram too much of a liquid
    /// is a gram too little of water.
    pub(super) fn fill_with_water(&mut self) {
        let [mm, mv, ma, ms, vv, va, aa, vs, ss] = self.0;
        self.0 = [
            0.0,
            0.0,
            0.0,
            0.0,
            vv - (2.0 * mv - mm / WATER) / WATER,
            va - ma / WATER,
            aa,
            vs - ms / WATER,
            ss,
        ];
    }

    /// The variance of `mass + g_per_ml * volume`, g^2.
    pub(super) fn of_mass_and_volume(&self, g_per_ml: f32) -> f32 {
        let [mm, mv, _, _, vv, ..] = self.0;
        mm + g_per_ml * (2.0 * mv + g_per_ml * vv)
    }

    /// Of a mixture of `volume_ml` with these figures.
    pub(super) fn sigma(
        &self,
        volume_ml: f32,
        strength: f32,
        sugar_g_per_ml: f32,
    ) -> ContentsSigma {
        let [_, _, _, _, vv, va, aa, vs, ss] = self.0;
        let of_ratio = |ratio: f32, own: f32, with_volume: f32| {
            libm::sqrtf((own - ratio * (2.0 * with_volume - ratio * vv)).max(0.0)) / volume_ml
        };
        let ethanol_g = (ethanol::PURE_20C / 1000.0) as f32 * libm::sqrtf(aa.max(0.0));
        ContentsSigma {
            volume_ml: libm::sqrtf(vv.max(0.0)).into(),
            abv_percent: (100.0 * of_ratio(strength, aa, va)).into(),
            sugar_g_per_l: (1000.0 * of_ratio(sugar_g_per_ml, ss, vs)).into(),
            ethanol_g: ethanol_g.into(),
        }
    }
}

/// The standard deviation of a variance; 0 where rounding left that below nothing, or it is NaN.
#[must_use]
pub fn deviation(variance: f64) -> f64 {
    libm::sqrt(variance.max(0.0))
}

/// Two independent uncertainties as one.
pub fn together(a: f64, b: f64) -> f64 {
    deviation(a * a + b * b)
}
