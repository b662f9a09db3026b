//! Recordings of everything a converter does wrong, made by the plant, and what the station tells
//! of them.
//!
//! The recordings lie in `tests/data/trace`. They are made anew, on purpose only, with
//! `MAKE_TRACES=1 cargo test -p pennyweight-tests -- faults::each_kind_is_told`; what is told of
//! each is a snapshot beside this file, accepted as any other (`INSTA_UPDATE=always`).

use std::fs::{self, File};
use std::io::BufReader;
use std::path::PathBuf;

use pennyweight_core::output::Settled;
use pennyweight_core::spec::{Family, Vessel};
use pennyweight_core::units::{AdcCode, Grams};
use pennyweight_core::weigh::Seen;
use pennyweight_core::{Command, Input, Instant, Mode, Station};
use pennyweight_sim::commands::replay::{ReplayArgs, replay};
use pennyweight_sim::commands::trace::{self, TraceHead, TraceReader, TraceWriter};
use pennyweight_sim::plant::{Bench, BenchSetup, Conversion, Liquid, LiquidRef, Table};
use pennyweight_sim::session::setup_for;
use rand::{RngExt, SeedableRng};
use rand_pcg::Pcg64;

const CODE_MAX: i32 = 8_388_607;
const CODE_MIN: i32 = -8_388_608;
/// Set to make the recordings anew.
const MAKE: &str = "MAKE_TRACES";

/// What a recording shows.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Kind {
    Rail,
    Saturated,
    Broken,
    Reversal,
    Disconnected,
    Stuck,
    Duplicate,
    Gap,
    Silent,
    Jitter,
    Overload,
}

use Kind::{
    Broken, Disconnected, Duplicate, Gap, Jitter, Overload, Rail, Reversal, Saturated, Silent,
    Stuck,
};

const KINDS: [Kind; 11] = [
    Rail,
    Saturated,
    Broken,
    Reversal,
    Disconnected,
    Stuck,
    Duplicate,
    Gap,
    Silent,
    Jitter,
    Overload,
];

impl Kind {
    fn name(self) -> String {
        format!("{self:?}").to_lowercase()
    }

    fn path(self) -> PathBuf {
        let name = format!("{}.csv", self.name());
        [env!("CARGO_MANIFEST_DIR"), "data", "trace", &name]
            .iter()
            .collect()
    }

    fn sps(self) -> f64 {
        match self {
            Overload | Gap => 10.0,
            Jitter => 320.0,
            Rail | Saturated | Broken | Reversal | Disconnected | Stuck | Duplicate | Silent => {
                80.0
            }
        }
    }

    /// How often the gate is to have counted this kind in its recording: at least, at most.
    fn counted(self, seen: &Seen) -> (u32, u32, u32) {
        match self {
            Rail => (seen.rails, 6, 6),
            Saturated => (seen.rails, 80, 80),
            Broken => (seen.broken, 7, 7),
            Reversal => (seen.reversals, 4, 4),
            Disconnected => (seen.saturations, 1, 1),
            Stuck => (seen.stuck, 1, 1),
            Duplicate => (seen.duplicates, 40, 400),
            Gap => (seen.gaps, 3, 8),
            Silent => (seen.gaps, 1, 1),
            Jitter => (seen.jitters, 100, 4000),
            Overload => (seen.rails, 0, 0),
        }
    }
}

/// A bench, and what is read from it.
struct Recording {
    bench: Bench,
    read: Vec<Conversion>,
}

impl Recording {
    fn new(sps: f64, seed: u64) -> Self {
        let spirit = Liquid::of_strength("rye whiskey", Family::Spirit, 40.0, 0.0);
        Self {
            bench: Bench::new(&Table::nominal(), BenchSetup::new(sps, seed, vec![spirit])),
            read: Vec::new(),
        }
    }

    fn until(&mut self, seconds: f64) {
        while (self.bench.next_conversion_us() as f64) < seconds * 1e6 {
            self.read.push(self.bench.read());
        }
    }

    /// A glass is placed, about 30 g poured, the hand stopping by itself, and the glass lifted.
    fn poured(sps: f64, seed: u64) -> Self {
        let mut it = Self::new(sps, seed);
        it.until(2.0);
        let glass = it.bench.take_vessel(Vessel::Rocks);
        it.bench.place(glass);
        it.until(4.5);
        it.bench.tilt(LiquidRef(0), 8.0);
        it.until(8.0);
        it.bench.tilt_back();
        it.until(14.0);
        it.bench.lift();
        it.until(16.0);
        it
    }

    /// More than the cell may carry is laid down and taken away, which bends it by 5 g; the pan is
    /// wiped in vain.
    fn overloaded() -> Self {
        let mut it = Self::new(Overload.sps(), 4);
        it.until(3.0);
        it.bench.lay_down(3600.0);
        it.until(6.0);
        it.bench.wipe();
        let bent = it.read.len();
        it.until(12.0);
        let shift = (5.0 * it.bench.counts_per_gram()) as i32;
        for conversion in &mut it.read[bent..] {
            conversion.code += shift;
        }
        it
    }

