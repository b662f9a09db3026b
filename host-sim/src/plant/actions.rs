//! What a person can do at the bench.

use super::bench::{Bench, FallingIce, LetGo};
use super::bottle::Bottle;
use super::draw::{Draws, Process};
use super::handbook;
use super::liquid::{Liquid, LiquidRef, PourDraw, draw_pour};
use super::stirring::Stirring;
use super::stream::GRAVITY;
use super::surroundings::Knock;
use super::touch::Standing;
use super::vessel::VesselRef;
use pennyweight_core::spec::Family;

/// Grams a bottle holds where nobody says otherwise (0.7 l of a thin liquid).
const FULL_BOTTLE_G: f64 = 660.0;

/// Share of the water under a foot that stays on the pan when it is lifted: up to half
/// (assumption).
const PUDDLE_SHARE: f64 = 0.5;

impl Bench {
    /// Sets a vessel on the pan, somewhere near the centre. What stood there is gone.
    pub fn place(&mut self, vessel: VesselRef) {
        let now_s = self.now_s();
        let lasts_s = self.touch_draws.between(0.05, 0.12);
        // Within a centimetre or so of the centre (assumption).
        let off_centre_cm = self.touch_draws.normal();
        self.on_pan = Some(vessel);
        self.standing = Standing::arriving(now_s, lasts_s);
        let Some(placed) = self.vessels.get_mut(vessel.0) else {
            return;
        };
        placed.off_centre_cm = off_centre_cm;
        let grams = placed.shown_g();
        self.forces.set_down(now_s, grams, &mut self.touch_draws);
        if let Some(basin) = self.basin() {
            self.slosh.after_placing(&self.table, basin);
        }
    }

    /// Takes the vessel off the pan; it is gone within a fifth of a second or so.
    pub fn lift(&mut self) {
        let now_s = self.now_s();
        let lasts_s = self.touch_draws.between(0.08, 0.20);
        self.forces.take_hold(now_s, &mut self.touch_draws);
        self.standing = Standing::leaving(now_s + 0.05, lasts_s);
    }

    /// The vessel has left; part of the water under its foot stays.
    pub(super) fn vessel_gone(&mut self) {
        let share = self.touch_draws.between(0.0, PUDDLE_SHARE);
        if let Some(vessel) = self
            .on_pan
            .and_then(|vessel| self.vessels.get_mut(vessel.0))
        {
            let left_g = vessel.wet_base_g * share;
            vessel.wet_base_g -= left_g;
            self.stray_g += left_g;
        }
        self.on_pan = None;
        self.standing = Standing::absent();
        self.slosh.clear();
    }

    /// The vessel on the pan.
    #[must_use]
    pub fn vessel_on_pan(&self) -> Option<VesselRef> {
        self.on_pan
    }

    /// Wipes the pan: a cloth goes over it in a few strokes, what lay there is gone.
    pub fn wipe(&mut self) {
        self.stray_g = 0.0;
        let mut begins_s = self.now_s();
        for _ in 0..4 {
            let grams = self.touch_draws.between(20.0, 150.0);
            let lasts_s = self.touch_draws.between(0.08, 0.18);
            self.forces.rest(begins_s, lasts_s, grams, 0.03);
            begins_s += lasts_s;
        }
    }

    /// Lays something that is no vessel on the pan: a spoon, a towel, a cube beside the tin.
    pub fn lay_down(&mut self, grams: f64) {
        self.stray_g += grams;
    }

    /// Takes up to `grams` out of the vessel on the pan with a spoon, as it is mixed; the spoon
    /// leans on what it touches for a moment (assumption: a few grams, a third of a second).
    pub fn spoon_out(&mut self, grams: f64) {
        let now_s = self.now_s();
        let leans_g = self.touch_draws.between(1.0, 5.0);
        self.forces.rest(now_s, 0.35, leans_g, 0.1);
        let shares: Vec<f64> = self.liquids.iter().map(Liquid::shown_share).collect();
        if let Some(vessel) = self
            .on_pan
            .and_then(|vessel| self.vessels.get_mut(vessel.0))
        {
            let stays_g = (vessel.liquid_g() - grams).max(0.0);
            vessel.drain(stays_g, |liquid| shares[liquid.0]);
        }
    }

    /// Water, spoons and towels on the pan, grams.
    #[must_use]
    pub fn stray_g(&self) -> f64 {
        self.stray_g
    }

