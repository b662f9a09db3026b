//! What is in the vessel, and what the served glass holds.

use crate::liquid::dilution::{Weighed, melt, strain};
use crate::liquid::{Composition, Mixture, true_mass};
use crate::output::{Dilution, DilutionBasis, DrinkRecord, Settled};
use crate::spec::DrinkId;
use crate::units::{Grams, Millilitres, deviation};
use crate::view::Work;

use super::dilution;

/// Everything poured into one drink.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Tally {
    mixture: Mixture,
    /// What went into the served glass after the strain, and what a rinse left.
    after: Mixture,
    worked: Option<Work>,
    strained: Option<Settled>,
    /// Some of it stayed behind on purpose: the strain does not tell the water.
    partly: bool,
    /// Neither in the glass nor left in the vessel, as far as it was weighed.
    lost: Weighed,
}

impl Tally {
    pub(super) const EMPTY: Self = Self {
        mixture: Mixture::EMPTY,
        after: Mixture::EMPTY,
        worked: None,
        strained: None,
        partly: false,
        lost: Weighed {
            mass_g: 0.0,
            sigma_g: 0.0,
        },
    };

    /// Adds what the scale showed of a liquid. A liquid without a density counts as water: its
    /// mass at least is known.
    pub(super) fn pour(&mut self, liquid: &Composition, shown: Settled, rinsed: bool) {
        let Weighed { mass_g, sigma_g } = weighed(shown);
        let mass_g = liquid
            .density(20.0)
            .map_or(mass_g, |estimate| true_mass(mass_g, estimate.density));
        let into = if rinsed || self.strained.is_some() {
            &mut self.after
        } else {
            &mut self.mixture
        };
        if into.add(liquid, mass_g, sigma_g).is_err() {
            into.add_water(mass_g, sigma_g);
        }
    }

    /// So much of it, as mixed as it is, is gone; false where there is not so much.
    pub(super) fn lose(&mut self, shown: Grams) -> bool {
        let kept = 1.0 - f64::from(shown.0) / self.mixture.total_g;
        let possible = self.strained.is_none() && kept > 0.0 && kept <= 1.0;
        if possible {
            self.mixture = self.mixture.share(kept);
        }
        possible
    }

    /// The vessel was stirred or shaken with ice.
    pub(super) fn work(&mut self, work: Work) {
        self.worked = Some(work);
    }

    /// What was strained into the served glass.
    pub(super) fn strain(&mut self, shown: Settled, partly: bool) {
        self.strained = Some(shown);
        self.partly = partly;
    }

    /// What is expected to come out of the vessel, grams: of what was poured, shrunk to one part
    /// in `growth`; and how far that may be off.
    pub(super) fn comes_out_g(&self, growth: f32) -> (f32, f32) {
        let mut melted = self.mixture;
        let Some(work) = self.worked else {
            return (self.poured_g() / growth, 0.0);
        };
        let built_g = melted.total_g;
        let found = melt(&mut melted, dilution::chilling(work));
        let spread = found.map_or(0.0, |found| found.spread) * built_g;
        let stays_g = dilution::hold_up(work).mass_g;
        let out_g = melted.total_g / f64::from(growth) - stays_g;
        (out_g as f32, spread as f32)
    }

    /// What came into the glass.
    pub(super) fn strained_g(&self) -> Option<Grams> {
        self.strained.map(|strained| strained.mass)
    }

    /// The strain tells the water: worked on ice and strained whole.
    pub(super) fn tells_water(&self) -> bool {
        self.worked.is_some() && self.is_strained() && !self.partly
    }

    /// One standard deviation of what was strained and something else together.
    pub(super) fn sigma_with(&self, other: Grams) -> Grams {
        let strained = self.strained.unwrap_or_default().sigma;
        Grams(deviation(strained.0 * strained.0 + other.0 * other.0))
    }

    /// What the glass holds, now that the loss is known.
    pub(super) fn weigh_back(&mut self, lost: Settled, drink: DrinkId) -> DrinkRecord {
        self.lost = Weighed {
            mass_g: lost.mass.0.into(),
            sigma_g: lost.sigma.0.into(),
        };
        self.record(drink)
    }

