//! Lags and noise gains of the fading-memory line, as its page states them.
//!
//! Theory: the fading-memory polynomial filter of first degree (N. Morrison, Introduction to
//! Sequential Smoothing and Prediction, McGraw-Hill 1969, ch. 13; from memory). Its impulse
//! responses in the limit of short periods are `(2 + x) e^x` for the mass and `(1 + x) e^x` for
//! the flow, `x = t / tau <= 0`. The integrals are taken here by plain quadrature, so that they
//! check both the stated figures and the recurrence.

use pennyweight_core::limits::GUIDE_TAU_S;
use pennyweight_core::units::Grams;
use pennyweight_core::weigh::{Estimator, EstimatorState, Line};
use rand::{RngExt, SeedableRng};
use rand_pcg::Pcg64;

/// The memory of the guiding line.
const TAU_S: f64 = GUIDE_TAU_S as f64;

/// Integral of `f` over the whole past, midpoint rule.
fn past(f: impl Fn(f64) -> f64) -> f64 {
    const STEP: f64 = 1e-4;
    (0..400_000)
        .map(|index| f(-(f64::from(index) + 0.5) * STEP) * STEP)
        .sum()
}

fn mass_weight(x: f64) -> f64 {
    (2.0 + x) * x.exp()
}

fn flow_weight(x: f64) -> f64 {
    (1.0 + x) * x.exp()
}

/// Intervals of `period_s`, all alike or drawn between a half and one and a half of it.
fn intervals(period_s: f64, uneven: bool, count: usize) -> Vec<f64> {
    let mut chance = Pcg64::seed_from_u64(41);
    (0..count)
        .map(|_| match uneven {
            true => period_s * chance.random_range(0.5..1.5),
            false => period_s,
        })
        .collect()
}

fn line(intervals: &[f64], y: impl Fn(usize, f64) -> f64) -> Line {
    line_of(TAU_S, intervals, y)
}

/// The line after samples `y(t)`, `t` counted back from the last one.
pub(super) fn line_of(tau_s: f64, intervals: &[f64], y: impl Fn(usize, f64) -> f64) -> Line {
    let estimator = Estimator {
        tau_s: tau_s as f32,
    };
    let mut state = EstimatorState::EMPTY;
    let mut t = -intervals.iter().sum::<f64>();
    for (index, interval) in intervals.iter().enumerate() {
        t += interval;
        estimator.update(&mut state, *interval as f32, Grams(y(index, t) as f32));
    }
    state.line()
}

/// Root of the sum of squares of what each sample alone does: the noise gains.
fn noise_gains(intervals: &[f64]) -> (f64, f64) {
    let (mut mass, mut flow) = (0.0, 0.0);
    for struck in 0..intervals.len() {
        let line = line(intervals, |index, _| f64::from(u8::from(index == struck)));
        mass += f64::from(line.mass.0).powi(2);
        flow += f64::from(line.flow.0).powi(2);
    }
    (mass.sqrt(), flow.sqrt())
}

fn close(measured: f64, stated: f64, within: f64, what: &str) {
    assert!(
        (measured / stated - 1.0).abs() < within,
        "{what}: {measured} measured, {stated} stated"
    );
}

#[test]
fn the_stated_figures_are_the_integrals() {
    let within =
        |value: f64, stated: f64| assert!((value - stated).abs() < 1e-4, "{value} {stated}");
    // A mass that rests and a steady flow are met without a lag.
    within(past(mass_weight), 1.0);
    within(past(|x| x * mass_weight(x)), 0.0);
    within(past(flow_weight), 0.0);
    within(past(|x| x * flow_weight(x)), 1.0);
    // Half of x^2 is a flow that changes at one.
    within(past(|x| x * x / 2.0 * mass_weight(x)), -1.0);
    within(past(|x| x * x / 2.0 * flow_weight(x)), -2.0);
    within(past(|x| mass_weight(x).powi(2)), 1.25);
    within(past(|x| flow_weight(x).powi(2)), 0.25);
}

