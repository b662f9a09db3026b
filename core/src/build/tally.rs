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
    worked: Option<Work>,
    strained: Option<Grams>,
}

impl Tally {
    pub(super) const EMPTY: Self = Self {
        mixture: Mixture {
            total_g: 0.0,
            ethanol_g: 0.0,
            sugar_g: 0.0,
            excess_ml: 0.0,
        },
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
        if self.mixture.add(liquid, mass).is_err() {
            self.mixture.add_water(mass);
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
            (None, _) => (neat, None),
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
        let all = self.with_water(water);
        let share = strained / (strained + hold_up);
        let served = Contents {
            volume_ml: all.volume_ml * share,
            ethanol_g: all.ethanol_g * share,
            ..all
        };
        (served, share_of(water, neat))
    }

    fn expected(&self, work: Work, neat: &Contents) -> (Contents, Option<f64>) {
        match dilution::expected(work, neat.abv_percent / 100.0) {
            Some(share) => {
                let all = self.with_water(share * neat.volume_ml * WATER_G_PER_ML);
                (all, Some(share))
            }
            None => (*neat, None),
        }
    }

    fn with_water(&self, grams: f64) -> Contents {
        let mut all = self.mixture;
        all.add_water(grams);
        all.contents().unwrap_or(NOTHING)
    }
}

const NOTHING: Contents = Contents {
    volume_ml: 0.0,
    abv_percent: 0.0,
    sugar_g_per_l: 0.0,
    ethanol_g: 0.0,
};

fn share_of(water_g: f64, neat: &Contents) -> Option<f64> {
    (neat.volume_ml > 1.0).then(|| water_g / WATER_G_PER_ML / neat.volume_ml)
}