    /// The draws of the pour that the next [`Bench::tilt`] begins.
    #[must_use]
    pub fn next_pour(&self, liquid: LiquidRef, flow_ml_s: f64) -> PourDraw {
        let mut draws = Draws::new(self.seed, Process::Bottle, 2 * self.pours);
        draw_pour(
            &self.table,
            &self.hidden,
            &self.liquids[liquid.0],
            flow_ml_s,
            &mut draws,
        )
    }

    /// Tilts a full bottle that usually flows with `flow_ml_s`. Its chance follows from the
    /// bench's seed and the number of the pour alone.
    pub fn tilt(&mut self, liquid: LiquidRef, flow_ml_s: f64) {
        let draw = self.next_pour(liquid, flow_ml_s);
        self.tilt_drawn(liquid, draw, FULL_BOTTLE_G);
    }

    /// Tilts a bottle with a given draw and `left_g` grams in it.
    pub fn tilt_drawn(&mut self, liquid: LiquidRef, draw: PourDraw, left_g: f64) {
        let wander = Draws::new(self.seed, Process::Bottle, 2 * self.pours + 1);
        self.pours += 1;
        self.first_landed_us = None;
        self.stream_ended_us = None;
        self.bottle = Some(Bottle::tilted(liquid, draw, left_g, self.now_s(), wander));
    }

    /// Sets the number of the next pour, so that methods can be compared on the same draws.
    pub fn count_pours_from(&mut self, number: u64) {
        self.pours = number;
    }

    /// Eases the flow to `to_g_s` within `lasts_s`.
    pub fn set_flow(&mut self, to_g_s: f64, lasts_s: f64) {
        let now_s = self.now_s();
        if let Some(bottle) = &mut self.bottle {
            bottle.ease(to_g_s, lasts_s, now_s);
        }
    }

    /// Tilts the bottle back; it stays above the vessel until its last drop.
    pub fn tilt_back(&mut self) {
        let now_s = self.now_s();
        if let Some(bottle) = &mut self.bottle {
            self.flow_at_stop_g_s = bottle.flow_g_s();
            bottle.tilt_back(now_s);
        }
    }

    /// One dash: a jerk of 0.05-0.15 s around the bottle's own `usual_ml`, with a coefficient
    /// of variation of 25 % (table's remark).
    pub fn dash(&mut self, liquid: LiquidRef, usual_ml: f64) {
        let ml = usual_ml * (1.0 + 0.25 * self.dash_draws.normal()).max(0.2);
        let lasts_s = self.dash_draws.between(0.05, 0.15);
        let grams = ml * self.liquids[liquid.0].density_g_ml;
        let fall_m = self.dash_draws.between(0.05, 0.15);
        self.let_go.push(LetGo {
            liquid,
            grams,
            begins_s: self.now_s(),
            lasts_s,
            speed_m_s: 0.5,
            fall_m,
        });
    }

    /// What a bottle of bitters usually gives in one dash, ml: drawn once for a bottle.
    #[must_use]
    pub fn usual_dash_ml(&self, liquid: LiquidRef) -> f64 {
        let bottle = 1_000_000 + liquid.0 as u64;
        let mut draws = Draws::new(self.seed, Process::Dash, bottle);
        self.table.liquid.bitters.dash_ml.draw(&mut draws)
    }

    /// Tips `grams` in at once: a jigger, a barspoon, an egg white; within 0.15-0.5 s from a
    /// few centimetres.
    pub fn tip_in(&mut self, liquid: LiquidRef, grams: f64) {
        let lasts_s = self.dash_draws.between(0.15, 0.50);
        let fall_m = self.dash_draws.between(0.03, 0.10);
        self.let_go.push(LetGo {
            liquid,
            grams,
            begins_s: self.now_s(),
            lasts_s,
            speed_m_s: 0.2,
            fall_m,
        });
    }

    /// Drops a cube of `grams` from a hand 4-10 cm above.
    pub fn drop_ice(&mut self, grams: f64) {
        let fall_m = self.ice_draws.between(0.04, 0.10);
        self.ice.push(FallingIce {
            lands_s: self.now_s() + (2.0 * fall_m / GRAVITY).sqrt(),
            grams,
        });
    }

    /// A cube of the house's ice, grams: 25 mm to 32 mm across (assumption).
    pub fn usual_cube_g(&mut self) -> f64 {
        self.ice_draws.between(14.0, 30.0)
    }

