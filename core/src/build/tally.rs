//! What is in the vessel, and what the served glass holds.

use crate::liquid::{Composition, Contents, Mixture, true_mass};
use crate::output::DrinkRecord;
use crate::spec::DrinkId;
use crate::units::{Grams, Millilitres};
use crate::view::Work;

use super::dilution;

/// Density of water at 20 degC, g/ml (ITS-90, Tanaka et al. 2001: 998.2067 kg/m3).
const WATER_G_PER_ML: f64 = 0.998_207;

/// Everything poured into one drink.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub(super) struct Tally {
    mixture: Mixture,
    /// What went into the served glass after the strain.
    after: Mixture,
    worked: Option<Work>,
    strained: Option<Grams>,
}

impl Tally {
    pub(super) const EMPTY: Self = Self {
        mixture: NO_MIXTURE,
        after: NO_MIXTURE,
        worked: None,
        strained: None,
    };

    /// Adds what the scale showed of a liquid. A liquid without a density counts as water: its
    /// mass at least is known.
    pub(super) fn pour(&mut self, liquid: &Composition, shown: Grams) {
        let shown = f64::from(shown.0.max(0.0));
        let mass = liquid
            .density(20.0)
            .map_or(shown, |estimate| true_mass(shown, estimate.density));
        let into = if self.strained.is_some() {
            &mut self.after
        } else {
            &mut self.mixture
        };
        if into.add(liquid, mass).is_err() {
            into.add_water(mass);
        }
    }

    /// The vessel was stirred or shaken with ice.
    pub(super) fn work(&mut self, work: Work) {
        self.worked = Some(work);
    }

    /// What was strained into the served glass.
    pub(super) fn strain(&mut self, grams: Grams) {
        self.strained = Some(grams);
    }

    /// Grams of liquid poured so far.
    pub(super) fn poured_g(&self) -> f32 {
        self.mixture.total_g as f32
    }

    /// What the glass holds now.
    pub(super) fn record(&self, drink: DrinkId) -> DrinkRecord {
        let neat = self.mixture.contents().unwrap_or(NOTHING);
        let (contents, dilution) = match (self.worked, self.strained) {
            (Some(work), Some(strained)) => self.weighed(work, strained, &neat),
            (Some(work), None) => self.expected(work, &neat),
            (None, _) => (self.served(&self.mixture, 1.0), None),
        };
        DrinkRecord {
            drink,
            volume: Millilitres(contents.volume_ml as f32),
            abv_percent: contents.abv_percent as f32,
            sugar_g_per_l: contents.sugar_g_per_l as f32,
            ethanol: Grams(contents.ethanol_g as f32),
            dilution_percent: dilution.map(|share| (100.0 * share) as f32),
        }
    }

    /// Water = strained + what stayed behind - liquids.
    fn weighed(&self, work: Work, strained: Grams, neat: &Contents) -> (Contents, Option<f64>) {
        let hold_up = f64::from(dilution::hold_up_g(work));
        let strained = f64::from(strained.0.max(0.0));
        let water = (strained + hold_up - self.mixture.total_g).max(0.0);
        let share = strained / (strained + hold_up);
        let served = self.served(&self.with_water(water), share);
        (served, share_of(water, neat))
    }

    fn expected(&self, work: Work, neat: &Contents) -> (Contents, Option<f64>) {
        match dilution::expected(work, neat.abv_percent / 100.0) {
            Some(share) => {
                let all = self.with_water(share * neat.volume_ml * WATER_G_PER_ML);
                (self.served(&all, 1.0), Some(share))
            }
            None => (*neat, None),
        }
    }

    fn with_water(&self, grams: f64) -> Mixture {
        let mut all = self.mixture;
        all.add_water(grams);
        all
    }

    /// A share of what was built, and what came on top of it in the served glass.
    fn served(&self, built: &Mixture, share: f64) -> Contents {
        let glass = Mixture {
            total_g: built.total_g * share + self.after.total_g,
            ethanol_g: built.ethanol_g * share + self.after.ethanol_g,
            sugar_g: built.sugar_g * share + self.after.sugar_g,
            excess_ml: built.excess_ml * share + self.after.excess_ml,
        };
        glass.contents().unwrap_or(NOTHING)
    }
}

const NO_MIXTURE: Mixture = Mixture {
    total_g: 0.0,
    ethanol_g: 0.0,
    sugar_g: 0.0,
    excess_ml: 0.0,
};

const NOTHING: Contents = Contents {
    volume_ml: 0.0,
    abv_percent: 0.0,
    sugar_g_per_l: 0.0,
    ethanol_g: 0.0,
};

fn share_of(water_g: f64, neat: &Contents) -> Option<f64> {
    (neat.volume_ml > 1.0).then(|| water_g / WATER_G_PER_ML / neat.volume_ml)
}
