//! What a liquid is, and its density.

use super::ethanol::{self, fraction, temperature};
use super::{LiquidError, error::finite, freezing, root, spread::together, sucrose, tabarie};

/// The lowest measured density believed, kg/m3: pure ethanol at 40 degC has 772.
pub const LOWEST_DENSITY: f64 = 750.0;

/// The highest measured density believed, kg/m3: honey has up to 1450 (common practice, no
/// source).
pub const HIGHEST_DENSITY: f64 = 1500.0;

/// OIML R 22 against printed tables, percent: 0.1 kg/m3.
const R22_SIGMA: f64 = 0.01;

/// OIML R 22 below 0 degC, percent: checked against no table there, so argued, not measured.
const R22_COLD_SIGMA: f64 = 0.05;

/// ICUMSA SPS-4 against a printed table, percent: 0.36 kg/m3 at 75 Brix.
const SPS4_SIGMA: f64 = 0.03;

/// A label may be off by so much strength, 0.3 % vol (Regulation (EU) No 1169/2011, Annex XII,
/// from memory). Taken as the ends of an even spread, as the Guide to the Expression of
/// Uncertainty in Measurement does with a tolerance (JCGM 100, 4.3.7).
const LABEL_TOLERANCE: f64 = 0.003;

/// One standard uncertainty of a label's strength, as a fraction.
pub(super) const LABEL_SIGMA: f64 = LABEL_TOLERANCE / SQRT_3;

/// The square root of 3: half the width of an even spread over its standard deviation.
pub(super) const SQRT_3: f64 = 1.732_050_807_568_877_2;

/// Tabarie away from 20 degC, percent per kelvin: a tenth of what a liqueur expands by. Assumed.
const TABARIE_PER_KELVIN: f64 = 0.005;

/// A density measured at the bar, percent: 0.1 ml and 0.1 g in 100 ml. Assumed.
const MEASURED_SIGMA: f64 = 0.1;

/// A measured density carried to another temperature, percent per kelvin: a tenth of what a
/// liqueur or a syrup expands by. Assumed.
const CARRIED_PER_KELVIN: f64 = 0.005;

/// The same where neither strength nor sugar is known and water stands in, percent per kelvin:
/// cream expands by up to 0.08 more than water, a syrup by 0.02 (component formula of the milk
/// industry; SPS-4). Assumed.
const CARRIED_BLIND_PER_KELVIN: f64 = 0.05;

/// A measured liquid may be so much lighter or denser than strength and sugar make it, as a share:
/// half of it cream of 36 % fat is 6 % lighter. Assumed.
const LIGHTER_BY: f64 = 0.06;

/// How far strength, sugar and a measured density may disagree, as a share of the mass.
const DISAGREEMENT: f64 = 0.005;

/// What a label, a refractometer or a balance says about a liquid.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub struct Composition {
    /// Strength by volume at 20 degC, as a fraction (0 to 1).
    pub strength: f64,
    /// Sugar, grams per litre of the liquid at 20 degC.
    pub sugar_g_per_l: f64,
    /// A measured density; wins over any model.
    pub measured: Option<Measured>,
}

/// A measured density.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub struct Measured {
    /// kg/m3.
    pub density: f64,
    /// degC.
    pub at: f64,
}

/// A density with what is known about it.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub struct Estimate {
    /// kg/m3.
    pub density: f64,
    /// One standard uncertainty, percent of the density. The sugar is taken as stated.
    pub sigma_percent: f64,
    /// The part of it that the tolerance of a label's strength brings, percent of the density.
    pub label_sigma_percent: f64,
    /// Where it comes from.
    pub model: Model,
}

/// Where a density comes from.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub enum Model {
    /// OIML R 22, ethanol and water.
    OimlR22,
    /// ICUMSA SPS-4, sucrose and water.
    IcumsaSps4,
    /// Tabarie's relation, ethanol, sugar and water.
    Tabarie,
    /// Laliberte and Cooper, salt and water.
    Saline,
    /// The component formula of the milk industry.
    Dairy,
    /// A straight line over the water in honey.
    Honey,
    /// Measured.
    Measured,
}