#[test]
fn a_steady_flow_has_no_lag() {
    for uneven in [false, true] {
        for period_s in [1.0 / 320.0, 1.0 / 80.0, 1.0 / 10.0] {
            let line = line(&intervals(period_s, uneven, 200), |_, t| 700.0 + 12.5 * t);
            assert!((line.mass.0 - 700.0).abs() < 2e-3, "{line:?}");
            assert!((line.flow.0 - 12.5).abs() < 2e-2, "{line:?}");
        }
    }
}

/// Lags on a flow that changes at one, and noise gains, for even periods: closed forms of the
/// same filter at any period, with `theta = exp(-T / tau)`. The noise gains are the variance
/// reduction factors that textbooks give (Morrison as above; P. Zarchan and H. Musoff,
/// Fundamentals of Kalman Filtering, AIAA, ch. on fading-memory filters; from memory).
struct Even {
    mass_lag: f64,
    flow_lag: f64,
    mass_noise: f64,
    flow_noise: f64,
}

fn even(period_s: f64) -> Even {
    let theta = (-period_s / TAU_S).exp();
    let (less, more) = (1.0 - theta, 1.0 + theta);
    Even {
        mass_lag: -(period_s * theta / less).powi(2),
        flow_lag: -period_s * (1.0 + 3.0 * theta) / (2.0 * less),
        mass_noise: (less * (1.0 + 4.0 * theta + 5.0 * theta * theta) / more.powi(3)).sqrt(),
        flow_noise: (2.0 * (less / more).powi(3)).sqrt() / period_s,
    }
}

/// A flow that begins at 5 g/s a second or more ago and changes at this many g/s2.
const CHANGE: f64 = 40.0;

fn lags(intervals: &[f64]) -> (f64, f64) {
    let line = line(intervals, |_, t| 5.0 * t + CHANGE / 2.0 * t * t);
    let (mass, flow) = (f64::from(line.mass.0), f64::from(line.flow.0) - 5.0);
    (mass / CHANGE, flow / CHANGE)
}

#[test]
fn for_short_periods_lags_and_noise_are_as_stated() {
    for uneven in [false, true] {
        for period_s in [1.0 / 640.0, 1.0 / 320.0] {
            let what = format!("uneven {uneven}, {period_s} s");
            let (mass_lag, flow_lag) = lags(&intervals(period_s, uneven, 1200));
            close(mass_lag, -TAU_S * TAU_S, 0.10, &what);
            close(flow_lag, -2.0 * TAU_S, 0.10, &what);
            let (mass, flow) = noise_gains(&intervals(period_s, uneven, 700));
            close(mass, (1.25 * period_s / TAU_S).sqrt(), 0.10, &what);
            close(flow, (0.25 * period_s / TAU_S.powi(3)).sqrt(), 0.10, &what);
        }
    }
}

#[test]
fn at_every_rate_lags_and_noise_are_those_of_the_textbook() {
    for (period_s, count) in [(1.0 / 320.0, 600), (1.0 / 80.0, 300), (1.0 / 10.0, 60)] {
        let what = format!("{period_s} s");
        let expected = even(period_s);
        let (mass_lag, flow_lag) = lags(&intervals(period_s, false, count));
        close(mass_lag, expected.mass_lag, 0.01, &what);
        close(flow_lag, expected.flow_lag, 0.01, &what);
        let (mass, flow) = noise_gains(&intervals(period_s, false, count));
        close(mass, expected.mass_noise, 0.01, &what);
        close(flow, expected.flow_noise, 0.01, &what);
    }
}

#[test]
fn at_80_a_second_uneven_times_change_little() {
    let expected = even(1.0 / 80.0);
    let times = intervals(1.0 / 80.0, true, 300);
    let (mass_lag, flow_lag) = lags(&times);
    close(mass_lag, expected.mass_lag, 0.10, "mass lag");
    close(flow_lag, expected.flow_lag, 0.10, "flow lag");
    let (mass, flow) = noise_gains(&times);
    close(mass, expected.mass_noise, 0.10, "mass noise");
    close(flow, expected.flow_noise, 0.10, "flow noise");
}
