//! Codes that no mass can cause: dropped, reported, never averaged in.
//!
//! The kinds are those that makers' sheets and forums describe for two-wire bridge converters:
//! a rail, all ones (data line stuck high), `2^n - 1` (a clock edge lost), a single sample far
//! from its neighbours, and a late next conversion after a reset by a clock held high.

use pennyweight_core::limits::{CODE_MAX, CODE_MIN};
use pennyweight_core::output::Fault;
use pennyweight_core::units::AdcCode;
use pennyweight_core::view::Page;
use pennyweight_core::{Event, Input, Instant, Mode, Setup, Station};
use rand::{RngExt, SeedableRng};
use rand_pcg::Pcg64;

const ZERO_CODE: i32 = -41_300;
const COUNTS_PER_GRAM: f32 = 420.0;
const PERIOD_US: u64 = 12_500;
/// A glass stands there.
const GLASS_G: f64 = 310.0;

/// A station fed by hand, with what it told.
struct Fed {
    station: Station<'static>,
    now_us: u64,
    chance: Pcg64,
    told: Vec<Event>,
}

impl Fed {
    fn new(zero_code: i32) -> Self {
        Self {
            station: Station::new(Setup {
                zero_code,
                counts_per_gram: COUNTS_PER_GRAM,
                sps: 80.0,
                mode: Mode::Plain,
            }),
            now_us: 0,
            chance: Pcg64::seed_from_u64(3),
            told: Vec::new(),
        }
    }

    /// A glass on the pan, everything said about it forgotten.
    fn with_a_glass() -> Self {
        let mut fed = Self::new(ZERO_CODE);
        fed.rest(2.0, 0.0);
        fed.rest(3.0, GLASS_G);
        fed.told.clear();
        fed
    }

    fn code(&mut self, code: i32, after_us: u64) {
        self.now_us += after_us;
        let now = Instant::from_micros(self.now_us);
        let told = self.station.handle(now, Input::Code(AdcCode(code)));
        self.told.extend(told.events());
    }

    /// A code near `grams`, with some ten milligrams of noise.
    fn noisy(&mut self, grams: f64) -> i32 {
        let noise = self.chance.random_range(-0.02..0.02);
        ZERO_CODE + ((grams + noise) * f64::from(COUNTS_PER_GRAM)).round() as i32
    }

    fn rest(&mut self, seconds: f64, grams: f64) {
        for _ in 0..(seconds * 1e6) as u64 / PERIOD_US {
            let code = self.noisy(grams);
            self.code(code, PERIOD_US);
        }
    }

    /// Tenths of a gram as the panel shows them.
    fn shown_dg(&mut self) -> i32 {
        match self.station.view().page {
            Page::Weight(reading) => reading.value,
            page => panic!("a plain weight is shown: {page:?}"),
        }
    }
}

/// Every kind of broken read that is far from the glass.
fn broken_codes() -> Vec<i32> {
    let glass = ZERO_CODE + (GLASS_G * f64::from(COUNTS_PER_GRAM)) as i32;
    let ones = (12..=22).map(|bits| (1 << bits) - 1);
    let jumps = [-700.0, -60.0, 40.0, 900.0, 4000.0];
    let reversals = jumps.map(|grams| glass + (grams * f64::from(COUNTS_PER_GRAM)) as i32);
    [CODE_MAX, CODE_MIN, -1]
        .into_iter()
        .chain(ones)
        .chain(reversals)
        .collect()
}

#[test]
fn a_broken_read_is_dropped_and_reported_and_moves_nothing() {
    for code in broken_codes() {
        let mut fed = Fed::with_a_glass();
        let before = fed.shown_dg();
        fed.code(code, PERIOD_US);
        let mut most = (fed.shown_dg() - before).abs();
        for _ in 0..80 {
            fed.rest(0.0125, GLASS_G);
            most = most.max((fed.shown_dg() - before).abs());
        }
        assert_eq!(fed.told, [Event::Fault(Fault::Glitch)], "{code}");
        assert!(most <= 1, "{code}: the reading moved by {most} dg");
    }
}