impl Composition {
    /// What a label says: percent by volume at 20 degC and grams of sugar per litre.
    ///
    /// # Errors
    /// [`LiquidError`] naming the bound that was crossed.
    pub fn from_label(abv_percent: f64, sugar_g_per_l: f64) -> Result<Self, LiquidError> {
        let liquid = Self {
            strength: fraction(abv_percent / 100.0)?,
            sugar_g_per_l,
            measured: None,
        };
        liquid.density(20.0).map(|_| liquid)
    }

    /// A syrup of so many percent sugar by mass.
    ///
    /// # Errors
    /// [`LiquidError::Brix`] outside 0 to [`sucrose::HIGHEST_BRIX`].
    pub fn from_brix(brix: f64) -> Result<Self, LiquidError> {
        if !(0.0..=sucrose::HIGHEST_BRIX).contains(&finite(brix)?) {
            return Err(LiquidError::Brix(brix));
        }
        Ok(Self {
            sugar_g_per_l: sucrose::grams_per_litre(brix / 100.0)?,
            ..Self::default()
        })
    }

    /// A spirit of so many degrees US proof: twice the percentage by volume at 60 degF
    /// (27 CFR 30.11, from memory).
    ///
    /// # Errors
    /// [`LiquidError::Strength`] outside 0 to 200 proof.
    pub fn from_proof(proof: f64) -> Result<Self, LiquidError> {
        const SIXTY_DEGF: f64 = (60.0 - 32.0) / 1.8;
        Ok(Self {
            strength: ethanol::strength_from(proof / 200.0, SIXTY_DEGF)?,
            ..Self::default()
        })
    }

    /// The spirit that has this `density`, kg/m3, at `celsius` with so much sugar in it: Tabarie's
    /// relation turned round.
    ///
    /// # Errors
    /// [`LiquidError::NoStrength`] when no strength gives that density, and as
    /// [`Composition::density`].
    pub fn from_density(
        density: f64,
        celsius: f64,
        sugar_g_per_l: f64,
    ) -> Result<Self, LiquidError> {
        let sugar = if sugar_g_per_l == 0.0 {
            0.0
        } else {
            let w = sucrose::mass_fraction(sugar_g_per_l)?;
            sucrose::increment(w, temperature(celsius)?)
        };
        let liquid = Self {
            strength: ethanol::strength_of_density(density - sugar, celsius)?,
            sugar_g_per_l,
            measured: None,
        };
        liquid.density(celsius).map(|_| liquid)
    }

    /// A liquid of so many percent ethanol by mass of the whole, with so much sugar in it and, where
    /// it is known, a measured density.
    ///
    /// # Errors
    /// [`LiquidError::Strength`] outside 0 to 100 %, and as [`Composition::density`].
    pub fn from_abw(
        abw_percent: f64,
        sugar_g_per_l: f64,
        measured: Option<Measured>,
    ) -> Result<Self, LiquidError> {
        let share = fraction(abw_percent / 100.0)?;
        let dry = Self {
            strength: 0.0,
            sugar_g_per_l,
            measured,
        };
        let mut liquid = dry;
        if measured.is_some() {
            // The strength decides how the density is carried to 20 degC, so once more with it.
            for _ in 0..3 {
                let at_20 = liquid.density(20.0)?.density;
                liquid.strength = (share * at_20 / ethanol::PURE_20C).min(1.0);
            }
        } else if sugar_g_per_l == 0.0 {
            liquid.strength = ethanol::strength(share)?;
        } else {
            dry.density(20.0)?;
            liquid.strength = root::of_rising(0.0, 1.0, share, &|strength| {
                let here = tabarie::at_20c(strength, sugar_g_per_l);
                (
                    (strength * ethanol::PURE_20C - share * here.density) * 1e-3,
                    (ethanol::PURE_20C - share * here.per_strength) * 1e-3,
                )
            });
        }
        liquid.density(20.0).map(|_| liquid)
    }

