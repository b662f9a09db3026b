//! Weights put on a cell, without bottles and glasses: for calibrating and proving a scale.

use super::cell::Cell;
use super::converter::{Conversion, Converter, drawn_period_s};
use super::draw::{Draws, Process};
use super::surroundings::{Shaking, Surroundings};
use super::table::Table;

/// A weight is set down or lifted within so long, seconds (assumption).
const SET_DOWN_S: f64 = 0.3;

/// A pan that carries weights.
#[derive(Clone, Debug)]
pub struct Loads {
    cell: Cell,
    converter: Converter,
    shaking: Shaking,
    dt: f64,
    step: u64,
    bow: f64,
    felt_g: f64,
    load_g: f64,
    off_centre_cm: f64,
}

impl Loads {
    /// A cell and a converter drawn from the table, powered for `on_for_s` already.
    ///
    /// `bow` is how far the cell's line is bent at half its capacity, as a share of that
    /// capacity; a sound cell has none.
    #[must_use]
    pub fn drawn(table: &Table, seed: u64, sps: f64, on_for_s: f64, bow: f64) -> Self {
        let mut draws = Draws::new(seed, Process::Device, 0);
        let period_s = drawn_period_s(table, sps, &mut draws);
        let steps = (640.0 / sps).round().max(4.0) as usize;
        let dt = period_s / steps as f64;
        let cell = Cell::drawn(table, seed, dt, on_for_s, &mut draws);
        let converter = Converter::drawn(table, &cell, sps, steps, seed, &mut draws);
        let quiet = Surroundings::Quiet;
        let shaking = Shaking::drawn(table, quiet, seed, dt, &mut draws);
        Self {
            cell,
            converter,
            shaking,
            dt,
            step: 0,
            bow,
            felt_g: 0.0,
            load_g: 0.0,
            off_centre_cm: 0.0,
        }
    }

    /// Codes per gram as built, before creep.
    #[must_use]
    pub fn counts_per_gram(&self) -> f64 {
        self.converter.counts_per_gram()
    }

    /// Code of the empty pan as built.
    #[must_use]
    pub fn zero_code(&self) -> i32 {
        self.converter.zero_code()
    }

    /// Puts a load on in place of what is there.
    pub fn put(&mut self, load_g: f64, off_centre_cm: f64) {
        self.load_g = load_g;
        self.off_centre_cm = off_centre_cm;
    }

    /// Seconds since power-up or the beginning.
    #[must_use]
    pub fn now_s(&self) -> f64 {
        self.step as f64 * self.dt
    }

    /// The next conversion.
    pub fn read(&mut self) -> Conversion {
        loop {
            let now_s = self.now_s();
            self.step += 1;
            let share = self.dt / (SET_DOWN_S / 4.0);
            self.felt_g += share.min(1.0) * (self.load_g - self.felt_g);
            let along = self.felt_g / self.cell.capacity_g();
            let bent_g = 4.0 * self.bow * self.cell.capacity_g() * along * (1.0 - along);
            let load_g = self.felt_g + bent_g + self.shaking.step(now_s);
            let shown = self
                .cell
                .step(load_g, self.felt_g, self.off_centre_cm, now_s);
            if let Some(code) = self.converter.step(shown) {
                let jitter_us = self.converter.next_jitter_us();
                let t_us = (self.now_s() * 1e6 + jitter_us) as u64;
                return Conversion { t_us, code };
            }
        }
    }
}
