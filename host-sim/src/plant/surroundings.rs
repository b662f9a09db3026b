//! What shakes the bench: neighbours, music, mains, a fan, a shaker put down hard.

use super::draw::{Draws, Process};
use super::stream::band_rms;
use super::table::Table;

/// How lively the bar is.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Surroundings {
    /// Least vibration of the table and nothing else.
    Quiet,
    /// Everything drawn from the table, no knocks.
    #[default]
    Usual,
    /// The most vibration of the table and nothing else.
    Vibration,
    /// The loudest music of the table and the most mains hum, on a quiet table.
    Bass,
    /// The strongest draught of the table on a quiet table.
    Fan,
    /// Knocks now and then on a quiet table.
    Knocks,
    /// The most of everything, and knocks now and then.
    Shaken,
}

/// Mean seconds between knocks where a bar is shaken (assumption).
const KNOCKS_APART_S: f64 = 4.0;

/// A steady tone.
#[derive(Clone, Copy, Debug)]
struct Tone {
    amplitude_g: f64,
    hz: f64,
}

/// A knock that rings: `size_g exp(-t / tau) sin(2 pi f t)`.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Knock {
    /// When it begins, seconds.
    pub begins_s: f64,
    size_g: f64,
    hz: f64,
    tau_s: f64,
}

impl Knock {
    /// The most it truly pushes, grams: at `tan(w t) = w tau`, a little before the first quarter.
    #[must_use]
    pub fn peak_g(&self) -> f64 {
        let omega = std::f64::consts::TAU * self.hz;
        let turned = (omega * self.tau_s).atan();
        self.size_g * (-turned / (omega * self.tau_s)).exp() * turned.sin()
    }
}

/// Everything that shakes.
#[derive(Clone, Debug)]
pub struct Shaking {
    vibration_gain: f64,
    fast: f64,
    slow: f64,
    fast_share: f64,
    slow_share: f64,
    vibration: Draws,
    tones: [Tone; 2],
    draught_rms_g: f64,
    draught_g: f64,
    draught_drive: f64,
    draught: Draws,
    knocks: Vec<Knock>,
    knock_draws: Draws,
    knock_size_g: (f64, f64),
    knocks_felt: u64,
    next_knock_s: Option<f64>,
    steps: u32,
    dt: f64,
}

/// The draught is worked out once in so many steps.
const SLOW_STEPS: u32 = 16;

/// Time constant of each of the two poles that keep a draught below 1 Hz, seconds.
const DRAUGHT_TAU_S: f64 = 0.4;

impl Shaking {
    /// Draws what shakes a bench.
    #[must_use]
    pub fn drawn(
        table: &Table,
        surroundings: Surroundings,
        seed: u64,
        dt: f64,
        draws: &mut Draws,
    ) -> Self {
        let law = &table.bench;
        let mut level = |range: super::table::Range, alone: Surroundings| {
            let usual = range.draw(draws);
            match surroundings {
                Surroundings::Usual => usual,
                Surroundings::Shaken => range.high,
                _ if surroundings == alone => range.high,
                Surroundings::Quiet
                | Surroundings::Vibration
                | Surroundings::Bass
                | Surroundings::Fan
                | Surroundings::Knocks => range.low,
            }
        };
        let vibration_g = level(law.vibration_g_rms, Surroundings::Vibration);
        let bass_g = level(law.bass.g, Surroundings::Bass);
        let mains_g = level(law.mains.g, Surroundings::Bass);
        let draught_g = level(law.fan_draught_g, Surroundings::Fan);
        let bass_hz = law.bass.hz.draw(draws);
        // Either the one or the other.
        let mains_hz = if draws.chance(0.5) {
            law.mains.hz.low
        } else {
            law.mains.hz.high
        };
        let share = |hz: f64| 1.0 - (-std::f64::consts::TAU * hz * dt).exp();
        let (fast_share, slow_share) = (share(35.0), share(6.0));
        let mut knock_draws = Draws::new(seed, Process::Knocks, 0);
        let knocked = matches!(surroundings, Surroundings::Shaken | Surroundings::Knocks);
        let next_knock_s = knocked.then(|| knock_draws.exponential(KNOCKS_APART_S));
        Self {
            vibration_gain: vibration_g / band_rms(fast_share, slow_share),
            fast: 0.0,
            slow: 0.0,
            fast_share,
            slow_share,
            vibration: Draws::new(seed, Process::Vibration, 0),
            tones: [
                Tone {
                    amplitude_g: bass_g,
                    hz: bass_hz,
                },
                Tone {
                    amplitude_g: mains_g,
                    hz: mains_hz,
                },
            ],
            // The table states how far a draught pushes; twice the rms is rarely passed.
            draught_rms_g: draught_g / 2.0,
            draught_g: 0.0,
            draught_drive: 0.0,
            draught: Draws::new(seed, Process::Draught, 0),
            knocks: Vec::new(),
            knock_draws,
            knock_size_g: (law.shaker_knock_g_peak.low, law.shaker_knock_g_peak.high),
            knocks_felt: 0,
            next_knock_s,
            steps: 0,
            dt,
        }
    }

    /// A knock of `size_g` begins: it rings with 16-32 Hz and dies within 0.05-0.12 s (table).
    pub fn knock(&mut self, now_s: f64, size_g: f64) {
        self.knocks_felt += 1;
        let hz = self.knock_draws.between(16.0, 32.0);
        let tau_s = self.knock_draws.between(0.05, 0.12);
        self.knocks.push(Knock {
            begins_s: now_s,
            size_g,
            hz,
            tau_s,
        });
    }

    /// How many knocks there were, and the last of them while it rings.
    #[must_use]
    pub fn knocks(&self) -> (u64, Option<Knock>) {
        (self.knocks_felt, self.knocks.last().copied())
    }

    /// Grams felt in this time step.
    pub fn step(&mut self, now_s: f64) -> f64 {
        if self.steps.is_multiple_of(SLOW_STEPS) {
            self.slow_step(now_s);
        }
        self.steps = self.steps.wrapping_add(1);
        let white = self.vibration.normal();
        self.fast += self.fast_share * (white - self.fast);
        self.slow += self.slow_share * (white - self.slow);
        let mut felt = self.vibration_gain * (self.fast - self.slow) + self.draught_g;
        for tone in &self.tones {
            if tone.amplitude_g > 0.0 {
                felt += tone.amplitude_g * (std::f64::consts::TAU * tone.hz * now_s).sin();
            }
        }
        for knock in &self.knocks {
            let since = now_s - knock.begins_s;
            felt += knock.size_g
                * (-since / knock.tau_s).exp()
                * (std::f64::consts::TAU * knock.hz * since).sin();
        }
        felt
    }

    fn slow_step(&mut self, now_s: f64) {
        let fade = self.dt * f64::from(SLOW_STEPS) / DRAUGHT_TAU_S;
        let push = (2.0 / fade).sqrt() * self.draught.normal();
        self.draught_drive += fade * (push - self.draught_drive);
        // Two equal poles halve the variance of one.
        let goal = std::f64::consts::SQRT_2 * self.draught_rms_g * self.draught_drive;
        self.draught_g += fade * (goal - self.draught_g);
        self.knocks
            .retain(|knock| now_s - knock.begins_s < 12.0 * knock.tau_s);
        if self.next_knock_s.is_some_and(|due| now_s >= due) {
            let size_g = self
                .knock_draws
                .between(self.knock_size_g.0, self.knock_size_g.1);
            self.knock(now_s, size_g);
            self.next_knock_s = Some(now_s + self.knock_draws.exponential(KNOCKS_APART_S));
        }
    }
}
