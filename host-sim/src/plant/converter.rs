//! The bridge converter: sinc3, noise, its own idea of the rate, 24 bits.

use super::cell::Cell;
use super::draw::{Draws, Process};
use super::table::Table;

/// Excitation of the bridge, volts (a common low-noise regulator setting; assumption).
const EXCITATION_V: f64 = 4.3;

/// Full scale is half the excitation over a gain of 128, at 2^23 codes.
const GAIN: f64 = 128.0;
const HALF_RANGE: f64 = 8_388_608.0;

/// Zero balance of a cell, share of its rated output: within 5 % either way (maker's glossary).
const ZERO_BALANCE: f64 = 0.05;

/// A conversion as the host reads it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Conversion {
    /// Microseconds since the bench began.
    pub t_us: u64,
    /// Signed 24-bit code.
    pub code: i32,
}

/// The converter as built, and its filter.
#[derive(Clone, Debug)]
pub struct Converter {
    counts_per_gram: f64,
    zero_code: f64,
    kernel: Vec<f64>,
    sums: [f64; 3],
    at: usize,
    steps: usize,
    noise_g: f64,
    noise: Draws,
    jitter: Draws,
    jitter_us: (f64, f64),
}

/// Share of nominal time a conversion takes, drawn once for a converter.
#[must_use]
pub fn drawn_period_s(table: &Table, sps: f64, draws: &mut Draws) -> f64 {
    let [share, low, high, _, fast_low, fast_high] = table.converter.true_rate_error.figures;
    let usual = draws.chance(share / 100.0);
    let percent = if usual {
        draws.between(low, high)
    } else {
        draws.between(fast_low, fast_high)
    };
    1.0 / (sps * (1.0 + percent / 100.0))
}

/// Noise of the table at a rate, nanovolts; between the rates as a power of the rate.
fn noise_nv(table: &Table, sps: f64) -> f64 {
    let mut rows: Vec<(f64, f64)> = table
        .converter
        .noise_nv_rms
        .by_rate
        .iter()
        .filter_map(|(rate, &noise)| Some((rate.parse::<f64>().ok()?, noise)))
        .collect();
    rows.sort_by(|a, b| a.0.total_cmp(&b.0));
    let pair = rows
        .windows(2)
        .find(|pair| sps <= pair[1].0)
        .or_else(|| rows.windows(2).last());
    let Some([(rate0, noise0), (rate1, noise1)]) = pair else {
        return rows.first().map_or(0.0, |row| row.1);
    };
    let along = (sps / rate0).ln() / (rate1 / rate0).ln();
    noise0 * (noise1 / noise0).powf(along)
}

impl Converter {
    /// Draws a converter on `cell` that takes `steps` time steps a conversion.
    #[must_use]
    pub fn drawn(
        table: &Table,
        cell: &Cell,
        sps: f64,
        steps: usize,
        seed: u64,
        draws: &mut Draws,
    ) -> Self {
        let nv_per_gram = cell.sensitivity_mv_v() * EXCITATION_V * 1e6 / cell.capacity_g();
        let nv_per_code = EXCITATION_V / 2.0 / GAIN * 1e9 / HALF_RANGE;
        let counts_per_gram = nv_per_gram / nv_per_code;
        let balance = draws.between(-ZERO_BALANCE, ZERO_BALANCE);
        let factor = table.converter.noise_nv_rms.factor.draw(draws);
        let kernel = sinc3(steps);
        // White noise before the filter, so that neighbouring conversions share some of it;
        // its size is such that one conversion has what the table says.
        let through: f64 = kernel.iter().map(|weight| weight * weight).sum();
        let noise_g = noise_nv(table, sps) * factor / nv_per_gram / through.sqrt();
        let jitter_us = table.converter.read_jitter_us;
        Self {
            counts_per_gram,
            zero_code: (balance * cell.capacity_g() * counts_per_gram).round(),
            kernel,
            sums: [0.0; 3],
            at: 0,
            steps,
            noise_g,
            noise: Draws::new(seed, Process::ConverterNoise, 0),
            jitter: Draws::new(seed, Process::ReadJitter, 0),
            jitter_us: (jitter_us.low, jitter_us.high),
        }
    }

    /// Codes per gram, as a calibration would find them.
    #[must_use]
    pub fn counts_per_gram(&self) -> f64 {
        self.counts_per_gram
    }

    /// Code of the empty pan at calibration.
    #[must_use]
    pub fn zero_code(&self) -> i32 {
        self.zero_code as i32
    }

    /// Noise of one conversion, grams root mean square.
    #[must_use]
    pub fn noise_g(&self) -> f64 {
        let through: f64 = self.kernel.iter().map(|weight| weight * weight).sum();
        self.noise_g * through.sqrt()
    }

    /// Microseconds from the next "ready" to its reading.
    pub fn next_jitter_us(&mut self) -> f64 {
        self.jitter.between(self.jitter_us.0, self.jitter_us.1)
    }

    /// One time step at `grams`; a code when a conversion is complete.
    pub fn step(&mut self, grams: f64) -> Option<i32> {
        let felt = grams + self.noise_g * self.noise.normal();
        let at = self.at;
        for (part, sum) in self.sums.iter_mut().enumerate() {
            *sum += felt * self.kernel[at + (2 - part) * self.steps];
        }
        self.at += 1;
        if self.at < self.steps {
            return None;
        }
        self.at = 0;
        let [done, next, last] = self.sums;
        self.sums = [next, last, 0.0];
        let code = (self.zero_code + done * self.counts_per_gram).round();
        Some(code.clamp(-HALF_RANGE, HALF_RANGE - 1.0) as i32)
    }
}

/// Three boxcars of `steps` after one another, padded to three periods; the sum is one.
fn sinc3(steps: usize) -> Vec<f64> {
    let boxcar = vec![1.0 / steps as f64; steps];
    let mut kernel = boxcar.clone();
    for _ in 0..2 {
        let mut wider = vec![0.0; kernel.len() + steps - 1];
        for (shift, weight) in boxcar.iter().enumerate() {
            for (index, value) in kernel.iter().enumerate() {
                wider[index + shift] += weight * value;
            }
        }
        kernel = wider;
    }
    // The newest step comes last; the missing two are the oldest.
    let mut padded = vec![0.0; 3 * steps - kernel.len()];
    padded.extend(kernel);
    padded
}