    pub(super) fn ice_lands(&mut self, grams: f64, now_s: f64) {
        // It falls among other cubes and is stopped within 6-12 ms, with a small rebound.
        let speed = self.ice_draws.between(0.7, 1.3);
        let within_s = self.ice_draws.between(0.006, 0.012);
        self.forces.strike(now_s, grams, speed, within_s, 0.2);
        let shown_share = handbook::shown_share(handbook::ICE);
        match self
            .on_pan
            .and_then(|vessel| self.vessels.get_mut(vessel.0))
        {
            Some(vessel) => vessel.take_ice(grams, shown_share),
            None => self.stray_g += grams * shown_share,
        }
        if let Some(basin) = self.basin() {
            self.slosh.after_placing(&self.table, basin);
        }
    }

    /// Turns up to `grams` of a vessel's ice into water.
    pub fn melt(&mut self, vessel: VesselRef, grams: f64) {
        let water = self.water();
        let water_share = self.shown_share(water);
        let ice_share = handbook::shown_share(handbook::ICE);
        if let Some(vessel) = self.vessels.get_mut(vessel.0) {
            vessel.melt(grams, water, ice_share, water_share);
        }
    }

    /// Knocks the bench.
    pub fn knock(&mut self, peak_g: f64) {
        let now_s = self.now_s();
        self.shaking.knock(now_s, peak_g);
    }

    /// A hand rests on the pan or the vessel.
    pub fn press(&mut self, grams: f64, seconds: f64) {
        let now_s = self.now_s();
        let draws = &mut self.resting_draws;
        self.forces.hand(now_s, seconds, grams, draws);
    }

    /// Sets something that is no vessel down beside what stands there: a tin, a jigger, a spoon.
    pub fn set_beside(&mut self, grams: f64) {
        let now_s = self.now_s();
        let draws = &mut self.resting_draws;
        self.forces.set_down(now_s, grams, draws);
        let within_s = draws.between(0.05, 0.12);
        self.forces.fade(now_s, within_s, -grams);
        self.stray_g += grams;
    }

    /// Takes so much of what lies on the pan away again.
    pub fn take_beside(&mut self, grams: f64) {
        let now_s = self.now_s();
        let grams = grams.min(self.stray_g);
        let draws = &mut self.resting_draws;
        self.forces.take_hold(now_s, draws);
        let within_s = draws.between(0.08, 0.20);
        self.forces.fade(now_s, within_s, grams);
        self.stray_g -= grams;
    }

    /// Stirs what stands on the pan for so long, from the spoon going in to its coming out.
    pub fn stir(&mut self, seconds: f64) {
        let now_s = self.now_s();
        let stirring = Stirring::begin(now_s, seconds, &mut self.forces, &mut self.stirring_draws);
        self.stirring = Some(stirring);
    }

    /// Grams with which a spoon and the hand that holds the glass push now.
    pub(super) fn stirring_step(&mut self, now_s: f64) -> f64 {
        let Some(stirring) = &mut self.stirring else {
            return 0.0;
        };
        let pushed = stirring.step(now_s, self.dt, &mut self.forces, &mut self.stirring_draws);
        if pushed.is_none() {
            self.stirring = None;
            // The liquid still turns.
            if let Some(basin) = self.basin() {
                self.slosh.after_placing(&self.table, basin);
            }
        }
        pushed.unwrap_or(0.0)
    }

    /// How many knocks the bench has felt, and the last of them while it rings.
    #[must_use]
    pub fn knocks(&self) -> (u64, Option<Knock>) {
        self.shaking.knocks()
    }

    /// Mixes what is liquid in `vessel` into one liquid, as it would be strained out; `hold_up_g`
    /// stays behind on ice and walls. Returns the mixture and its grams.
    pub fn strain_from(&mut self, vessel: VesselRef, hold_up_g: f64) -> (LiquidRef, f64) {
        let shares: Vec<f64> = self.liquids.iter().map(Liquid::shown_share).collect();
        let out = self.vessels[vessel.0].drain(hold_up_g, |liquid| shares[liquid.0]);
        let grams: f64 = out.iter().map(|(_, part)| part).sum();
        let mut ml = 0.0;
        for &(liquid, part) in &out {
            ml += part / self.liquids[liquid.0].density_g_ml;
        }
        if grams <= 0.0 {
            return (self.water(), 0.0);
        }
        let parts = self.resolved(&out);
        self.blends.push(
            parts
                .iter()
                .map(|&(liquid, part)| (liquid, part / grams))
                .collect(),
        );
        self.liquids.push(Liquid {
            name: "strained".to_owned(),
            density_g_ml: grams / ml,
            family: Family::Spirit,
            abv_percent: 0.0,
            sugar_g_per_l: 0.0,
        });
        (LiquidRef(self.liquids.len() - 1), grams)
    }
}
