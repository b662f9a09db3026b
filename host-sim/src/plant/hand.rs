//! A hand: when it moves after a cue, and how far it eases.

use super::draw::{Draws, Process};
use super::table::Table;

/// Least time in which a signal can move a hand at all, seconds (assumption).
const FASTEST_S: f64 = 0.08;

/// A hand that only sees reacts later by this much, seconds: older reviews give sound an
/// advantage of 30-50 ms; a later one finds none (assumption: the middle of the former).
const SIGHT_LATER_S: f64 = 0.040;

/// Share of moments in which the eyes are on the stream, not on the panel, before and after the
/// first cue (assumption: whoever has seen "ease" keeps looking).
const EYES_AWAY_BEFORE: f64 = 0.30;
const EYES_AWAY_AFTER: f64 = 0.10;

/// Mean time until eyes that are away come back, seconds; the light is in the corner of the eye
/// all the while (assumption).
const EYES_BACK_S: f64 = 0.10;

/// The end of a bar is met less exactly by eye than the end of a rising tone (assumption).
const SIGHT_SPREAD: f64 = 1.2;

/// One hand in ten never eases (table's words).
const NEVER_EASES: f64 = 0.1;

/// What a hand is like: drawn once.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct HandNature {
    /// Slower than others by so many seconds.
    pub offset_s: f64,
    /// Share of pours in which it anticipates the end of a ramp.
    pub anticipates: f64,
    /// It does not ease.
    pub never_eases: bool,
    /// Usual eased flow, g/s.
    pub eased_g_s: f64,
    /// Slows by so much every hour.
    pub drift_s_per_hour: f64,
    seed: u64,
}

/// One pour of a hand: all that chance decides, drawn before it begins.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct HandDraw {
    /// From the stop cue to the move, by ear, seconds.
    pub stop_reaction_s: f64,
    /// From the ease cue to the move, by ear, seconds.
    pub ease_reaction_s: f64,
    /// It anticipates the end of the ramp this time.
    pub anticipates: bool,
    /// When it then moves, seconds after the ramp's end.
    pub about_ramp_end_s: f64,
    /// The flow it eases to, g/s; `None` when it never eases.
    pub eased_g_s: Option<f64>,
    /// Most of the flow before that it eases to, a share.
    pub eased_at_most: f64,
    /// Time that takes, seconds.
    pub transition_s: f64,
    /// To read a number, seconds.
    pub reading_s: f64,
    /// A practised reader moves so long before the target, seconds.
    pub margin_s: f64,
    /// Delays of the eyes alone, before and after the first cue, seconds.
    pub eyes_s: [f64; 2],
}

impl HandNature {
    /// Draws a hand.
    #[must_use]
    pub fn drawn(table: &Table, seed: u64) -> Self {
        let law = &table.hand;
        let mut draws = Draws::new(seed, Process::HandNature, 0);
        let [_, _, _, mean, sd] = law.stop_reaction_s.figures;
        let [least, most, ..] = law.stop_with_ramp_s.figures;
        let offset_s = mean + sd * draws.normal();
        let anticipates = draws.between(least, most);
        let never_eases = draws.chance(NEVER_EASES);
        let [median, sigma, ..] = law.eased_flow_g_s.figures;
        Self {
            offset_s,
            anticipates,
            never_eases,
            // Half of the variance lies between hands, half between pours (assumption).
            eased_g_s: median * (sigma * std::f64::consts::FRAC_1_SQRT_2 * draws.normal()).exp(),
            drift_s_per_hour: law.drift_s_per_hour.draw(&mut draws),
            seed,
        }
    }

    /// Draws pour `number` of this hand, `hours` after it began. The same number gives the same
    /// draws, whatever the method.
    #[must_use]
    pub fn pour(&self, table: &Table, number: u64, hours: f64) -> HandDraw {
        let law = &table.hand;
        let mut draws = Draws::new(self.seed, Process::HandPour, number);
        let slower = self.offset_s + self.drift_s_per_hour * hours;
        let mut reaction = |mu: f64, sigma: f64, tau: f64| {
            let usual = draws.ex_gaussian(mu + slower, sigma, tau);
            let lapses = draws.chance(law.lapse.share);
            let extra = draws.exponential(law.lapse.extra_s.figures[0]);
            (usual + if lapses { extra } else { 0.0 }).max(FASTEST_S)
        };
        let [mu, sigma, tau, ..] = law.stop_reaction_s.figures;
        let stop_reaction_s = reaction(mu, sigma, tau);
        let [mu, sigma, tau] = law.ease_reaction_s.figures;
        let ease_reaction_s = reaction(mu, sigma, tau);
        let [_, _, about, divisor, spread] = law.stop_with_ramp_s.figures;
        let anticipates = draws.chance(self.anticipates);
        let about_ramp_end_s = about + slower / divisor + spread * draws.normal();
        let [_, sigma, most_percent, transition, transition_sd] = law.eased_flow_g_s.figures;
        let eased =
            self.eased_g_s * (sigma * std::f64::consts::FRAC_1_SQRT_2 * draws.normal()).exp();
        let transition_s = (transition + transition_sd * draws.normal()).max(0.1);
        let [mean, sd] = law.reading_a_number_s.figures;
        let reading_s = draws.gamma(mean, sd);
        let [mean, sd, least] = law.practised_margin_s.figures;
        let margin_s = (mean + sd * draws.normal()).max(least);
        let eyes_s = [EYES_AWAY_BEFORE, EYES_AWAY_AFTER].map(|share| {
            let away = draws.chance(share);
            let back = draws.exponential(EYES_BACK_S);
            SIGHT_LATER_S + if away { back } else { 0.0 }
        });
        HandDraw {
            stop_reaction_s,
            ease_reaction_s,
            anticipates,
            about_ramp_end_s,
            eased_g_s: (!self.never_eases).then_some(eased),
            eased_at_most: most_percent / 100.0,
            transition_s,
            reading_s,
            margin_s,
            eyes_s,
        }
    }

    /// Mean of the reaction to a stop cue, lapses left out, seconds.
    #[must_use]
    pub fn mean_stop_reaction_s(&self, table: &Table) -> f64 {
        let [mu, _, tau, ..] = table.hand.stop_reaction_s.figures;
        mu + tau + self.offset_s
    }

    /// Mean of the move about a ramp's end, seconds.
    #[must_use]
    pub fn mean_about_ramp_end_s(&self, table: &Table) -> f64 {
        let [_, _, about, divisor, _] = table.hand.stop_with_ramp_s.figures;
        about + self.offset_s / divisor
    }
}

impl HandDraw {
    /// The same pour by a hand that hears nothing.
    #[must_use]
    pub fn by_sight(mut self, table: &Table) -> Self {
        let [before, after] = self.eyes_s;
        let mean = table.hand.stop_with_ramp_s.figures[2];
        self.ease_reaction_s += before;
        self.stop_reaction_s += after;
        self.about_ramp_end_s = mean + SIGHT_SPREAD * (self.about_ramp_end_s - mean);
        self
    }
}