    fn at(&self, seconds: f64) -> usize {
        let t_us = (seconds * 1e6) as u64;
        self.read.partition_point(|read| read.t_us < t_us)
    }

    /// Does what `kind` stands for to the conversions; nothing of it lies before the placing.
    fn spoil(&mut self, kind: Kind) {
        let counts = self.bench.counts_per_gram();
        let zero = self.bench.zero_code();
        let mut chance = Pcg64::seed_from_u64(17);
        match kind {
            Rail => {
                for (seconds, code) in [
                    (3.5, CODE_MAX),
                    (5.0, CODE_MIN),
                    (6.5, CODE_MAX),
                    (8.2, CODE_MIN),
                    (9.0, CODE_MAX),
                    (12.0, CODE_MIN),
                ] {
                    let at = self.at(seconds);
                    self.read[at].code = code;
                }
            }
            Saturated => {
                let from = self.at(10.0);
                for read in &mut self.read[from..from + 80] {
                    read.code = CODE_MAX;
                }
            }
            Broken => {
                let broken = |bits: u32| (1 << bits) - 1;
                let single = [(3.5, -1), (5.0, broken(22)), (8.3, -1)];
                let twice = [(6.5, broken(22)), (11.0, -1)];
                for (seconds, code) in single {
                    let at = self.at(seconds);
                    self.read[at].code = code;
                }
                for (seconds, code) in twice {
                    let at = self.at(seconds);
                    self.read[at].code = code;
                    self.read[at + 1].code = code;
                }
            }
            Reversal => {
                for (seconds, grams) in [(3.5, 60.0), (5.5, -90.0), (8.6, 700.0), (11.0, -45.0)] {
                    let at = self.at(seconds);
                    self.read[at].code += (grams * counts) as i32;
                }
            }
            Disconnected => {
                // The input floats with the mains, far beyond the cell's whole range.
                let from = self.at(10.0);
                for (index, read) in self.read[from..from + 80].iter_mut().enumerate() {
                    let side = if index % 2 == 0 { 1.0 } else { -1.0 };
                    let grams = side * chance.random_range(2000.0..6000.0);
                    read.code =
                        (f64::from(zero) + grams * counts).clamp(-8_388_608.0, 8_388_607.0) as i32;
                }
            }
            Stuck => {
                let from = self.at(10.0);
                let code = self.read[from].code;
                for read in &mut self.read[from..from + 200] {
                    read.code = code;
                }
            }
            Duplicate => {
                let twice = |read: &Conversion| {
                    let again = Conversion {
                        t_us: read.t_us + 900,
                        ..*read
                    };
                    let read_again = chance.random_range(0..10) == 0;
                    [Some(*read), read_again.then_some(again)]
                };
                self.read = self.read.iter().flat_map(twice).flatten().collect();
            }
            Gap => {
                for seconds in [3.6, 6.2, 10.0] {
                    let at = self.at(seconds);
                    self.read.remove(at);
                }
                // A reset: the filter fills again before the next conversion is ready.
                let at = self.at(12.0);
                self.read.drain(at..at + 3);
            }
            Silent => {
                let at = self.at(10.0);
                self.read.drain(at..at + 120);
            }
            Jitter => self.jitter(&mut chance),
            Overload => {}
        }
    }

    /// Every conversion is read late by up to two thirds of a period.
    fn jitter(&mut self, chance: &mut Pcg64) {
        let most_us = self.bench.period_s() * 1e6 * 0.66;
        for read in &mut self.read {
            read.t_us += chance.random_range(0.0..most_us) as u64;
        }
    }

    fn of(kind: Kind) -> Self {
        let mut it = match kind {
            Overload => Self::overloaded(),
            _ => Self::poured(kind.sps(), 4),
        };
        it.spoil(kind);
        it
    }

    fn write(&self, kind: Kind) {
        let head = TraceHead {
            counts_per_gram: Some(self.bench.counts_per_gram() as f32),
            zero_code: Some(self.bench.zero_code()),
            sps: Some(self.bench.sps() as f32),
            filter_delay: None,
        };
        let file = File::create(kind.path()).expect("a writable folder");
        let mut writer = TraceWriter::new(file, &head).expect("a writable file");
        for read in &self.read {
            writer
                .row(trace::Conversion {
                    at: Instant::from_micros(read.t_us),
                    code: AdcCode(read.code),
                })
                .expect("a writable file");
        }
        writer.finish().expect("a writable file");
    }

