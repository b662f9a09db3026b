//! What the converter gives: bytes, noise, speed of its filter, independence from the core.

use std::path::Path;

use pennyweight_core::spec::{Family, Vessel};
use pennyweight_sim::plant::{
    Bench, BenchSetup, Conversion, Liquid, LiquidRef, Surroundings, Table,
};

fn bench(seed: u64, sps: f64, surroundings: Surroundings) -> Bench {
    let spirit = Liquid::of_strength("rye whiskey", Family::Spirit, 40.0, 0.0);
    let mut setup = BenchSetup::new(sps, seed, vec![spirit]);
    setup.surroundings = surroundings;
    Bench::new(&Table::nominal(), setup)
}

fn evening(seed: u64) -> Vec<Conversion> {
    let mut bench = bench(seed, 80.0, Surroundings::Shaken);
    let glass = bench.take_vessel(Vessel::Tin);
    let mut codes = Vec::new();
    for second in 0..20_u64 {
        match second {
            2 => bench.place(glass),
            5 => bench.tilt(LiquidRef(0), 8.0),
            7 => bench.set_flow(3.0, 0.3),
            8 => bench.tilt_back(),
            12 => bench.drop_ice(25.0),
            14 => bench.knock(40.0),
            16 => bench.lift(),
            _ => (),
        }
        while bench.next_conversion_us() < (second + 1) * 1_000_000 {
            codes.push(bench.read());
        }
    }
    codes
}

#[test]
fn the_same_seed_gives_the_same_bytes() {
    assert_eq!(evening(3), evening(3));
    assert_ne!(evening(3), evening(4));
}

#[test]
fn a_further_process_does_not_shift_the_draws_of_another() {
    // A dash more moves nothing in the next pour.
    let mut plain = bench(3, 80.0, Surroundings::Quiet);
    let mut dashed = plain.clone();
    dashed.dash(LiquidRef(0), 0.8);
    for bench in [&mut plain, &mut dashed] {
        bench.advance(1_000_000);
        bench.tilt(LiquidRef(0), 8.0);
        bench.advance(3_000_000);
    }
    assert_eq!(plain.out_g(), dashed.out_g());
}

#[test]
fn times_of_reading_jitter_about_a_steady_rate() {
    for sps in [10.0, 80.0, 320.0] {
        let mut bench = bench(6, sps, Surroundings::Quiet);
        let period = bench.period_s();
        assert!(period * sps > 1.0 / 1.18 && period * sps < 1.0 / 0.91);
        for number in 1..200_u64 {
            let said = bench.next_conversion_us();
            let conversion = bench.read();
            assert_eq!(conversion.t_us, said);
            let late = conversion.t_us as f64 - number as f64 * period * 1e6;
            assert!((4.0..=126.0).contains(&late), "{late}");
        }
    }
}

#[test]
fn noise_is_what_the_table_says_for_the_drawn_cell() {
    // Noise of one conversion on a bench at its quietest: converter noise and 5 mg of vibration,
    // of which the filter lets at most all through.
    for sps in [10.0, 80.0, 320.0] {
        let mut bench = bench(12, sps, Surroundings::Quiet);
        bench.advance(1_000_000);
        // Neighbours are 0.394 alike behind a sinc3 at its own rate (B-spline of order 5:
        // 26/66), so the difference has 2 (1 - 0.394) of the variance.
        let codes: Vec<f64> = (0..4000).map(|_| f64::from(bench.read().code)).collect();
        let variance = codes
            .windows(2)
            .map(|pair| (pair[1] - pair[0]).powi(2))
            .sum::<f64>()
            / (codes.len() - 1) as f64
            / (2.0 * (1.0 - 26.0 / 66.0));
        let measured_g = variance.sqrt() / bench.counts_per_gram();
        let stated_g = bench.converter_noise_g();
        assert!(measured_g > 0.93 * stated_g, "{measured_g} {stated_g}");
        assert!(
            measured_g < 1.07 * stated_g.hypot(0.005 * 1.3),
            "{measured_g} {stated_g}"
        );
    }
}

#[test]
fn a_step_passes_the_filter_within_three_conversions() {
    // Three boxcars of one period: the third conversion after a step is free of it.
    let mut bench = bench(2, 10.0, Surroundings::Quiet);
    bench.read();
    bench.lay_down(500.0);
    let grams = |conversion: Conversion| {
        f64::from(conversion.code - bench.zero_code()) / bench.counts_per_gram()
    };
    let read: Vec<f64> = {
        let mut bench = bench.clone();
        (0..4).map(|_| grams(bench.read())).collect()
    };
    // Integrals of a quadratic B-spline: 1/6, 5/6, 1. The platform's ringing takes part.
    assert!((read[0] - 500.0 / 6.0).abs() < 25.0, "{read:?}");
    assert!((read[1] - 2500.0 / 6.0).abs() < 25.0, "{read:?}");
    assert!((read[3] - 500.0).abs() < 2.0, "{read:?}");
}

#[test]
fn codes_keep_to_24_bits() {
    let mut bench = bench(2, 80.0, Surroundings::Quiet);
    bench.lay_down(1e6);
    let last = (0..50).map(|_| bench.read().code).last();
    assert_eq!(last, Some(8_388_607));
}

#[test]
fn the_plant_uses_no_model_of_the_core() {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("../host-sim/src/plant");
    let mut files = 0;
    for entry in std::fs::read_dir(folder).unwrap() {
        let path = entry.unwrap().path();
        let text = std::fs::read_to_string(&path).unwrap();
        files += 1;
        for model in ["liquid", "weigh", "pour", "build", "station"] {
            let named = format!("pennyweight_core::{model}");
            assert!(!text.contains(&named), "{} uses {named}", path.display());
        }
        assert!(
            !text.contains("use pennyweight_core::{"),
            "{}: one path a line",
            path.display()
        );
        assert!(
            text.lines().count() <= 500,
            "{} is too long",
            path.display()
        );
    }
    assert!(files > 15);
}