#[test]
fn a_broken_read_at_any_place_of_a_pour_moves_no_result() {
    // 8 g/s for 4 s onto the glass; the clean pour first.
    let pour = |struck: Option<(usize, i32)>| {
        let mut fed = Fed::with_a_glass();
        for index in 0..560_usize {
            let poured = 8.0 * (index as f64 * 0.0125).min(4.0);
            let code = fed.noisy(GLASS_G + poured);
            match struck {
                Some((at, broken)) if at == index => fed.code(broken, PERIOD_US),
                _ => fed.code(code, PERIOD_US),
            }
        }
        fed.told
    };
    let landed = |told: &[Event]| {
        told.iter().find_map(|event| match event {
            Event::Landed(settled) => Some(*settled),
            _ => None,
        })
    };
    let clean = landed(&pour(None)).expect("the clean pour lands");
    assert!((clean.mass.0 - 32.0).abs() < 0.1, "{clean:?}");
    for broken in [CODE_MAX, CODE_MIN, -1, (1 << 18) - 1, (1 << 20) - 1] {
        for at in [3, 20, 100, 310, 322, 335, 350] {
            let told = pour(Some((at, broken)));
            let glitches = told
                .iter()
                .filter(|event| **event == Event::Fault(Fault::Glitch))
                .count();
            assert_eq!(glitches, 1, "{broken} at {at}: {told:?}");
            let struck = landed(&told).unwrap_or_else(|| panic!("{broken} at {at}: {told:?}"));
            let moved = (struck.mass - clean.mass).abs();
            assert!(
                moved < clean.sigma,
                "{broken} at {at}: {moved:?} of {clean:?}"
            );
            assert!(!told.iter().any(|event| matches!(
                event,
                Event::Placed(_) | Event::Lifted | Event::Added(_) | Event::Bumped
            )));
        }
    }
}

#[test]
fn a_reset_brings_a_broken_read_and_a_late_conversion() {
    // A clock held high over 60 us resets the converter: the next conversion takes four periods
    // more (its filter fills again).
    for code in broken_codes() {
        let mut fed = Fed::with_a_glass();
        let before = fed.shown_dg();
        fed.code(code, PERIOD_US);
        let next = fed.noisy(GLASS_G);
        fed.code(next, 5 * PERIOD_US);
        fed.rest(1.0, GLASS_G);
        assert_eq!(fed.told, [Event::Fault(Fault::Glitch)], "{code}");
        assert!((fed.shown_dg() - before).abs() <= 1, "{code}");
    }
}

#[test]
fn a_late_conversion_alone_is_no_news() {
    let mut fed = Fed::with_a_glass();
    for late_periods in [2, 3, 5, 9, 20] {
        let code = fed.noisy(GLASS_G);
        fed.code(code, late_periods * PERIOD_US);
        fed.rest(1.0, GLASS_G);
    }
    assert_eq!(fed.told, []);
}

#[test]
fn a_rail_that_stays_is_a_fault_until_it_ends() {
    for rail in [CODE_MAX, CODE_MIN] {
        let mut fed = Fed::with_a_glass();
        let before = fed.shown_dg();
        for _ in 0..40 {
            fed.code(rail, PERIOD_US);
        }
        let page = fed.station.view().page;
        assert_eq!(page, Page::Fault(Fault::Saturated));
        fed.rest(2.0, GLASS_G);
        assert_eq!(fed.told.last(), Some(&Event::Cleared), "{:?}", fed.told);
        assert!(fed.told.contains(&Event::Fault(Fault::Saturated)));
        assert!((fed.shown_dg() - before).abs() <= 1);
    }
}

#[test]
fn a_quiet_pan_at_a_suspicious_code_is_no_fault() {
    // The zero of the calibration is such that the glass stands exactly at the pattern.
    for bits in [14, 16, 18, 20] {
        let glass_counts = (GLASS_G * f64::from(COUNTS_PER_GRAM)) as i32;
        let zero_code = (1 << bits) - 1 - glass_counts;
        let mut fed = Fed::new(zero_code);
        let mut chance = Pcg64::seed_from_u64(9);
        for index in 0..80 * 40 {
            let grams = if index < 160 { 0 } else { glass_counts };
            // Three codes of noise: the pattern itself comes now and then.
            let code = zero_code + grams + chance.random_range(-3..=3);
            fed.code(code, PERIOD_US);
        }
        let told: Vec<&Event> = fed
            .told
            .iter()
            .filter(|event| !matches!(event, Event::Placed(_)))
            .collect();
        assert!(told.is_empty(), "{bits}: {told:?}");
    }
}