    /// The sugared spirit of this `strength` that has this `density`, kg/m3, at `celsius`:
    /// Tabarie's relation turned round the other way.
    ///
    /// # Errors
    /// [`LiquidError::NoSugar`] when it is lighter than the spirit itself or denser than any sugar
    /// makes it, and as [`Composition::density`].
    pub fn sugar_from_density(
        density: f64,
        celsius: f64,
        strength: f64,
    ) -> Result<Self, LiquidError> {
        let p = ethanol::AT_20C.mass_fraction(fraction(strength)?);
        freezing::check(p, temperature(celsius)?)?;
        finite(density)?;
        let low = ethanol::Isotherm::at(celsius).density(p);
        let most = most_sugar(strength);
        let high = low + sucrose::increment(most, celsius);
        let outside = density < low - ethanol::AGREEMENT || density > high + ethanol::AGREEMENT;
        if outside {
            return Err(LiquidError::NoSugar { density, low, high });
        }
        let w = sucrose::fraction_adding(density - low, celsius, most);
        let liquid = Self {
            strength,
            sugar_g_per_l: sucrose::grams_per_litre(w)?,
            measured: None,
        };
        liquid.density(celsius).map(|_| liquid)
    }

    /// Whether strength, sugar and a measured density can be true of one liquid; what holds no
    /// alcohol may be anything.
    ///
    /// Sugar nobody stated makes a spirit denser, so far as its water holds it; cream and the like
    /// make a liqueur lighter, by up to 6 %.
    ///
    /// # Errors
    /// [`LiquidError::NoSugar`] with the bounds at this strength and temperature, and as
    /// [`Composition::density`].
    pub fn agree(&self) -> Result<(), LiquidError> {
        let Some(Measured { density, at }) = self.measured.filter(|_| self.strength > 0.0) else {
            return Ok(());
        };
        let unmeasured = Self {
            measured: None,
            ..*self
        };
        // Thicker than the formula reaches: nothing to compare with.
        let low = unmeasured.density(at).map_or(0.0, |model| model.density) * (1.0 - LIGHTER_BY);
        match Self::sugar_from_density(density.max(low), at, self.strength) {
            Err(LiquidError::NoSugar { high, .. }) if density > high * (1.0 + LIGHTER_BY) => {
                Err(LiquidError::NoSugar { density, low, high })
            }
            _ if density < low => Err(LiquidError::NoSugar {
                density,
                low,
                high: HIGHEST_DENSITY,
            }),
            _ => Ok(()),
        }
    }

    /// Density at `celsius`, which lies within [`ethanol::LOWEST_C`] to [`ethanol::HIGHEST_C`].
    ///
    /// A measured density is given back at its own temperature; at another it is carried by the
    /// ratio in which a liquid of this strength and sugar expands.
    ///
    /// # Errors
    /// [`LiquidError`] naming the bound that was crossed.
    pub fn density(&self, celsius: f64) -> Result<Estimate, LiquidError> {
        fraction(self.strength)?;
        temperature(celsius)?;
        let most_sugar = match self.measured {
            None => sucrose::HIGHEST_G_PER_L,
            Some(_) => sucrose::HIGHEST_G_PER_L_MEASURED,
        };
        // A hair more, so that a syrup at the bound survives its own rounding.
        if !(0.0..=most_sugar * (1.0 + 1e-9)).contains(&finite(self.sugar_g_per_l)?) {
            return Err(LiquidError::Sugar(self.sugar_g_per_l));
        }
        match self.measured {
            None => self.modelled(celsius),
            Some(measured) => self.carried(measured, celsius),
        }
    }

    fn modelled(&self, celsius: f64) -> Result<Estimate, LiquidError> {
        let warmth = libm::fabs(celsius - 20.0);
        if self.sugar_g_per_l <= 0.0 {
            let p = ethanol::AT_20C.mass_fraction(self.strength);
            freezing::check(p, celsius)?;
            let density = ethanol::Isotherm::at(celsius).density(p);
            let formula = if celsius < 0.0 {
                R22_COLD_SIGMA
            } else {
                R22_SIGMA
            };
            let per_strength = ethanol::slope_per_strength_20c(p);
            let label_sigma_percent = self.label_sigma(per_strength, density);
            return Ok(Estimate {
                density,
                sigma_percent: together(formula, label_sigma_percent),
                label_sigma_percent,
                model: Model::OimlR22,
            });
        }
        if self.strength <= 0.0 {
            let w = sucrose::fraction_holding(self.sugar_g_per_l);
            return Ok(Estimate {
                density: sucrose::density(w, celsius)?,
                sigma_percent: SPS4_SIGMA,
                label_sigma_percent: 0.0,
                model: Model::IcumsaSps4,
            });
        }
        let at_20 = tabarie::at_20c(self.strength, self.sugar_g_per_l);
        // Sugar lowers the freezing point further: the line without it refuses first.
        freezing::check(at_20.p, celsius)?;
        self.leaves_room(at_20.density, sucrose::HIGHEST_BRIX / 100.0)?;
        let density = if warmth == 0.0 {
            at_20.density
        } else {
            tabarie::density(at_20.p, at_20.w, celsius)
        };
        let relation = tabarie::sigma_percent(self, &at_20);
        let model = together(relation, TABARIE_PER_KELVIN * warmth);
        let label_sigma_percent = self.label_sigma(at_20.per_strength, density);
        Ok(Estimate {
            density,
            sigma_percent: together(model, label_sigma_percent),
            label_sigma_percent,
            model: Model::Tabarie,
        })
    }

