//! What is really there: for judging, never for the scale.

use super::bench::Bench;
use super::bottle::Bottle;
use super::liquid::{Liquid, LiquidRef};
use super::vessel::{Vessel, VesselRef};

/// What a vessel truly holds.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Held {
    /// Millilitres, as the sum of the volumes of the parts.
    pub volume_ml: f64,
    /// Strength, percent by volume.
    pub abv_percent: f64,
    /// Sugar, grams a litre.
    pub sugar_g_per_l: f64,
    /// Grams of pure alcohol.
    pub ethanol_g: f64,
    /// Grams of water out of ice.
    pub melted_g: f64,
}

impl Bench {
    /// A liquid by its name.
    #[must_use]
    pub fn liquid_named(&self, name: &str) -> Option<LiquidRef> {
        self.liquids
            .iter()
            .take(self.bottles_known)
            .position(|liquid| liquid.name == name)
            .map(LiquidRef)
    }

    /// A liquid of the bench.
    #[must_use]
    pub fn liquid(&self, liquid: LiquidRef) -> Option<&Liquid> {
        self.liquids.get(liquid.0)
    }

    /// The water that ice melts to.
    #[must_use]
    pub fn water(&self) -> LiquidRef {
        LiquidRef(self.bottles_known)
    }

    /// A vessel of the bench.
    #[must_use]
    pub fn vessel(&self, vessel: VesselRef) -> Option<&Vessel> {
        self.vessels.get(vessel.0)
    }

    /// True grams of each bottle's liquid in a vessel, mixtures taken apart.
    #[must_use]
    pub fn contents(&self, vessel: VesselRef) -> Vec<(LiquidRef, f64)> {
        self.vessel(vessel)
            .map_or_else(Vec::new, |vessel| self.resolved(&vessel.liquids))
    }

    pub(super) fn resolved(&self, parts: &[(LiquidRef, f64)]) -> Vec<(LiquidRef, f64)> {
        let mut sums = vec![0.0; self.bottles_known + 1];
        for &(liquid, grams) in parts {
            match liquid.0.checked_sub(self.bottles_known + 1) {
                None => sums[liquid.0] += grams,
                Some(blend) => {
                    for &(part, share) in self.blends.get(blend).into_iter().flatten() {
                        sums[part.0] += grams * share;
                    }
                }
            }
        }
        sums.into_iter()
            .enumerate()
            .filter(|(_, grams)| *grams > 0.0)
            .map(|(liquid, grams)| (LiquidRef(liquid), grams))
            .collect()
    }

    /// What a vessel truly holds.
    #[must_use]
    pub fn held(&self, vessel: VesselRef) -> Held {
        /// Pure ethanol at 20 degC, g/ml (OIML R 22).
        const ETHANOL_G_ML: f64 = 0.789_24;
        let mut held = Held::default();
        let mut ethanol_ml = 0.0;
        let mut sugar_g = 0.0;
        for (liquid, grams) in self.contents(vessel) {
            if liquid == self.water() {
                held.melted_g += grams;
            }
            let liquid = &self.liquids[liquid.0];
            let ml = grams / liquid.density_g_ml;
            held.volume_ml += ml;
            ethanol_ml += ml * liquid.abv_percent / 100.0;
            sugar_g += ml * liquid.sugar_g_per_l / 1000.0;
        }
        if held.volume_ml > 0.0 {
            held.abv_percent = 100.0 * ethanol_ml / held.volume_ml;
            held.sugar_g_per_l = 1000.0 * sugar_g / held.volume_ml;
        }
        held.ethanol_g = ethanol_ml * ETHANOL_G_ML;
        held
    }

    /// What the scale would show of a vessel's contents if it were perfect.
    #[must_use]
    pub fn contents_shown_g(&self, vessel: VesselRef) -> f64 {
        self.vessel(vessel).map_or(0.0, Vessel::contents_shown_g)
    }

    /// Flow out of the tilted bottle, g/s.
    #[must_use]
    pub fn flow_g_s(&self) -> f64 {
        self.bottle.as_ref().map_or(0.0, Bottle::flow_g_s)
    }

    /// Grams that have left the bottle in this pour.
    #[must_use]
    pub fn out_g(&self) -> f64 {
        self.bottle.as_ref().map_or(0.0, Bottle::out_g)
    }

    /// The bottle of this pour has nothing left.
    #[must_use]
    pub fn bottle_is_empty(&self) -> bool {
        self.bottle
            .as_ref()
            .is_some_and(|bottle| bottle.left_g() < 0.01)
    }

    /// Something still flows, hangs, drips or falls.
    #[must_use]
    pub fn still_coming(&self) -> bool {
        self.bottle
            .as_ref()
            .is_some_and(|bottle| !bottle.finished())
            || self.in_air_g() > 1e-9
            || !self.let_go.is_empty()
            || !self.ice.is_empty()
    }

    /// When the first liquid of the last pour landed, microseconds.
    #[must_use]
    pub fn first_landed_us(&self) -> Option<u64> {
        self.first_landed_us
    }

    /// When the stream of the last pour ended on the surface, microseconds; thread and drops
    /// come later.
    #[must_use]
    pub fn stream_ended_us(&self) -> Option<u64> {
        self.stream_ended_us
    }

    /// When something last landed, microseconds.
    #[must_use]
    pub fn last_landed_us(&self) -> Option<u64> {
        self.last_landed_us
    }
}