#[test]
fn a_real_step_is_let_through() {
    // A tin is set down: far more than a glitch needs, but it stays.
    let mut fed = Fed::new(ZERO_CODE);
    fed.rest(2.0, 0.0);
    fed.told.clear();
    fed.rest(2.0, 1200.0);
    assert!(matches!(fed.told[..], [Event::Placed(grams)] if (grams.0 - 1200.0).abs() < 0.2));
}

#[test]
fn broken_reads_in_a_row_never_pass() {
    for code in [-1, (1 << 20) - 1, (1 << 22) - 1] {
        for row in [2, 3, 10, 100] {
            let mut fed = Fed::with_a_glass();
            let before = fed.shown_dg();
            for _ in 0..row {
                fed.code(code, PERIOD_US);
                assert_eq!(fed.shown_dg(), before, "{code}, {row} in a row");
            }
            fed.rest(1.0, GLASS_G);
            assert_eq!(fed.told, [Event::Fault(Fault::Glitch)], "{code}, {row}");
            assert_eq!(fed.station.seen().broken, row, "{code}");
            assert!((fed.shown_dg() - before).abs() <= 1, "{code}");
        }
    }
}

#[test]
fn a_data_line_stuck_high_is_a_stuck_code() {
    let mut fed = Fed::with_a_glass();
    let before = fed.shown_dg();
    for _ in 0..400 {
        fed.code(-1, PERIOD_US);
    }
    assert_eq!(fed.told, [Event::Fault(Fault::Stuck)]);
    assert_eq!(fed.station.view().page, Page::Fault(Fault::Stuck));
    fed.rest(1.0, GLASS_G);
    assert_eq!(fed.told.last(), Some(&Event::Cleared), "{:?}", fed.told);
    assert!((fed.shown_dg() - before).abs() <= 1);
}

#[test]
fn a_load_that_comes_to_rest_at_a_pattern_is_let_through() {
    // The tin stands exactly at 2^19 - 1, with a code of noise: the pattern comes twice, then its
    // neighbour tells that it is a mass.
    let tin = 1200 * 420;
    let mut fed = Fed::new((1 << 19) - 1 - tin);
    let zero = (1 << 19) - 1 - tin;
    for index in 0..160 {
        fed.code(zero + index % 3, PERIOD_US);
    }
    fed.told.clear();
    for index in 0..160 {
        fed.code(zero + tin + [0, 0, 1][index % 3], PERIOD_US);
    }
    assert!(
        matches!(fed.told[..], [Event::Placed(grams)] if (grams.0 - 1200.0).abs() < 0.2),
        "{:?}",
        fed.told
    );
    assert_eq!(fed.station.seen().broken, 0);
}

#[test]
fn a_conversion_read_twice_neither_counts_nor_shortens_the_period() {
    let mut fed = Fed::with_a_glass();
    for _ in 0..200 {
        let code = fed.noisy(GLASS_G);
        fed.code(code, PERIOD_US - 1_000);
        fed.code(code, 1_000);
    }
    assert_eq!(fed.told, []);
    assert_eq!(fed.station.seen().duplicates, 200);
}

#[test]
fn a_floating_input_is_saturated_and_ends_by_itself() {
    // Swings from one side of the range to the other, not quite to its rails; then rails in turn.
    for (low, high) in [(-4_000_000, 5_000_000), (CODE_MIN, CODE_MAX)] {
        let mut fed = Fed::with_a_glass();
        let before = fed.shown_dg();
        for index in 0..200 {
            fed.code(if index % 2 == 0 { low } else { high }, PERIOD_US);
        }
        assert_eq!(fed.station.view().page, Page::Fault(Fault::Saturated));
        fed.rest(2.0, GLASS_G);
        assert_eq!(fed.told.last(), Some(&Event::Cleared), "{:?}", fed.told);
        assert!((fed.shown_dg() - before).abs() <= 1);
        let saturated = Event::Fault(Fault::Saturated);
        assert_eq!(fed.told.iter().filter(|it| **it == saturated).count(), 1);
    }
}