    /// Feeds it to a station; what landed and settled in the end.
    fn results(&self) -> [Option<Settled>; 2] {
        let mut station = Station::new(setup_for(&self.bench, Mode::Service));
        let mut found = [None, None];
        let _told = station.handle(Instant::ZERO, Input::Command(Command::Target(Grams(60.0))));
        for read in &self.read {
            let now = Instant::from_micros(read.t_us);
            let told = station.handle(now, Input::Code(AdcCode(read.code)));
            found[0] = found[0].or(told.landed);
            found[1] = told.steady.or(found[1]);
        }
        found
    }
}

/// The counts of a recording.
fn seen(kind: Kind) -> Seen {
    let file = BufReader::new(File::open(kind.path()).expect("the recording"));
    let mut reader = TraceReader::new(&kind.name(), file).expect("a trace");
    let head = reader.head();
    let mut station = Station::new(pennyweight_core::Setup {
        zero_code: head.zero_code.expect("a zero"),
        counts_per_gram: head.counts_per_gram.expect("a factor"),
        sps: head.sps.expect("a rate"),
        mode: Mode::Plain,
    });
    while let Some(row) = reader.next_row().expect("a row") {
        let _told = station.handle(row.at, Input::Code(row.code));
    }
    *station.seen()
}

#[test]
fn each_kind_is_told_as_it_was_accepted() {
    for kind in KINDS {
        if std::env::var_os(MAKE).is_some() {
            Recording::of(kind).write(kind);
        }
        let trace = fs::read(kind.path()).expect("the recording");
        let mut out = Vec::new();
        let args = ReplayArgs {
            target_g: Some(40.0),
            json: true,
            ..ReplayArgs::default()
        };
        replay(&kind.name(), trace.as_slice(), &args, &mut out).expect("a trace");
        let told = String::from_utf8(out).expect("text");
        insta::assert_snapshot!(kind.name(), told);
    }
}

#[test]
fn each_kind_is_counted() {
    for kind in KINDS {
        let seen = seen(kind);
        let (counted, least, most) = kind.counted(&seen);
        assert!(
            (least..=most).contains(&counted),
            "{kind:?}: {least} to {most} expected, {seen:?}"
        );
    }
}

#[test]
fn a_clean_pour_counts_nothing() {
    for sps in [10.0, 80.0, 320.0] {
        for seed in 0..4 {
            let clean = Recording::poured(sps, seed);
            let mut station = Station::new(setup_for(&clean.bench, Mode::Plain));
            for read in &clean.read {
                let now = Instant::from_micros(read.t_us);
                let _told = station.handle(now, Input::Code(AdcCode(read.code)));
            }
            assert_eq!(station.seen(), &Seen::default(), "{sps} a second, {seed}");
        }
    }
}

#[test]
fn what_is_dropped_uneven_or_read_twice_changes_no_result() {
    for (kind, sps) in [
        (Rail, 80.0),
        (Broken, 80.0),
        (Broken, 320.0),
        (Reversal, 80.0),
        (Duplicate, 80.0),
        (Duplicate, 10.0),
        (Gap, 80.0),
        (Gap, 320.0),
        (Jitter, 80.0),
        (Jitter, 320.0),
    ] {
        for seed in 0..6 {
            let clean = Recording::poured(sps, seed).results();
            let mut spoiled = Recording::poured(sps, seed);
            spoiled.spoil(kind);
            let found = spoiled.results();
            for (expected, found) in clean.iter().zip(&found) {
                let expected = expected.expect("the clean pour settles");
                let found = found.unwrap_or_else(|| panic!("{kind:?}, {sps}, {seed}: no result"));
                assert!(
                    (found.mass - expected.mass).abs() < expected.sigma,
                    "{kind:?} at {sps} a second, seed {seed}: {expected:?} {found:?}"
                );
            }
        }
    }
}

#[test]
fn zero_is_checked_after_an_overload() {
    use pennyweight_core::Event;
    use pennyweight_core::output::Fault;
    use pennyweight_core::view::Page;

    let bent = Recording::overloaded();
    let mut station = Station::new(setup_for(&bent.bench, Mode::Plain));
    let mut told = Vec::new();
    for read in &bent.read {
        let now = Instant::from_micros(read.t_us);
        told.extend(
            station
                .handle(now, Input::Code(AdcCode(read.code)))
                .events(),
        );
    }
    let count = |event: Event| told.iter().filter(|it| **it == event).count();
    assert_eq!(count(Event::Fault(Fault::Overload)), 1, "{told:?}");
    assert_eq!(count(Event::Fault(Fault::Zero)), 1, "{told:?}");
    assert_eq!(station.view().page, Page::Fault(Fault::Zero));
    let last = Instant::from_micros(bent.read.last().expect("some").t_us);
    let zeroed = station.handle(last, Input::Command(Command::Zero));
    assert_eq!((zeroed.fault, zeroed.refused), (None, None));
    let next = Input::Code(AdcCode(bent.read.last().expect("some").code + 1));
    assert!(station.handle(last.offset(0.1), next).cleared);
    assert!(matches!(station.view().page, Page::Weight(_)));
}
