//! A tilted bottle: how much leaves it, and how fast, from the tilt to the last drop.

use super::draw::Draws;
use super::liquid::{LiquidRef, PourDraw};

/// What leaves a bottle in one time step.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Leaving {
    /// Grams.
    pub grams: f64,
    /// Downward speed at the spout, m/s.
    pub speed_m_s: f64,
}

/// A change of tilt under way.
#[derive(Clone, Copy, Debug)]
struct Tilting {
    from: f64,
    to: f64,
    begun_s: f64,
    lasts_s: f64,
}

impl Tilting {
    /// The share of the full flow at `now`: a smooth step.
    fn share(&self, now: f64) -> f64 {
        let along = ((now - self.begun_s) / self.lasts_s).clamp(0.0, 1.0);
        self.from + (self.to - self.from) * along * along * (3.0 - 2.0 * along)
    }
}

/// What comes after the flow has ended.
#[derive(Clone, Debug)]
struct Tail {
    thread_left_g: f64,
    thread_tau_s: f64,
    next_drop_s: Option<f64>,
    drops: Vec<(f64, f64)>,
}

/// A bottle above the pan.
#[derive(Clone, Debug)]
pub struct Bottle {
    /// What is in it.
    pub liquid: LiquidRef,
    draw: PourDraw,
    tilting: Tilting,
    closing: bool,
    wander: f64,
    wander_draws: Draws,
    left_g: f64,
    out_g: f64,
    tail: Option<Tail>,
    flow_g_s: f64,
}

/// Speed of threads and drops as they let go, m/s (assumption: they hang, then fall).
const LETTING_GO_M_S: f64 = 0.05;

/// A thread thinner than this has broken, grams.
const BROKEN_G: f64 = 0.002;

impl Bottle {
    /// Tilts a bottle that still holds `left_g` grams at `now_s`.
    #[must_use]
    pub fn tilted(
        liquid: LiquidRef,
        draw: PourDraw,
        left_g: f64,
        now_s: f64,
        mut draws: Draws,
    ) -> Self {
        let tilting = Tilting {
            from: 0.0,
            to: 1.0,
            begun_s: now_s,
            lasts_s: draw.ramp_up_s,
        };
        Self {
            liquid,
            wander: draw.wander.0 * draws.normal(),
            draw,
            tilting,
            closing: false,
            wander_draws: draws,
            left_g,
            out_g: 0.0,
            tail: None,
            flow_g_s: 0.0,
        }
    }

    /// Changes the flow to `to_g_s` within `lasts_s`.
    pub fn ease(&mut self, to_g_s: f64, lasts_s: f64, now_s: f64) {
        if !self.closing {
            self.turn(to_g_s / self.draw.full_g_s, lasts_s, now_s);
        }
    }

    /// Tilts it back.
    pub fn tilt_back(&mut self, now_s: f64) {
        if !self.closing {
            self.turn(0.0, self.draw.tilt_back_s, now_s);
            self.closing = true;
        }
    }

    fn turn(&mut self, to: f64, lasts_s: f64, now_s: f64) {
        self.tilting = Tilting {
            from: self.tilting.share(now_s),
            to,
            begun_s: now_s,
            lasts_s: lasts_s.max(1e-3),
        };
    }

    /// The draw behind this pour.
    #[must_use]
    pub fn draw(&self) -> &PourDraw {
        &self.draw
    }

    /// Flow out of the spout now, g/s.
    #[must_use]
    pub fn flow_g_s(&self) -> f64 {
        self.flow_g_s
    }

    /// Grams that have left it since it was tilted.
    #[must_use]
    pub fn out_g(&self) -> f64 {
        self.out_g
    }

    /// Grams still in it.
    #[must_use]
    pub fn left_g(&self) -> f64 {
        self.left_g
    }

    /// Nothing more will come of this pour.
    #[must_use]
    pub fn finished(&self) -> bool {
        self.tail
            .as_ref()
            .is_some_and(|tail| tail.thread_left_g <= 0.0 && tail.next_drop_s.is_none())
    }

    /// One time step of `dt` seconds that ends at `now_s`; true beside it when the flow ended.
    pub fn step(&mut self, now_s: f64, dt: f64) -> (Leaving, bool) {
        if self.tail.is_some() {
            return (self.tail_step(now_s, dt), false);
        }
        let share = self.tilting.share(now_s);
        if self.closing && share <= 0.0 {
            self.end_flow(now_s);
            return (Leaving::default(), true);
        }
        let (rms, tau_s) = self.draw.wander;
        let fade = dt / tau_s;
        self.wander += -self.wander * fade + rms * (2.0 * fade).sqrt() * self.wander_draws.normal();
        let pulse = self.draw.glug.map_or(0.0, |(depth, hz, phase)| {
            depth * (std::f64::consts::TAU * hz * now_s + phase).sin()
        });
        let full = self.draw.full_g_s;
        let asked = full * share * (1.0 + self.wander).max(0.2) * (1.0 + pulse);
        // The last third of a second's worth runs out ever slower.
        let running_dry = (self.left_g / (full / 3.0)).min(1.0);
        self.flow_g_s = asked * running_dry;
        let grams = (self.flow_g_s * dt).min(self.left_g);
        self.left_g -= grams;
        self.out_g += grams;
        // Through one opening, half as fast means half as much liquid at the lip, a little less
        // deep: speed goes with the square root of the flow (assumption).
        let speed_m_s = self.draw.exit_m_s * (self.flow_g_s / full).clamp(0.04, 2.0).sqrt();
        (Leaving { grams, speed_m_s }, false)
    }

    fn end_flow(&mut self, now_s: f64) {
        self.flow_g_s = 0.0;
        let (thread_left_g, thread_tau_s) = self.draw.thread.unwrap_or((0.0, 1.0));
        let mut drops = self.draw.drops.clone();
        drops.reverse();
        self.tail = Some(Tail {
            thread_left_g: thread_left_g.min(self.left_g),
            thread_tau_s,
            next_drop_s: drops.last().map(|&(gap_s, _)| now_s + gap_s),
            drops,
        });
    }

    fn tail_step(&mut self, now_s: f64, dt: f64) -> Leaving {
        let Some(tail) = &mut self.tail else {
            return Leaving::default();
        };
        let mut grams = tail.thread_left_g * dt / tail.thread_tau_s;
        if tail.thread_left_g < BROKEN_G {
            grams = tail.thread_left_g;
        }
        tail.thread_left_g -= grams;
        if tail.next_drop_s.is_some_and(|due| now_s >= due) {
            grams += tail.drops.pop().map_or(0.0, |(_, drop_g)| drop_g);
            tail.next_drop_s = tail.drops.last().map(|&(gap_s, _)| now_s + gap_s);
        }
        let grams = grams.min(self.left_g);
        self.left_g -= grams;
        self.out_g += grams;
        self.flow_g_s = if grams > 0.0 { grams / dt } else { 0.0 };
        Leaving {
            grams,
            speed_m_s: LETTING_GO_M_S,
        }
    }
}
