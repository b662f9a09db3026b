//! The two lines as the pan uses them: their memory at each rate, a quiet reading, and how far they
//! follow a fast pour.

use pennyweight_core::limits::{FAST_TAU_S, FILTER_DELAY_PERIODS, GUIDE_TAU_S, TAU_PERIODS};
use pennyweight_core::spec::{Family, Vessel};
use pennyweight_core::units::AdcCode;
use pennyweight_core::weigh::{Calibration, Line, Pan};
use pennyweight_core::{Input, Instant, Mode, Station};
use pennyweight_sim::plant::{Bench, BenchSetup, Liquid, LiquidRef, Surroundings, Table};
use pennyweight_sim::session::setup_for;
use rand::{RngExt, SeedableRng};
use rand_pcg::Pcg64;

use super::estimator::line_of;

const RATES: [f64; 3] = [10.0, 80.0, 320.0];
/// Samples until the first no longer counts.
const SAMPLES: usize = 400;

/// Intervals of 1 on the mean, each drawn within a quarter of it.
fn uneven(seed: u64) -> Vec<f64> {
    let mut chance = Pcg64::seed_from_u64(seed);
    (0..SAMPLES)
        .map(|_| chance.random_range(0.75..1.25))
        .collect()
}

/// Lags on a flow changing at one, of mass and flow, and noise gains of both.
type Figures = [f64; 4];

/// The closed forms of the estimator's page: P. Zarchan and H. Musoff, Fundamentals of Kalman
/// Filtering, AIAA, ch. on fading-memory filters; from memory.
fn stated(period_s: f64, tau_s: f64) -> Figures {
    let theta = (-period_s / tau_s).exp();
    let (less, more) = (1.0 - theta, 1.0 + theta);
    [
        -(period_s * theta / less).powi(2),
        -period_s * (1.0 + 3.0 * theta) / (2.0 * less),
        (less * (1.0 + 4.0 * theta + 5.0 * theta * theta) / more.powi(3)).sqrt(),
        (2.0 * (less / more).powi(3)).sqrt() / period_s,
    ]
}

/// The same measured; samples further back than sixteen memories are left alone.
fn measured(tau_s: f64, intervals: &[f64]) -> Figures {
    let parabola = line_of(tau_s, intervals, |_, t| t * t / 2.0);
    let mean_s = intervals.iter().sum::<f64>() / intervals.len() as f64;
    let counted = ((16.0 * tau_s / mean_s) as usize + 4).min(intervals.len());
    let (mut mass, mut flow) = (0.0, 0.0);
    for struck in intervals.len() - counted..intervals.len() {
        let line = line_of(tau_s, intervals, |index, _| {
            f64::from(u8::from(index == struck))
        });
        mass += f64::from(line.mass.0).powi(2);
        flow += f64::from(line.flow.0).powi(2);
    }
    let (mass_lag, flow_lag) = (parabola.mass.0.into(), parabola.flow.0.into());
    [mass_lag, flow_lag, mass.sqrt(), flow.sqrt()]
}

#[test]
fn both_lines_lag_and_pass_noise_as_stated_at_every_rate() {
    for sps in RATES {
        let period_s = 1.0 / sps;
        let lines = [(FAST_TAU_S, TAU_PERIODS.0), (GUIDE_TAU_S, TAU_PERIODS.1)];
        for (least_s, periods) in lines {
            let tau_s = f64::from(least_s).max(f64::from(periods) * period_s);
            let stated = stated(period_s, tau_s);
            let even = measured(tau_s, &vec![period_s; SAMPLES]);
            // Where intervals are uneven each instant has figures of its own: their mean.
            let drawn: Vec<Figures> = (0..40)
                .map(|seed| {
                    let times: Vec<f64> = uneven(seed).iter().map(|one| one * period_s).collect();
                    measured(tau_s, &times)
                })
                .collect();
            for (index, stated) in stated.into_iter().enumerate() {
                let mean = drawn.iter().map(|one| one[index]).sum::<f64>() / drawn.len() as f64;
                for (what, found) in [("even", even[index]), ("uneven", mean)] {
                    assert!(
                        (found / stated - 1.0).abs() < 0.1,
                        "{sps} a second, tau {tau_s:.3} s, figure {index}, {what}: {found} {stated}"
                    );
                }
            }
        }
    }
}

fn bench(sps: f64, seed: u64, surroundings: Surroundings) -> Bench {
    let spirit = Liquid::of_strength("rye whiskey", Family::Spirit, 40.0, 0.0);
    let mut setup = BenchSetup::new(sps, seed, vec![spirit]);
    setup.surroundings = surroundings;
    Bench::new(&Table::nominal(), setup)
}

/// Rms of what is shown of a glass that stands for ten seconds, about its mean.
fn quiet_rms(sps: f64, seed: u64) -> f64 {
    let mut bench = bench(sps, seed, Surroundings::Quiet);
    let mut station = Station::new(setup_for(&bench, Mode::Plain));
    let glass = bench.take_vessel(Vessel::Rocks);
    let (mut shown, mut placed) = (Vec::new(), false);
    while bench.now_s() < 20.0 {
        if bench.now_s() > 2.0 && !placed {
            placed = true;
            bench.place(glass);
        }
        let read = bench.read();
        let now = Instant::from_micros(read.t_us);
        let _told = station.handle(now, Input::Code(AdcCode(read.code)));
        if bench.now_s() > 10.0 {
            shown.push(f64::from(station.weight().0.0));
        }
    }
    let mean = shown.iter().sum::<f64>() / shown.len() as f64;
    let squares = shown.iter().map(|one| (one - mean).powi(2)).sum::<f64>();
    (squares / shown.len() as f64).sqrt()
}

