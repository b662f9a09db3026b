//! Hidden parameters moved together, to see what rests on them.

use serde::Serialize;

use super::draw::{Draws, Process};
use super::table::Table;

/// Factors on what the scale cannot know.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Hidden {
    /// Flow of every bottle.
    pub flow: f64,
    /// Times to begin and to end a pour.
    pub ramps: f64,
    /// Size and number of drops.
    pub drips: f64,
    /// Thread of a syrup.
    pub thread: f64,
    /// Height of fall and speed at the spout.
    pub fall: f64,
    /// Height of the waves.
    pub slosh: f64,
    /// Every noise.
    pub noise: f64,
    /// Reaction times and their spread.
    pub hand: f64,
}

impl Default for Hidden {
    fn default() -> Self {
        Self::all(1.0)
    }
}

impl Hidden {
    /// The same factor on all of them: 0.8 is all low by 20 %, 1.2 all high.
    #[must_use]
    pub const fn all(factor: f64) -> Self {
        Self {
            flow: factor,
            ramps: factor,
            drips: factor,
            thread: factor,
            fall: factor,
            slosh: factor,
            noise: factor,
            hand: factor,
        }
    }

    /// Each drawn on its own, uniformly within `spread` (0.2 is 20 %) of one.
    #[must_use]
    pub fn random(seed: u64, spread: f64) -> Self {
        let mut draws = Draws::new(seed, Process::Hidden, 0);
        let mut factor = || draws.between(1.0 - spread, 1.0 + spread);
        Self {
            flow: factor(),
            ramps: factor(),
            drips: factor(),
            thread: factor(),
            fall: factor(),
            slosh: factor(),
            noise: factor(),
            hand: factor(),
        }
    }

    /// The table with these factors applied. Flow and slosh are applied where they are used:
    /// a flow may be asked for by name, and the table holds no wave height.
    #[must_use]
    pub fn applied(&self, table: &Table) -> Table {
        let mut scaled = table.clone();
        for law in [
            &mut scaled.liquid.spirit,
            &mut scaled.liquid.syrup,
            &mut scaled.liquid.juice,
        ] {
            law.ramp_up_s = law.ramp_up_s.scaled(self.ramps);
            law.tilt_back_s = law.tilt_back_s.scaled(self.ramps);
            law.drops_after.mean_count *= self.drips;
            law.drops_after.drop_g = law.drops_after.drop_g.scaled(self.drips);
            if let Some(thread) = &mut law.thread_tail {
                thread.g.figures[0] *= self.thread;
                thread.tau_s *= self.thread;
            }
        }
        scaled.stream.fall_m = scaled.stream.fall_m.scaled(self.fall);
        scaled.stream.exit_m_s = scaled.stream.exit_m_s.scaled(self.fall);
        scaled.stream.jet_roughness *= self.noise;
        let bench = &mut scaled.bench;
        bench.vibration_g_rms = bench.vibration_g_rms.scaled(self.noise);
        bench.bass.g = bench.bass.g.scaled(self.noise);
        bench.mains.g = bench.mains.g.scaled(self.noise);
        bench.fan_draught_g = bench.fan_draught_g.scaled(self.noise);
        let converter = &mut scaled.converter.noise_nv_rms;
        converter.factor = converter.factor.scaled(self.noise);
        let hand = &mut scaled.hand;
        // mu, sigma and tau of a reaction, and the spread between hands.
        for figure in &mut hand.stop_reaction_s.figures {
            *figure *= self.hand;
        }
        for figure in &mut hand.ease_reaction_s.figures {
            *figure *= self.hand;
        }
        // Mean and spread about the ramp's end; shares and the divisor stay.
        hand.stop_with_ramp_s.figures[2] *= self.hand;
        hand.stop_with_ramp_s.figures[4] *= self.hand;
        hand.eased_flow_g_s.figures[3] *= self.hand;
        hand.eased_flow_g_s.figures[4] *= self.hand;
        for figure in &mut hand.reading_a_number_s.figures {
            *figure *= self.hand;
        }
        scaled
    }
}
