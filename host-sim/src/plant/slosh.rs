//! Waves in a glass, as a cell feels them.
//!
//! A wave of the first antisymmetric mode of a round vessel exerts no vertical force to first
//! order; its centre of mass rises and sinks twice a swing. For a wave height `a`,
//! `m z = rho a^2 pi R^2 c / 2` with `c = (1 - 1/k^2) / 2`, `k = 1.841` (the first zero of J1'),
//! so the force swings at twice the frequency with `(2 w)^2 m z / 2`: 0.07 g for 1 mm at
//! R = 35 mm. Off the centre the swing itself is felt a little.

use super::draw::Draws;
use super::stream::GRAVITY;
use super::table::Table;

/// First zero of the derivative of the Bessel function J1 (Abramowitz and Stegun, table 9.5).
const FIRST_ZERO: f64 = 1.841_18;

/// Height of the wave a pour of 10 g/s leaves behind, metres: scale of a half-normal.
/// Assumption: a thin jet stirs a 70 mm glass to a millimetre or so.
const WAVE_AFTER_POUR_M: f64 = 1.2e-3;

/// Height of the wave after a glass is set down with liquid in it, metres (assumption).
const WAVE_AFTER_PLACING_M: f64 = 2.5e-3;

/// Grams felt for each metre of wave and centimetre off the centre (assumption: 0.03 g for 1 mm
/// and 1 cm, the sideways push of the wave on a stand that yields a little).
const OFF_CENTRE_G_PER_M_CM: f64 = 30.0;

/// The wave in the vessel on the pan.
#[derive(Clone, Debug)]
pub struct Slosh {
    // Height of the wave as a turning pointer, metres.
    x: f64,
    y: f64,
    turn_cos: f64,
    turn_sin: f64,
    twice_g_per_m2: f64,
    dt: f64,
    hidden: f64,
    draws: Draws,
}

/// What a wave needs to know of the vessel it is in.
#[derive(Clone, Copy, Debug)]
pub struct Basin {
    /// Inner radius, metres.
    pub radius_m: f64,
    /// Liquid in it, millilitres.
    pub liquid_ml: f64,
    /// Share of the liquid that is syrup.
    pub syrup_share: f64,
    /// There is ice in it.
    pub ice: bool,
}

impl Basin {
    fn area_m2(&self) -> f64 {
        std::f64::consts::PI * self.radius_m * self.radius_m
    }

    fn depth_m(&self) -> f64 {
        self.liquid_ml * 1e-6 / self.area_m2()
    }
}

impl Slosh {
    /// A flat surface.
    #[must_use]
    pub fn new(dt: f64, hidden: f64, draws: Draws) -> Self {
        Self {
            x: 0.0,
            y: 0.0,
            turn_cos: 1.0,
            turn_sin: 0.0,
            twice_g_per_m2: 0.0,
            dt,
            hidden,
            draws,
        }
    }

    /// The vessel is gone.
    pub fn clear(&mut self) {
        self.x = 0.0;
        self.y = 0.0;
    }

    /// A pour that flowed with `flow_g_s` has ended.
    pub fn after_pour(&mut self, table: &Table, basin: Basin, flow_g_s: f64) {
        let scale = WAVE_AFTER_POUR_M * (flow_g_s / 10.0).clamp(0.0, 4.0).sqrt();
        self.excite(table, basin, scale);
    }

    /// The vessel was set down.
    pub fn after_placing(&mut self, table: &Table, basin: Basin) {
        self.excite(table, basin, WAVE_AFTER_PLACING_M);
    }

    fn excite(&mut self, table: &Table, basin: Basin, scale_m: f64) {
        let [
            _,
            _,
            _,
            _,
            least_hz,
            most_hz,
            spirit_low,
            spirit_high,
            syrup_low,
            syrup_high,
        ] = table.glass.slosh.figures;
        let wave_number = FIRST_ZERO / basin.radius_m;
        let omega2 = GRAVITY * wave_number * (wave_number * basin.depth_m()).tanh();
        let hz = (omega2.sqrt() / std::f64::consts::TAU).clamp(least_hz, most_hz);
        let omega = std::f64::consts::TAU * hz;
        let spirit_s = self.draws.between(spirit_low, spirit_high);
        let syrup_s = self.draws.between(syrup_low, syrup_high);
        let thin = 1.0 - basin.syrup_share;
        // Ice breaks a wave within a few swings (assumption: three times as fast).
        let with_ice = if basin.ice { 3.0 } else { 1.0 };
        let tau_s = spirit_s.powf(thin) * syrup_s.powf(basin.syrup_share) / with_ice;
        let fade = (-self.dt / tau_s).exp();
        self.turn_cos = fade * (omega * self.dt).cos();
        self.turn_sin = fade * (omega * self.dt).sin();
        let shape = (1.0 - 1.0 / (FIRST_ZERO * FIRST_ZERO)) / 2.0;
        // m z = rho a^2 A c / 2; half of it swings; newtons to grams.
        let swinging = 1000.0 * basin.area_m2() * shape / 4.0;
        self.twice_g_per_m2 = 4.0 * omega * omega * swinging / GRAVITY * 1000.0;
        // A wave cannot be higher than a third of what is there (assumption).
        let highest = basin.depth_m() / 3.0;
        let height = (scale_m * self.hidden * self.draws.normal().abs()).min(highest);
        let phase = self.draws.between(0.0, std::f64::consts::TAU);
        self.x += height * phase.cos();
        self.y += height * phase.sin();
    }

    /// Grams felt in this time step.
    pub fn step(&mut self, off_centre_cm: f64) -> f64 {
        if self.x == 0.0 && self.y == 0.0 {
            return 0.0;
        }
        let (x, y) = (self.x, self.y);
        self.x = x * self.turn_cos - y * self.turn_sin;
        self.y = x * self.turn_sin + y * self.turn_cos;
        if self.x.abs() + self.y.abs() < 1e-7 {
            self.clear();
        }
        let twice = self.twice_g_per_m2 * (self.x * self.x - self.y * self.y);
        twice + OFF_CENTRE_G_PER_M_CM * off_centre_cm * self.x
    }
}
