//! Hands and falling things: forces that come and go, and loads that arrive and leave.

use super::draw::Draws;
use super::stream::GRAVITY;

/// How a force runs.
#[derive(Clone, Copy, Debug, PartialEq)]
enum Shape {
    /// Half a sine.
    Blow,
    /// Up within the given seconds, holds, down again.
    Rest(f64),
    /// The same by a hand, which is never still: swings of a share, a frequency and a phase each.
    Hand(f64, [(f64, f64, f64); SWINGS]),
}

/// Swings of a resting hand.
const SWINGS: usize = 5;

/// A force that begins, lasts and ends.
#[derive(Clone, Copy, Debug, PartialEq)]
struct Force {
    begins_s: f64,
    lasts_s: f64,
    peak_g: f64,
    shape: Shape,
}

impl Force {
    fn grams_at(&self, now_s: f64) -> f64 {
        let since = now_s - self.begins_s;
        if since < 0.0 || since > self.lasts_s {
            return 0.0;
        }
        match self.shape {
            Shape::Blow => self.peak_g * (std::f64::consts::PI * since / self.lasts_s).sin(),
            Shape::Rest(edge_s) => self.peak_g * self.edge(since, edge_s),
            Shape::Hand(edge_s, swings) => {
                let mut share = 1.0;
                for (part, hz, phase) in swings {
                    share += part * (std::f64::consts::TAU * hz * since + phase).sin();
                }
                self.peak_g * self.edge(since, edge_s) * share
            }
        }
    }

    /// The share of a force that comes and goes within `edge_s`.
    fn edge(&self, since: f64, edge_s: f64) -> f64 {
        (since / edge_s)
            .min((self.lasts_s - since) / edge_s)
            .min(1.0)
    }
}

/// All forces under way.
#[derive(Clone, Debug, Default)]
pub struct Forces(Vec<Force>);

impl Forces {
    /// Their sum in grams.
    pub fn step(&mut self, now_s: f64) -> f64 {
        if self.0.is_empty() {
            return 0.0;
        }
        self.0
            .retain(|force| now_s <= force.begins_s + force.lasts_s);
        self.0.iter().map(|force| force.grams_at(now_s)).sum()
    }

    /// Something of `mass_g` arrives at `speed_m_s` and is stopped within `within_s`; a share
    /// `rebound` of the speed throws it up once more.
    pub fn strike(
        &mut self,
        begins_s: f64,
        mass_g: f64,
        speed_m_s: f64,
        within_s: f64,
        rebound: f64,
    ) {
        let mut begins_s = begins_s;
        let mut speed = speed_m_s;
        for share in [rebound, 0.0] {
            let momentum = mass_g * speed * (1.0 + share);
            // A half sine of peak p holds 2/pi p T.
            let peak_g = momentum / GRAVITY * std::f64::consts::PI / (2.0 * within_s);
            self.0.push(Force {
                begins_s,
                lasts_s: within_s,
                peak_g,
                shape: Shape::Blow,
            });
            speed *= share;
            if share <= 0.0 {
                break;
            }
            let flight_s = 2.0 * speed / GRAVITY;
            // While it is up it does not weigh.
            self.rest(begins_s + within_s, flight_s, -mass_g, 0.003);
            begins_s += within_s + flight_s;
        }
    }

    /// A hand rests with `grams` for `lasts_s`; it comes and goes within `edge_s`.
    pub fn rest(&mut self, begins_s: f64, lasts_s: f64, grams: f64, edge_s: f64) {
        self.0.push(Force {
            begins_s,
            lasts_s,
            peak_g: grams,
            shape: Shape::Rest(edge_s.min(lasts_s / 2.0).max(1e-4)),
        });
    }

    /// A force of `grams` is there and fades within `within_s`.
    pub fn fade(&mut self, now_s: f64, within_s: f64, grams: f64) {
        self.rest(now_s - within_s, 2.0 * within_s, grams, within_s);
    }

    /// A hand rests for `lasts_s`. Assumptions: it comes and goes within 0.05-0.15 s, and its
    /// force varies by 2-5 % rms (steady contractions of a finger vary by so much, from memory),
    /// four parts of it slow (0.5-4 Hz), one of a quarter the tremor at 8-12 Hz.
    pub fn hand(&mut self, begins_s: f64, lasts_s: f64, grams: f64, draws: &mut Draws) {
        let edge_s = draws.between(0.05, 0.15);
        let rms = draws.between(0.02, 0.05);
        let mut swings = [(0.0, 0.0, 0.0); SWINGS];
        for (part, swing) in swings.iter_mut().enumerate() {
            let (share, hz) = match part {
                0 => (0.25, draws.between(8.0, 12.0)),
                _ => (0.48, draws.between(0.5, 4.0)),
            };
            let phase = draws.between(0.0, std::f64::consts::TAU);
            *swing = (rms * share * std::f64::consts::SQRT_2, hz, phase);
        }
        self.0.push(Force {
            begins_s,
            lasts_s,
            peak_g: grams,
            shape: Shape::Hand(edge_s.min(lasts_s / 2.0), swings),
        });
    }

    /// A hand sets a vessel of `grams` down: a soft blow, then fingers that let go.
    /// Assumptions: 3-12 cm/s at contact; fingers that push or pull by 15 g or so (standard
    /// deviation) and let go within 0.15-0.4 s, never still meanwhile.
    pub fn set_down(&mut self, now_s: f64, grams: f64, draws: &mut Draws) {
        let speed = draws.between(0.03, 0.12);
        let fingers = 15.0 * draws.normal();
        let lasts_s = draws.between(0.15, 0.40);
        self.strike(now_s, grams, speed, 0.025, 0.0);
        self.0.push(Force {
            begins_s: now_s,
            lasts_s,
            peak_g: fingers,
            shape: Shape::Blow,
        });
    }

    /// A hand takes hold before it lifts: a short push or pull (assumption: within 25 g, 0.1 s).
    pub fn take_hold(&mut self, now_s: f64, draws: &mut Draws) {
        let pull = 25.0 * draws.normal();
        self.rest(now_s, 0.10, pull, 0.04);
    }
}

/// How much of a vessel stands on the pan: it comes and goes within a tenth of a second or two.
#[derive(Clone, Copy, Debug)]
pub struct Standing {
    from: f64,
    to: f64,
    begins_s: f64,
    lasts_s: f64,
}

impl Standing {
    /// Nothing there.
    #[must_use]
    pub const fn absent() -> Self {
        Self {
            from: 0.0,
            to: 0.0,
            begins_s: 0.0,
            lasts_s: 1.0,
        }
    }

    /// Comes down from now on.
    #[must_use]
    pub fn arriving(now_s: f64, lasts_s: f64) -> Self {
        Self {
            from: 0.0,
            to: 1.0,
            begins_s: now_s,
            lasts_s,
        }
    }

    /// Goes up, from `begins_s` on.
    #[must_use]
    pub fn leaving(begins_s: f64, lasts_s: f64) -> Self {
        Self {
            from: 1.0,
            to: 0.0,
            begins_s,
            lasts_s,
        }
    }

    /// The share that rests on the pan.
    #[must_use]
    pub fn share(&self, now_s: f64) -> f64 {
        let along = ((now_s - self.begins_s) / self.lasts_s).clamp(0.0, 1.0);
        self.from + (self.to - self.from) * along * along * (3.0 - 2.0 * along)
    }

    /// It is on its way off and has left.
    #[must_use]
    pub fn gone(&self, now_s: f64) -> bool {
        self.to <= 0.0 && now_s >= self.begins_s + self.lasts_s
    }
}
