//! Spirits with sugar: the Tabarie relation.
//!
//! The density of the spirit without its sugar, plus what as much sugar per litre adds to water
//! (OIV Compendium of International Methods of Wine and Must Analysis, OIV-MA-AS2-03B, total dry
//! matter by densimetry, read the other way round):
//!
//! `rho(q, c) = rho_spirit(q) + rho_syrup(c) - rho_water`
//!
//! The source defines it at 20 degC. At another temperature each term is taken at that
//! temperature, strength and sugar still being those of 20 degC: each part expands as it would
//! alone. Nothing published says how well that holds, so it costs extra uncertainty.

use super::{composition::Composition, ethanol, sucrose};

/// A density at 20 degC and how it answers to strength and sugar.
pub(super) struct Point {
    /// Mass fraction of ethanol without the sugar.
    pub p: f64,
    /// Mass fraction of sugar without the spirit.
    pub w: f64,
    /// What the sugar adds, kg/m3.
    pub added: f64,
    /// kg/m3.
    pub density: f64,
    /// kg/m3 per unit of strength.
    pub per_strength: f64,
    /// kg/m3 per gram per litre.
    pub per_sugar: f64,
}

/// The relation at 20 degC, within 0 to 1 and 0 to the most sugar of a measured liquid.
pub(super) fn at_20c(strength: f64, sugar_g_per_l: f64) -> Point {
    let p = ethanol::AT_20C.mass_fraction(strength);
    let w = sucrose::fraction_holding(sugar_g_per_l);
    let (spirit, per_strength) = ethanol::density_per_strength_20c(p);
    let (added, per_sugar) = sucrose::increment_20c(w);
    Point {
        p,
        w,
        added,
        density: spirit + added,
        per_strength,
        per_sugar,
    }
}

/// The relation at `celsius`, kg/m3; `p` and `w` are the mass fractions of the spirit without
/// its sugar and of the syrup without its spirit.
pub(super) fn density(p: f64, w: f64, celsius: f64) -> f64 {
    ethanol::Isotherm::at(celsius).density(p) + sucrose::increment(w, celsius)
}

/// One standard uncertainty of the relation at 20 degC, percent of the density.
///
/// Nothing published measures it. It is the spread between this relation and another plausible
/// one, in which the sugar takes the room it takes in water and the spirit fills the rest, set
/// out in steps; and never less than that spread at this very strength and sugar. The steps are
/// for liqueurs; below the 100 g/l that make one (Regulation (EU) 2019/787) they shrink with the
/// sugar, since without sugar the relation is exact.
pub(super) fn sigma_percent(liquid: &Composition, at_20: &Point) -> f64 {
    let step = if liquid.strength > 0.35 {
        0.7
    } else if liquid.strength > 0.30 || liquid.sugar_g_per_l > 250.0 {
        0.3
    } else {
        0.06
    };
    let displaced = displaced(liquid.strength, liquid.sugar_g_per_l, at_20.added);
    let spread = libm::fabs(displaced - at_20.density);
    let share = (liquid.sugar_g_per_l / 100.0).min(1.0);
    (100.0 * spread / at_20.density).max(step * share)
}

/// Density at 20 degC, kg/m3, if sugar displaced as much spirit as it does water, to which it
/// adds `added`.
fn displaced(strength: f64, sugar_g_per_l: f64, added: f64) -> f64 {
    let water = sucrose::density_20c(0.0);
    // What of each litre is left to the spirit.
    let room = (water + added - sugar_g_per_l) / water;
    let p = ethanol::AT_20C.mass_fraction((strength / room).min(1.0));
    sugar_g_per_l + room * ethanol::AT_20C.density(p)
}
