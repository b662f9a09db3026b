//! The load cell: a spring that rings, creeps, warms up and wanders.

use super::draw::{Draws, Process};
use super::table::Table;

/// A cell as built, and its state.
#[derive(Clone, Debug)]
pub struct Cell {
    capacity_g: f64,
    sensitivity_mv_v: f64,
    eccentricity: f64,
    ring: Ring,
    creep: [Creeping; 2],
    warm_up_g: f64,
    warm_up_tau_s: f64,
    tempco_g_per_k: f64,
    room_phase: f64,
    room_ramp_k_per_s: f64,
    walk_g: f64,
    walk_g_per_sqrt_s: f64,
    walk_draws: Draws,
    slow_g: f64,
    steps: u32,
    dt: f64,
}

/// Slow errors are worked out once in so many steps.
const SLOW_STEPS: u32 = 16;

/// The room swings by one kelvin either way within an hour (assumption).
const ROOM_SWING_K: f64 = 1.0;
const ROOM_PERIOD_S: f64 = 3600.0;

impl Cell {
    /// Draws a cell that has been powered for `on_for_s` already.
    #[must_use]
    pub fn drawn(table: &Table, seed: u64, dt: f64, on_for_s: f64, draws: &mut Draws) -> Self {
        let law = &table.cell;
        let capacity_g = law.capacity_g.draw(draws);
        let sensitivity_mv_v = law.sensitivity_mv_v.draw(draws);
        let hz = law.platform_mode_hz.draw(draws);
        let damping = law.damping.draw(draws);
        let creep_share = law.creep.share.draw(draws);
        let warm_up_tau_s = law.warm_up_g.tau_s.draw(draws);
        let at_power_up = law.warm_up_g.sd * draws.normal();
        let tempco_g_per_k = law.zero_tempco_share_per_k * capacity_g * draws.normal();
        let per_sqrt_min = law.walk_g_per_sqrt_min.draw(draws);
        Self {
            capacity_g,
            sensitivity_mv_v,
            eccentricity: law.eccentricity.g_per_kg_per_cm,
            ring: Ring::new(hz, damping, dt),
            // Both exponentials carry half (assumption).
            creep: law.creep.two_exponentials_s.map(|tau_s| Creeping {
                share: creep_share / 2.0,
                tau_s,
                now_g: 0.0,
            }),
            warm_up_g: at_power_up * (-on_for_s / warm_up_tau_s).exp(),
            warm_up_tau_s,
            tempco_g_per_k,
            room_phase: draws.between(0.0, std::f64::consts::TAU),
            room_ramp_k_per_s: 0.0,
            walk_g: 0.0,
            walk_g_per_sqrt_s: per_sqrt_min / 60.0_f64.sqrt(),
            walk_draws: Draws::new(seed, Process::ZeroWalk, 0),
            slow_g: 0.0,
            steps: 0,
            dt,
        }
    }

    /// The room warms from the beginning on by so much, besides its usual swing.
    pub fn warm_room(&mut self, kelvin_per_hour: f64) {
        self.room_ramp_k_per_s = kelvin_per_hour / 3600.0;
    }

    /// Rated load, grams.
    #[must_use]
    pub fn capacity_g(&self) -> f64 {
        self.capacity_g
    }

    /// Rated output, mV/V.
    #[must_use]
    pub fn sensitivity_mv_v(&self) -> f64 {
        self.sensitivity_mv_v
    }

    /// What the cell gives, in grams, for a force of `load_g` of which `standing_g` stands
    /// `off_centre_cm` from the centre.
    pub fn step(&mut self, load_g: f64, standing_g: f64, off_centre_cm: f64, now_s: f64) -> f64 {
        if self.steps.is_multiple_of(SLOW_STEPS) {
            self.slow(load_g, now_s);
        }
        self.steps = self.steps.wrapping_add(1);
        let off_centre = self.eccentricity * standing_g / 1000.0 * off_centre_cm;
        self.ring.step(load_g + off_centre) + self.slow_g
    }

    fn slow(&mut self, load_g: f64, now_s: f64) {
        let dt = self.dt * f64::from(SLOW_STEPS);
        let creep: f64 = self
            .creep
            .iter_mut()
            .map(|part| part.step(load_g, dt))
            .sum();
        self.walk_g += self.walk_g_per_sqrt_s * dt.sqrt() * self.walk_draws.normal();
        let room_k = ROOM_SWING_K
            * ((std::f64::consts::TAU * now_s / ROOM_PERIOD_S + self.room_phase).sin()
                - self.room_phase.sin())
            + self.room_ramp_k_per_s * now_s;
        let warming = self.warm_up_g * (-now_s / self.warm_up_tau_s).exp();
        self.slow_g = creep + self.walk_g + self.tempco_g_per_k * room_k + warming;
    }
}

/// One exponential of the creep.
#[derive(Clone, Copy, Debug)]
struct Creeping {
    share: f64,
    tau_s: f64,
    now_g: f64,
}

impl Creeping {
    fn step(&mut self, load_g: f64, dt: f64) -> f64 {
        self.now_g += (self.share * load_g - self.now_g) * dt / self.tau_s;
        self.now_g
    }
}

/// Pan on spring: an oscillator, exact for a force that holds through a time step.
#[derive(Clone, Copy, Debug)]
struct Ring {
    off: f64,
    speed: f64,
    carry: [[f64; 2]; 2],
    now_g: f64,
}

impl Ring {
    fn new(hz: f64, damping: f64, dt: f64) -> Self {
        let omega = std::f64::consts::TAU * hz;
        let fade = (-damping * omega * dt).exp();
        let turn = omega * (1.0 - damping * damping).sqrt();
        let (sin, cos) = (turn * dt).sin_cos();
        let slope = damping * omega / turn;
        Self {
            off: 0.0,
            speed: 0.0,
            carry: [
                [fade * (cos + slope * sin), fade * sin / turn],
                [
                    -fade * sin * omega * omega / turn,
                    fade * (cos - slope * sin),
                ],
            ],
            now_g: 0.0,
        }
    }

    fn step(&mut self, load_g: f64) -> f64 {
        // `off` is the distance from where the present load would hold it at rest.
        self.off += self.now_g - load_g;
        self.now_g = load_g;
        let (off, speed) = (self.off, self.speed);
        let [to_off, to_speed] = self.carry;
        self.off = to_off[0] * off + to_off[1] * speed;
        self.speed = to_speed[0] * off + to_speed[1] * speed;
        load_g + self.off
    }
}