    /// What such work usually melts into such a drink; `None` as [`melt`].
    pub(super) fn expected(&self) -> Option<Dilution> {
        let mut melted = self.mixture;
        let found = melt(&mut melted, dilution::chilling(self.worked?))?;
        Some(told(DilutionBasis::Expected, &found))
    }

    /// Something has been strained.
    pub(super) fn is_strained(&self) -> bool {
        self.strained.is_some()
    }

    /// What the scale is to show for so much of the drink as it is strained: about as dense as it
    /// is with the water that is expected in it.
    pub(super) fn served_g(&self, volume: Millilitres) -> Grams {
        let mut drink = self.mixture;
        if let Some(work) = self.worked {
            // Without an expectation the water is left out: it moves the density by some percent.
            let _ = melt(&mut drink, dilution::chilling(work));
        }
        let ml = drink.contents().unwrap_or_default().volume_ml;
        let grams_per_ml = if ml > 0.0 { drink.total_g / ml } else { 1.0 };
        Grams(volume.0 * grams_per_ml as f32)
    }

    /// Grams of liquid poured so far.
    pub(super) fn poured_g(&self) -> f32 {
        self.mixture.total_g as f32
    }

    /// What the glass holds now.
    pub(super) fn record(&self, drink: DrinkId) -> DrinkRecord {
        let mut glass = self.mixture;
        let dilution = self.worked.and_then(|work| self.dilute(work, &mut glass));
        let contents = glass.and(&self.after).contents().unwrap_or_default();
        DrinkRecord {
            drink,
            volume: Millilitres(contents.volume_ml as f32),
            volume_sigma: Millilitres(contents.sigma.volume_ml as f32),
            abv_percent: contents.abv_percent as f32,
            abv_sigma_percent: contents.sigma.abv_percent as f32,
            sugar_g_per_l: contents.sugar_g_per_l as f32,
            ethanol: Grams(contents.ethanol_g as f32),
            ethanol_sigma: Grams(contents.sigma.ethanol_g as f32),
            dilution,
        }
    }

    /// Turns what was built into what came into the glass of it, and says how much water did.
    fn dilute(&self, work: Work, glass: &mut Mixture) -> Option<Dilution> {
        let chilling = dilution::chilling(work);
        let (basis, found) = match self.strained {
            Some(shown) => {
                // A drink is about as dense as water: 50 kg/m3 off move it by 6 in 100,000.
                let mut strained = weighed(shown);
                strained.mass_g = true_mass(strained.mass_g, 1000.0);
                let (basis, left) = if self.partly {
                    let mut melted = *glass;
                    let expected = melt(&mut melted, chilling);
                    // What is left in the vessel nobody weighed: it is as uncertain as the melt.
                    let left = Weighed {
                        mass_g: (melted.total_g - strained.mass_g).max(0.0),
                        sigma_g: expected.map_or(0.0, |found| found.spread) * glass.total_g,
                    };
                    (DilutionBasis::Expected, left)
                } else {
                    (DilutionBasis::Weighed, self.stayed(work))
                };
                (basis, strain(glass, strained, left).ok())
            }
            None => (DilutionBasis::Expected, melt(glass, chilling)),
        };
        found.map(|found| told(basis, &found))
    }

    /// What of the liquid did not come into the glass: on ice and vessel, and lost.
    fn stayed(&self, work: Work) -> Weighed {
        let held = dilution::hold_up(work);
        let (one, other) = (held.sigma_g as f32, self.lost.sigma_g as f32);
        Weighed {
            mass_g: (held.mass_g + self.lost.mass_g).max(0.0),
            sigma_g: deviation(one * one + other * other).into(),
        }
    }
}

/// A dilution as it is told.
fn told(basis: DilutionBasis, found: &crate::liquid::dilution::Dilution) -> Dilution {
    Dilution {
        basis,
        percent: 100.0 * found.share as f32,
        sigma_percent: 100.0 * found.spread as f32,
    }
}

/// What the scale told, as a mass.
fn weighed(shown: Settled) -> Weighed {
    Weighed {
        mass_g: f64::from(shown.mass.0.max(0.0)),
        sigma_g: f64::from(shown.sigma.0.max(0.0)),
    }
}
