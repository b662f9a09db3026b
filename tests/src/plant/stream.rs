//! Pours against free fall and the momentum of a jet.

use pennyweight_core::spec::{Family, Vessel};
use pennyweight_sim::plant::{Bench, BenchSetup, Liquid, LiquidRef, PourDraw, Surroundings, Table};

/// Standard gravity, m/s2 (3rd CGPM, 1901).
const G: f64 = 9.806_65;

fn spirit() -> Liquid {
    Liquid::of_strength("rye whiskey", Family::Spirit, 40.0, 0.0)
}

fn syrup() -> Liquid {
    Liquid::of_strength("ginger syrup", Family::Syrup, 0.0, 780.0)
}

/// A quiet bench with an empty glass that has come to rest.
fn bench_with_glass(seed: u64, sps: f64) -> Bench {
    bench_with_noise(seed, sps, 1.0)
}

/// The same with its noises scaled.
fn bench_with_noise(seed: u64, sps: f64, noise: f64) -> Bench {
    let mut setup = BenchSetup::new(sps, seed, vec![spirit(), syrup()]);
    setup.surroundings = Surroundings::Quiet;
    setup.hidden.noise = noise;
    let mut bench = Bench::new(&Table::nominal(), setup);
    let glass = bench.take_vessel(Vessel::Rocks);
    bench.advance(500_000);
    bench.place(glass);
    read_for(&mut bench, 6.0);
    bench
}

/// Mean reading in grams over so many seconds.
fn read_for(bench: &mut Bench, seconds: f64) -> f64 {
    let until = bench.now_s() + seconds;
    let mut sum = 0.0;
    let mut count = 0.0;
    while bench.now_s() < until {
        let code = bench.read().code;
        sum += f64::from(code - bench.zero_code()) / bench.counts_per_gram();
        count += 1.0;
    }
    sum / count
}

/// A pour without chance: constant flow, no pulsing, no drops.
fn plain_pour(flow_g_s: f64, fall_m: f64, exit_m_s: f64) -> PourDraw {
    PourDraw {
        full_g_s: flow_g_s,
        ramp_up_s: 0.3,
        tilt_back_s: 0.02,
        glug: None,
        thread: None,
        drops: Vec::new(),
        exit_m_s,
        fall_m,
        wander: (0.0, 0.8),
    }
}

/// How far the reading of a steady stream lies above what has left the bottle.
fn excess_g(flow_g_s: f64, fall_m: f64, exit_m_s: f64) -> f64 {
    let mut bench = bench_with_glass(77, 320.0);
    let empty = read_for(&mut bench, 2.0);
    bench.tilt_drawn(LiquidRef(0), plain_pour(flow_g_s, fall_m, exit_m_s), 700.0);
    read_for(&mut bench, 2.0);
    let out_before = bench.out_g();
    let steady = read_for(&mut bench, 1.0) - empty;
    let out_mid = f64::midpoint(out_before, bench.out_g());
    // The filter looks back one and a half conversions.
    let excess = steady + 1.5 * bench.period_s() * flow_g_s - out_mid;
    bench.tilt_back();
    read_for(&mut bench, 0.05);
    let out = bench.out_g();
    assert!(bench.in_air_g() > 0.0);
    read_for(&mut bench, 12.0);
    let landed = read_for(&mut bench, 2.0) - empty;
    let shown = out * bench.shown_share(LiquidRef(0));
    assert!((landed - shown).abs() < 0.15, "{landed} {shown}");
    excess
}

/// How far the highest reading of a pour that ends at once lies above what it comes to rest at,
/// on a bench without noise.
fn fall_back_g(flow_g_s: f64, fall_m: f64, exit_m_s: f64) -> f64 {
    let mut bench = bench_with_noise(5, 320.0, 0.0);
    bench.tilt_drawn(LiquidRef(0), plain_pour(flow_g_s, fall_m, exit_m_s), 700.0);
    read_for(&mut bench, 2.0);
    bench.tilt_back();
    let grams =
        |code: i32, bench: &Bench| f64::from(code - bench.zero_code()) / bench.counts_per_gram();
    let until = bench.now_s() + 0.5;
    let mut highest = f64::MIN;
    while bench.now_s() < until {
        let code = bench.read().code;
        highest = highest.max(grams(code, &bench));
    }
    read_for(&mut bench, 8.0);
    highest - read_for(&mut bench, 1.0)
}

