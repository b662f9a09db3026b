//! Ethanol and water by OIML R 22.
//!
//! Density over mass fraction `p` and temperature `t`, from OIML R 22 (1975), International
//! Alcoholometric Tables, general formula (also Council Directive 76/766/EEC, Annex,
//! section 4), in kg/m3 with `t` in degC:
//!
//! `rho(p, t) = A1 + sum A_k p^(k-1) + sum B_k (t-20)^k + sum sum C_ik p^k (t-20)^i`
//!
//! At one temperature this is a polynomial of the eleventh degree in `p`; it falls strictly
//! from water to ethanol at every temperature used here, so it can be turned round.
//!
//! Strength is by volume at 20 degC: `q = p rho(p, 20) / rho(1, 20)`.

use super::error::finite;
use super::{LiquidError, freezing, root, series};

/// The lowest temperature accepted, degC. The formula reaches -20; no bar pours colder than a
/// freezer at -10 lets a spirit become.
pub const LOWEST_C: f64 = -10.0;

/// The highest temperature accepted, degC: where the formula ends.
pub const HIGHEST_C: f64 = 40.0;

/// Pure ethanol at 20 degC by the formula, kg/m3. R 22 defines 789.24; taking the formula's own
/// value makes a strength of exactly 1 of a mass fraction of exactly 1.
pub const PURE_20C: f64 = series::value(&A, 1.0);

/// How far a density may lie outside what the formula spans and still count as pure water or pure
/// ethanol, kg/m3: the formula's agreement with printed tables.
pub(super) const AGREEMENT: f64 = 0.1;

/// At 20 degC, by powers of the mass fraction from the zeroth, kg/m3.
const A: [f64; 12] = [
    998.20123,
    -192.9769495,
    389.1238958,
    -1668.103923,
    13522.15441,
    -88292.78388,
    306287.4042,
    -613838.1234,
    747017.2998,
    -547846.1354,
    223446.0334,
    -39032.85426,
];

/// Water over temperature, by powers of `t - 20` from the first.
const B: [f64; 6] = [
    -0.20618513,
    -0.0052682542,
    3.6130013e-05,
    -3.8957702e-07,
    7.169354e-09,
    -9.9739231e-11,
];

/// By powers of the mass fraction from the first, times `t - 20`.
const C1: [f64; 11] = [
    0.1693443461530087,
    -10.46914743455169,
    71.96353469546523,
    -704.7478054272792,
    3924.090430035045,
    -12101.64659068747,
    22486.46550400788,
    -26055.62982188164,
    18523.73922069467,
    -7420.201433430137,
    1285.617841998974,
];

/// The same, times `(t - 20)^2`.
const C2: [f64; 10] = [
    -0.0119301300505701,
    0.2517399633803461,
    -2.170575700536993,
    13.53034988843029,
    -50.29988758547014,
    109.635566657757,
    -142.2753946421155,
    108.043594285623,
    -44.14153236817392,
    7.442971530188783,
];

/// The same, times `(t - 20)^3`.
const C3: [f64; 9] = [
    -0.0006802995733503803,
    0.01876837790289664,
    -0.2002561813734156,
    1.02299296671922,
    -2.895696483903638,
    4.810060584300675,
    -4.672147440794683,
    2.458043105903461,
    -0.5411227621436812,
];

/// The same, times `(t - 20)^4`.
const C4: [f64; 4] = [
    4.075376675622027e-06,
    -8.76305857347111e-06,
    6.515031360099368e-06,
    -1.51578483698721e-06,
];

/// The same, times `(t - 20)^5`.
const C5: [f64; 2] = [-2.788074354782409e-08, 1.345612883493354e-08];

/// The formula at one temperature: density as a polynomial in the mass fraction.
pub(super) struct Isotherm {
    coefficients: [f64; 12],
}

/// 20 degC, where every term with a temperature vanishes.
pub(super) const AT_20C: Isotherm = Isotherm { coefficients: A };

impl Isotherm {
    /// At `celsius`, which is within the range of the formula.
    pub(super) fn at(celsius: f64) -> Self {
        let above_20 = celsius - 20.0;
        let mut coefficients = A;
        if above_20 == 0.0 {
            return Self { coefficients };
        }
        if let Some(water) = coefficients.first_mut() {
            *water += above_20 * series::value(&B, above_20);
        }
        let mut power = above_20;
        for row in [C1.as_slice(), &C2, &C3, &C4, &C5] {
            for (sum, c) in coefficients.iter_mut().skip(1).zip(row) {
                *sum += c * power;
            }
            power *= above_20;
        }
        Self { coefficients }
    }

    /// Density, kg/m3, and its slope per unit of mass fraction.
    pub(super) fn density_and_slope(&self, mass_fraction: f64) -> (f64, f64) {
        series::value_and_slope(&self.coefficients, mass_fraction)
    }

    /// Density, kg/m3.
    pub(super) fn density(&self, mass_fraction: f64) -> f64 {
        series::value(&self.coefficients, mass_fraction)
    }

