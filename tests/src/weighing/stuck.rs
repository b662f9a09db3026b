//! A code that sticks reaches the pan until it is known for one. What settles is not made of it.

use pennyweight_core::output::Fault;
use pennyweight_core::spec::{Family, Vessel};
use pennyweight_core::units::{AdcCode, Grams};
use pennyweight_core::{Command, Input, Instant, Mode, Station};
use pennyweight_sim::plant::{Bench, BenchSetup, Liquid, LiquidRef, Surroundings, Table};
use pennyweight_sim::session::setup_for;

/// When the hand tilts the bottle back, seconds.
const STOPPED_S: f64 = 8.0;

/// What was told: when, seconds; grams; sigma; what had truly landed by then.
type Value = (f64, f64, f64, f64);

#[derive(Debug, Default)]
struct Told {
    values: Vec<Value>,
    stuck: bool,
    cleared_s: f64,
    steady: Option<Value>,
    added_g: f64,
}

/// A pour of about 30 g whose converter gives one code again and again from `from_s` for `lasts_s`.
fn poured(sps: f64, seed: u64, from_s: f64, lasts_s: f64) -> Told {
    let spirit = Liquid::of_strength("rye whiskey", Family::Spirit, 40.0, 0.0);
    let mut setup = BenchSetup::new(sps, seed, vec![spirit]);
    setup.surroundings = Surroundings::Quiet;
    let mut bench = Bench::new(&Table::nominal(), setup);
    let mut station = Station::new(setup_for(&bench, Mode::Service));
    let _told = station.handle(Instant::ZERO, Input::Command(Command::Target(Grams(60.0))));
    let glass = bench.take_vessel(Vessel::Rocks);
    let mut actions = [(2.0, 0_u8), (4.5, 1), (STOPPED_S, 2)]
        .into_iter()
        .peekable();
    let (mut told, mut stuck_code) = (Told::default(), None);
    while bench.now_s() < 20.0 {
        while let Some((_, action)) = actions.next_if(|(at_s, _)| bench.now_s() >= *at_s) {
            match action {
                0 => bench.place(glass),
                1 => bench.tilt(LiquidRef(0), 8.0),
                _ => bench.tilt_back(),
            }
        }
        let conversion = bench.read();
        let now_s = conversion.t_us as f64 * 1e-6;
        let code = if (from_s..from_s + lasts_s).contains(&now_s) {
            *stuck_code.get_or_insert(conversion.code)
        } else {
            conversion.code
        };
        let now = Instant::from_micros(conversion.t_us);
        let outputs = station.handle(now, Input::Code(AdcCode(code)));
        told.stuck |= outputs.fault == Some(Fault::Stuck);
        if outputs.cleared {
            told.cleared_s = now_s;
        }
        told.added_g += outputs.added.map_or(0.0, |grams| f64::from(grams.0));
        let truth = bench.contents_shown_g(glass);
        for settled in [outputs.landed, outputs.amended, outputs.steady]
            .into_iter()
            .flatten()
        {
            let value = (now_s, settled.mass.0.into(), settled.sigma.0.into(), truth);
            told.values.push(value);
            told.steady = outputs.steady.map(|_| value).or(told.steady);
        }
    }
    told
}

/// Beyond two sigma lie a few of 100; the code sticks at 40 instants of a pour and its settling.
#[test]
fn nothing_settles_on_a_code_that_sticks() {
    for sps in [10.0, 80.0, 320.0] {
        let (mut off, mut all) = (0, 0);
        for step in 0..40_u32 {
            // From half a second before the hand stops to long after everything has landed.
            let from_s = STOPPED_S - 0.5 + 0.12 * f64::from(step);
            let told = poured(sps, step.into(), from_s, 3.0);
            let what = format!("{sps} a second, from {from_s:.2} s: {told:?}");
            assert!(told.stuck && told.cleared_s > from_s + 2.0, "{what}");
            // At most two repeats of the code are behind a value.
            let doubted = from_s + 3.0 / sps..told.cleared_s;
            let early = told
                .values
                .iter()
                .filter(|value| doubted.contains(&value.0));
            assert_eq!(early.count(), 0, "{what}");
            // And it all ends well by itself.
            let (_, grams, sigma, truth) = told.steady.expect(&what);
            let error = grams + told.added_g - truth;
            all += 1;
            off += u32::from(error.abs() > 2.0 * sigma);
            assert!(error.abs() < 4.0 * sigma, "{what}");
            assert!(sigma < 0.15, "{what}");
        }
        assert!(
            off * 10 <= all,
            "{sps} a second: {off} of {all} beyond two sigma"
        );
    }
}

#[test]
fn a_code_that_repeats_for_less_delays_a_value_and_changes_none() {
    for from_s in [8.2, 8.4, 8.6] {
        let (told, whole) = (poured(80.0, 3, from_s, 1.0), poured(80.0, 3, from_s, 0.0));
        assert!(!told.stuck);
        let (ours, theirs) = (told.steady.expect("steady"), whole.steady.expect("steady"));
        assert!((ours.1 - theirs.1).abs() < theirs.2, "{ours:?} {theirs:?}");
    }
}