#[test]
fn a_steady_stream_reads_what_has_left_the_bottle() {
    // Momentum: Q v1 / g = liquid in the air + Q v0 / g (free fall, v1 = v0 + g t).
    for (flow, fall, exit) in [(5.0, 0.10, 0.2), (8.0, 0.20, 0.3), (20.0, 0.15, 1.0)] {
        let excess = excess_g(flow, fall, exit);
        let expected = flow * exit / G;
        assert!(
            (excess - expected).abs() < 0.15,
            "{flow} g/s: {excess} for {expected}"
        );
    }
}

#[test]
fn momentum_and_liquid_in_the_air_agree_with_free_fall() {
    // The reading falls back by Q v1 / g after a sudden stop; the ranges of the design for
    // 5-10 g/s at 5-25 cm (0.5-2.3 g) and for a fast pourer at 20 g/s (3.5-4.5 g).
    for (flow, fall, exit, least, most) in [
        (5.0, 0.08, 0.15, 0.5, 2.3),
        (8.0, 0.15, 0.20, 0.5, 2.3),
        (10.0, 0.25, 0.35, 0.5, 2.3),
        (20.0, 0.15, 1.0, 3.5, 4.5),
    ] {
        let mut bench = bench_with_glass(5, 320.0);
        bench.tilt_drawn(LiquidRef(0), plain_pour(flow, fall, exit), 700.0);
        bench.advance(bench.now_us() + 2_000_000);
        let arrival = (exit * exit + 2.0 * G * fall).sqrt();
        let in_air = flow * (arrival - exit) / G;
        assert!((bench.in_air_g() - in_air).abs() < 0.02 * in_air + 0.01);
        let back = flow * arrival / G;
        let read = fall_back_g(flow, fall, exit);
        assert!(
            read > least && read < most,
            "{flow} g/s falls back by {read}"
        );
        assert!((read - back).abs() < 0.1 + 0.1 * back, "{read} for {back}");
    }
}

#[test]
fn nothing_is_lost_between_bottle_and_glass() {
    for (number, liquid) in [LiquidRef(0), LiquidRef(1)].into_iter().enumerate() {
        let mut bench = bench_with_glass(31 + number as u64, 80.0);
        let glass = bench.vessel_on_pan().unwrap();
        for _ in 0..5 {
            bench.tilt(liquid, 8.0);
            bench.advance(bench.now_us() + 1_500_000);
            bench.set_flow(3.0, 0.3);
            bench.advance(bench.now_us() + 800_000);
            bench.tilt_back();
            let before: f64 = bench.contents(glass).iter().map(|part| part.1).sum();
            let out_before = bench.out_g() - bench.in_air_g();
            while bench.still_coming() {
                let next = bench.now_us() + 10_000;
                bench.advance(next);
            }
            let after: f64 = bench.contents(glass).iter().map(|part| part.1).sum();
            assert!((after - before - (bench.out_g() - out_before)).abs() < 1e-9);
        }
    }
}

#[test]
fn a_mixture_strained_keeps_its_parts() {
    let mut bench = bench_with_glass(8, 80.0);
    let glass = bench.vessel_on_pan().unwrap();
    bench.tip_in(LiquidRef(0), 40.0);
    bench.advance(bench.now_us() + 2_000_000);
    bench.tip_in(LiquidRef(1), 20.0);
    bench.drop_ice(30.0);
    bench.advance(bench.now_us() + 2_000_000);
    bench.melt(glass, 10.0);
    let (mixture, grams) = bench.strain_from(glass, 3.0);
    assert!((grams - 67.0).abs() < 1e-6, "{grams}");
    let coupe = bench.take_vessel(Vessel::Coupe);
    bench.lift();
    bench.advance(bench.now_us() + 1_000_000);
    bench.place(coupe);
    bench.tip_in(mixture, grams);
    bench.advance(bench.now_us() + 2_000_000);
    let held = bench.contents(coupe);
    let expected = [40.0, 20.0, 10.0].map(|part| part * 67.0 / 70.0);
    for ((_, grams), expected) in held.iter().zip(expected) {
        assert!((grams - expected).abs() < 1e-6, "{held:?}");
    }
    assert!((bench.held(coupe).melted_g - expected[2]).abs() < 1e-6);
}

#[test]
fn a_bottle_runs_dry() {
    let mut bench = bench_with_glass(9, 80.0);
    let draw = plain_pour(10.0, 0.1, 0.2);
    bench.tilt_drawn(LiquidRef(0), draw, 12.0);
    bench.advance(bench.now_us() + 4_000_000);
    assert!(bench.bottle_is_empty());
    assert!((bench.out_g() - 12.0).abs() < 0.02);
}