    fn carried(&self, measured: Measured, celsius: f64) -> Result<Estimate, LiquidError> {
        if !(LOWEST_DENSITY..=HIGHEST_DENSITY).contains(&finite(measured.density)?) {
            return Err(LiquidError::Density(measured.density));
        }
        temperature(measured.at)?;
        let at_20 = measured.density * self.expansion(measured.at, 20.0)?;
        self.leaves_room(at_20, sucrose::HIGHEST_MASS_FRACTION)?;
        if measured.at == celsius {
            return Ok(Estimate {
                density: measured.density,
                sigma_percent: MEASURED_SIGMA,
                label_sigma_percent: 0.0,
                model: Model::Measured,
            });
        }
        let known = self.strength > 0.0 || self.sugar_g_per_l > 0.0;
        let per_kelvin = if known {
            CARRIED_PER_KELVIN
        } else {
            CARRIED_BLIND_PER_KELVIN
        };
        let carried = per_kelvin * libm::fabs(celsius - measured.at);
        Ok(Estimate {
            density: measured.density * self.expansion(measured.at, celsius)?,
            sigma_percent: together(MEASURED_SIGMA, carried),
            label_sigma_percent: 0.0,
            model: Model::Measured,
        })
    }

    /// The density at `to` over the density at `from`, by the models alone.
    fn expansion(&self, from: f64, to: f64) -> Result<f64, LiquidError> {
        if from == to {
            return Ok(1.0);
        }
        let p = ethanol::AT_20C.mass_fraction(self.strength);
        let w = sucrose::fraction_holding(self.sugar_g_per_l);
        let at = |celsius| {
            if self.sugar_g_per_l > 0.0 && self.strength <= 0.0 {
                return sucrose::density(w, celsius);
            }
            freezing::check(p, celsius)?;
            Ok(tabarie::density(p, w, celsius))
        };
        Ok(at(to)? / at(from)?)
    }

    /// Whether ethanol and sugar leave a litre of `density_20c` kg/m3 enough water, sugar being
    /// at most `most_sugar` of sugar and water together.
    fn leaves_room(&self, density_20c: f64, most_sugar: f64) -> Result<(), LiquidError> {
        let slack = DISAGREEMENT * density_20c;
        let not_ethanol = density_20c - self.strength * ethanol::PURE_20C + slack;
        if not_ethanol >= 0.0 && self.sugar_g_per_l <= most_sugar * not_ethanol {
            Ok(())
        } else {
            Err(LiquidError::NoRoom {
                strength: self.strength,
                sugar_g_per_l: self.sugar_g_per_l,
            })
        }
    }

    /// What the label's tolerance does to the density, percent.
    fn label_sigma(&self, per_strength: f64, density: f64) -> f64 {
        if self.strength <= 0.0 {
            return 0.0;
        }
        100.0 * libm::fabs(per_strength) * LABEL_SIGMA / density
    }
}

/// The most sugar that the water in a spirit holds, as the mass fraction of the syrup it would be
/// without its alcohol.
pub(super) fn most_sugar(strength: f64) -> f64 {
    let highest = sucrose::HIGHEST_BRIX / 100.0;
    root::of_rising(0.0, highest, 0.5 * highest, &|w| {
        let (syrup, slope) = sucrose::density_and_slope_20c(w);
        let sugar = w * syrup;
        let here = tabarie::at_20c(strength, sugar);
        let sugar_slope = syrup + w * slope;
        let held = highest * (here.density - strength * ethanol::PURE_20C);
        (
            (sugar - held) * 1e-3,
            sugar_slope * (1.0 - highest * here.per_sugar) * 1e-3,
        )
    })
}