    /// The mass fraction that has `strength` when both volumes are taken at this temperature.
    pub(super) fn mass_fraction(&self, strength: f64) -> f64 {
        let wanted = strength * self.density(1.0);
        let start = roughly_mass_fraction(strength);
        // In units of 1000 kg/m3, so that the unknown and the residual are both of order one.
        root::of_rising(0.0, 1.0, start, &|p| {
            let (density, slope) = self.density_and_slope(p);
            ((p * density - wanted) * 1e-3, (density + p * slope) * 1e-3)
        })
    }

    /// The mass fraction of at least `least` that has `density`.
    fn mass_fraction_of_density(&self, density: f64, least: f64) -> f64 {
        root::of_rising(least, 1.0, 0.5, &|p| {
            let (here, slope) = self.density_and_slope(p);
            ((density - here) * 1e-3, -slope * 1e-3)
        })
    }
}

/// Density of ethanol and water, kg/m3, for a `mass_fraction` of ethanol (0 to 1).
///
/// # Errors
/// [`LiquidError::Strength`] for a mass fraction outside 0 to 1, [`LiquidError::Temperature`]
/// outside [`LOWEST_C`] to [`HIGHEST_C`], [`LiquidError::Freezing`] below the freezing line.
pub fn density(mass_fraction: f64, celsius: f64) -> Result<f64, LiquidError> {
    fraction(mass_fraction)?;
    temperature(celsius)?;
    freezing::check(mass_fraction, celsius)?;
    Ok(Isotherm::at(celsius).density(mass_fraction))
}

/// Mass fraction of ethanol for a `strength` by volume at 20 degC, both 0 to 1.
///
/// # Errors
/// [`LiquidError::Strength`] outside 0 to 1.
pub fn mass_fraction(strength: f64) -> Result<f64, LiquidError> {
    Ok(AT_20C.mass_fraction(fraction(strength)?))
}

/// Strength by volume at 20 degC for a `mass_fraction` of ethanol, both 0 to 1.
///
/// # Errors
/// [`LiquidError::Strength`] outside 0 to 1.
pub fn strength(mass_fraction: f64) -> Result<f64, LiquidError> {
    let p = fraction(mass_fraction)?;
    // Rounding must not lift it above pure.
    Ok((p * AT_20C.density(p) / PURE_20C).min(1.0))
}

/// Strength by volume at 20 degC for a strength whose volumes are taken at another temperature,
/// such as 60 degF.
///
/// # Errors
/// [`LiquidError::Strength`] outside 0 to 1, [`LiquidError::Temperature`] outside the range.
pub fn strength_from(strength_there: f64, celsius: f64) -> Result<f64, LiquidError> {
    let there = fraction(strength_there)?;
    strength(Isotherm::at(temperature(celsius)?).mass_fraction(there))
}

/// Strength by volume at 20 degC of ethanol and water with this `density`, kg/m3, at `celsius`.
///
/// # Errors
/// [`LiquidError::NoStrength`] when no liquid mixture has that density there,
/// [`LiquidError::Temperature`] outside the range.
pub fn strength_of_density(density: f64, celsius: f64) -> Result<f64, LiquidError> {
    finite(density)?;
    let isotherm = Isotherm::at(temperature(celsius)?);
    let least = freezing::least_mass_fraction(celsius);
    let (low, high) = (isotherm.density(1.0), isotherm.density(least));
    if density < low - AGREEMENT || density > high + AGREEMENT {
        return Err(LiquidError::NoStrength { density, low, high });
    }
    strength(isotherm.mass_fraction_of_density(density, least))
}

/// The mass fraction of this strength, within 0.0015: fitted to the formula.
pub(super) fn roughly_mass_fraction(strength: f64) -> f64 {
    const FIT: [f64; 5] = [0.0, 0.7625, 0.2768, -0.3597, 0.319];
    series::value(&FIT, strength)
}

/// How the density at 20 degC answers to the strength, kg/m3 per unit, at mass fraction `p`.
pub(super) fn slope_per_strength_20c(p: f64) -> f64 {
    density_per_strength_20c(p).1
}

/// The density at 20 degC and how it answers to the strength.
pub(super) fn density_per_strength_20c(p: f64) -> (f64, f64) {
    let (density, slope) = AT_20C.density_and_slope(p);
    (density, slope * PURE_20C / (density + p * slope))
}

/// `value`, when it is a fraction.
pub(super) fn fraction(value: f64) -> Result<f64, LiquidError> {
    if (0.0..=1.0).contains(&finite(value)?) {
        Ok(value)
    } else {
        Err(LiquidError::Strength(value))
    }
}

/// `celsius`, when it lies within the range.
pub(super) fn temperature(celsius: f64) -> Result<f64, LiquidError> {
    if (LOWEST_C..=HIGHEST_C).contains(&finite(celsius)?) {
        Ok(celsius)
    } else {
        Err(LiquidError::Temperature(celsius))
    }
}
