//! What comes onto the pan beside the drink, or too slowly for a pour.

use super::bench::Bench;
use super::handbook;
use super::liquid::LiquidRef;
use super::vessel::VesselRef;

/// A drop that hangs from a spout until it falls, grams (plant table: 0.030 to 0.050 for thin
/// liquids).
const DROP_G: f64 = 0.05;

/// Liquid that comes at a steady rate, by drops or as a run.
#[derive(Clone, Copy, Debug)]
pub(super) struct Seeping {
    /// Into the vessel where one stands; beside it without.
    liquid: Option<LiquidRef>,
    rate_g_s: f64,
    left_g: f64,
    hanging_g: f64,
}

impl Bench {
    /// A bottle held over the vessel, dripping at `rate_g_s` until `grams` have come.
    pub fn drip(&mut self, liquid: LiquidRef, rate_g_s: f64, grams: f64) {
        self.seeping.push(Seeping {
            liquid: Some(liquid),
            rate_g_s,
            left_g: grams,
            hanging_g: 0.0,
        });
    }

    /// Spills `grams` beside the vessel within `seconds`.
    pub fn spill(&mut self, grams: f64, seconds: f64) {
        self.seeping.push(Seeping {
            liquid: None,
            rate_g_s: grams / seconds,
            left_g: grams,
            hanging_g: 0.0,
        });
    }

    /// Lays a spoon, a towel, a cube beside the vessel, by hand.
    pub fn lay_beside(&mut self, grams: f64) {
        let now_s = self.now_s();
        self.forces.set_down(now_s, grams, &mut self.touch_draws);
        self.lay_down(grams);
    }

    /// Takes up what was laid there.
    pub fn take_up(&mut self, grams: f64) {
        let now_s = self.now_s();
        self.forces.take_hold(now_s, &mut self.touch_draws);
        self.lay_down(-grams);
    }

    /// A bottle's neck or a hand leans on the rim with about `grams`: never quite still, it gives
    /// a tenth either way several times a second (assumption).
    pub fn lean(&mut self, grams: f64, seconds: f64) {
        let (mut begins_s, ends_s) = (self.now_s(), self.now_s() + seconds);
        self.forces.rest(begins_s, seconds, grams, 0.08);
        while begins_s < ends_s {
            let lasts_s = self.touch_draws.between(0.1, 0.3).min(ends_s - begins_s);
            let gives_g = 0.1 * grams * self.touch_draws.normal();
            self.forces.rest(begins_s, lasts_s, gives_g, lasts_s / 2.0);
            begins_s += lasts_s;
        }
    }

    /// Puts ice into a vessel that stands elsewhere.
    pub fn ice_into(&mut self, vessel: VesselRef, grams: f64) {
        let shown_share = handbook::shown_share(handbook::ICE);
        if let Some(vessel) = self.vessels.get_mut(vessel.0) {
            vessel.take_ice(grams, shown_share);
        }
    }

    pub(super) fn seep(&mut self) {
        let shares: Vec<f64> = self
            .seeping
            .iter()
            .map(|seeping| {
                seeping
                    .liquid
                    .map_or(1.0, |liquid| self.shown_share(liquid))
            })
            .collect();
        for (seeping, share) in self.seeping.iter_mut().zip(shares) {
            let comes_g = (seeping.rate_g_s * self.dt).min(seeping.left_g);
            seeping.left_g -= comes_g;
            seeping.hanging_g += comes_g;
            let vessel = self
                .on_pan
                .and_then(|vessel| self.vessels.get_mut(vessel.0));
            match (seeping.liquid, vessel) {
                (Some(liquid), Some(vessel)) => {
                    if seeping.hanging_g >= DROP_G || seeping.left_g <= 0.0 {
                        vessel.take_in(liquid, seeping.hanging_g, share);
                        seeping.hanging_g = 0.0;
                    }
                }
                (Some(_) | None, _) => {
                    self.stray_g += seeping.hanging_g * share;
                    seeping.hanging_g = 0.0;
                }
            }
        }
        self.seeping.retain(|seeping| seeping.left_g > 0.0);
    }
}
