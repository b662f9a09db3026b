//! A spoon that stirs a mixing glass on the pan, as the cell feels it.
//!
//! The rod leans, so that the push round the glass has a part downwards which turns with the
//! wrist: a mean, a swing with every turn and a smaller one at twice that. Ice knocks against the
//! glass, the spoon drives out a little liquid and is borne by what it drives out, and the other
//! hand holds the glass by its foot. All figures are assumptions: a push of 50-150 g against the
//! ice along a rod that leans by 10-20 degrees makes 10-50 g downwards; two turns a second or so
//! are common practice, no source.

use super::draw::Draws;
use super::touch::Forces;

/// A spoon at work.
#[derive(Clone, Copy, Debug)]
pub struct Stirring {
    begins_s: f64,
    turns_s: f64,
    ends_s: f64,
    gone_s: f64,
    leaning_g: f64,
    mean_g: f64,
    swing_g: f64,
    second_share: f64,
    turns_hz: f64,
    clatter_hz: f64,
    turned: f64,
    liveliness: f64,
    held_g: f64,
    hold_wander: f64,
    hold_s: f64,
}

/// How quickly the swing and the hold wander, seconds.
const WANDER_TAU_S: f64 = 0.5;
/// By how much of themselves, rms.
const SWING_WANDER: f64 = 0.2;
const HOLD_WANDER: f64 = 0.3;

impl Stirring {
    /// The spoon goes in and the other hand takes hold.
    pub fn begin(now_s: f64, lasts_s: f64, forces: &mut Forces, draws: &mut Draws) -> Self {
        // The bowl meets a cube: 40 g at 0.1-0.4 m/s.
        let speed = draws.between(0.1, 0.4);
        let within_s = draws.between(0.006, 0.012);
        forces.strike(now_s + draws.between(0.05, 0.2), 40.0, speed, within_s, 0.0);
        let turns_s = now_s + draws.between(0.3, 0.7);
        let ends_s = turns_s + lasts_s;
        Self {
            begins_s: now_s,
            turns_s,
            ends_s,
            gone_s: ends_s + draws.between(0.2, 0.5),
            leaning_g: draws.between(3.0, 12.0),
            mean_g: draws.between(5.0, 25.0),
            swing_g: draws.between(5.0, 25.0),
            second_share: draws.between(0.1, 0.4),
            turns_hz: draws.between(1.4, 3.0),
            clatter_hz: draws.between(2.0, 8.0),
            turned: draws.between(0.0, std::f64::consts::TAU),
            liveliness: 0.0,
            // Seven in ten hold the glass.
            held_g: if draws.chance(0.7) {
                15.0 * draws.normal()
            } else {
                0.0
            },
            hold_wander: 0.0,
            // As quickly as a hand takes hold before it lifts.
            hold_s: draws.between(0.04, 0.08),
        }
    }

    /// Grams in this time step; `None` once spoon and hand are gone.
    pub fn step(
        &mut self,
        now_s: f64,
        dt: f64,
        forces: &mut Forces,
        draws: &mut Draws,
    ) -> Option<f64> {
        if now_s >= self.gone_s {
            return None;
        }
        let fade = dt / WANDER_TAU_S;
        let kick = (2.0 * fade).sqrt();
        self.liveliness += kick * SWING_WANDER * draws.normal() - fade * self.liveliness;
        self.hold_wander += kick * HOLD_WANDER * draws.normal() - fade * self.hold_wander;
        let turning = up_and_down(now_s, self.turns_s, self.ends_s, 0.3);
        self.turned +=
            std::f64::consts::TAU * self.turns_hz * (1.0 + 0.3 * self.liveliness) * dt * turning;
        if turning > 0.5 && draws.chance(self.clatter_hz * dt) {
            // A cube of 20 g meets the glass, mostly sideways.
            let speed = draws.between(0.01, 0.05);
            forces.strike(now_s, 20.0, speed, draws.between(0.006, 0.012), 0.0);
        }
        let there = up_and_down(now_s, self.begins_s, self.gone_s, self.hold_s);
        let swing = self.turned.sin() + self.second_share * (2.0 * self.turned).sin();
        Some(
            there * (self.leaning_g + self.held_g) * (1.0 + self.hold_wander)
                + turning * (self.mean_g + self.swing_g * (1.0 + self.liveliness) * swing),
        )
    }
}

/// 0 before `from` and after `to`, 1 between, within `edge_s`.
fn up_and_down(now_s: f64, from: f64, to: f64, edge_s: f64) -> f64 {
    ((now_s - from) / edge_s)
        .min((to - now_s) / edge_s)
        .clamp(0.0, 1.0)
}