/// 20 benches a rate. A median bench keeps to 0.02 g at every rate.
#[test]
fn a_quiet_reading_is_good_to_0_02_g() {
    for sps in RATES {
        let mut all: Vec<f64> = (0..20).map(|seed| quiet_rms(sps, seed)).collect();
        all.sort_by(f64::total_cmp);
        let mean = (all.iter().map(|rms| rms * rms).sum::<f64>() / all.len() as f64).sqrt();
        println!(
            "{sps}: median {:.4}, together {mean:.4}, worst {:.4} g",
            all[10], all[19]
        );
        assert!(all[10] <= 0.02, "{sps}: {all:?}");
    }
}

/// How a pour at this flow is followed: the line less what the pan truly shows, root of the mean
/// square over a steady stream and mean 0.7 s after the tilt, when the stream has just set in,
/// grams; and the mean flow over the true one.
///
/// What the pan truly shows is the mean of the samples around: the jet's force is in it.
fn followed(sps: f64, flow_ml_s: f64, seed: u64) -> [f64; 3] {
    let mut bench = bench(sps, seed, Surroundings::Quiet);
    let calibration = Calibration {
        zero_code: bench.zero_code(),
        counts_per_gram: bench.counts_per_gram() as f32,
    };
    let period_s = bench.period_s();
    let age_s = period_s * f64::from(FILTER_DELAY_PERIODS);
    let mut pan = Pan::new();
    let glass = bench.take_vessel(Vessel::Rocks);
    let mut actions = [2.0, 4.5].into_iter().peekable();
    let mut samples: Vec<(f64, f64)> = Vec::new();
    let mut lines: Vec<(f64, Line, f64)> = Vec::new();
    let mut base = 0.0;
    while bench.now_s() < 8.0 {
        if let Some(at_s) = actions.next_if(|at_s| bench.now_s() > *at_s) {
            if at_s < 3.0 {
                bench.place(glass);
            } else {
                base = f64::from(pan.gross().0);
                bench.tilt(LiquidRef(0), flow_ml_s);
            }
        }
        let read = bench.read();
        let at_s = read.t_us as f64 * 1e-6 - age_s;
        let at = Instant::from_micros((at_s * 1e6) as u64);
        let grams = calibration.grams(AdcCode(read.code));
        samples.push((at_s, f64::from(grams.0) - base));
        if let Some(pouring) = pan.sample(at, grams, period_s as f32).pouring {
            let flow = bench.flow_g_s() * bench.shown_share(LiquidRef(0));
            lines.push((at_s, pouring.line, flow));
        }
    }
    let around = |at_s: f64| {
        let near = samples.iter().filter(|(s, _)| (s - at_s).abs() < 0.11);
        let (sum, times, count) = near.fold((0.0, 0.0, 0.0), |(y, t, n), one| {
            (y + one.1, t + one.0, n + 1.0)
        });
        (sum / count, times / count)
    };
    let error = |(at_s, line, _): &(f64, Line, f64)| {
        let (mean, middle_s) = around(*at_s);
        f64::from(line.at((middle_s - at_s) as f32).0) - mean
    };
    let steady: Vec<_> = lines
        .iter()
        .filter(|one| (6.0..7.8).contains(&one.0))
        .collect();
    let squares = steady.iter().map(|one| error(one).powi(2)).sum::<f64>();
    let flows = steady
        .iter()
        .map(|one| f64::from(one.1.flow.0))
        .sum::<f64>();
    let truths = steady.iter().map(|one| one.2).sum::<f64>();
    let set_in = lines.iter().find(|one| one.0 > 5.2).map_or(f64::NAN, error);
    [
        (squares / steady.len() as f64).sqrt(),
        set_in,
        flows / truths,
    ]
}

#[test]
fn fast_pours_are_followed() {
    for sps in RATES {
        for flow_ml_s in [10.0, 20.0, 30.0, 45.0, 60.0] {
            let all: Vec<_> = (0..8).map(|seed| followed(sps, flow_ml_s, seed)).collect();
            let seen: Vec<_> = all.iter().filter(|one| !one[0].is_nan()).collect();
            let mean =
                |index: usize| seen.iter().map(|one| one[index]).sum::<f64>() / seen.len() as f64;
            println!(
                "{sps:3} a second, {flow_ml_s:2} ml/s: {} of 8 seen, off by {:.2} g, \
                 0.7 s after the tilt {:+.2} g, flow {:+.1} %",
                seen.len(),
                mean(0),
                mean(1),
                100.0 * (mean(2) - 1.0)
            );
            // An open neck may begin as abruptly as what is tipped in, and up to one in four is
            // taken for that.
            let least = if flow_ml_s > 50.0 { 6 } else { 8 };
            assert!(seen.len() >= least, "{sps} {flow_ml_s}: {all:?}");
            // Up to 30 g/s (31 ml/s) as exact as the jet is even; beyond, late where the stream sets
            // in, and by a gram at ten conversions a second.
            let most =
                [0.3, 0.15, 0.005].map(|least| if flow_ml_s > 31.0 { 2.0 * least } else { least });
            assert!(mean(0) < most[0], "{sps} {flow_ml_s}: {all:?}");
            let late = if flow_ml_s > 31.0 && sps < 20.0 {
                1.2
            } else {
                most[1]
            };
            assert!(mean(1).abs() < late, "{sps} {flow_ml_s}: {all:?}");
            assert!(
                (mean(2) - 1.0).abs() < most[2],
                "{sps} {flow_ml_s}: {all:?}"
            );
        }
    }
}
