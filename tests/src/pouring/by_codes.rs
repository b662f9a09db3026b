//! Readings written out in place of the simulated bench: a hand that leans on the pan with about what
//! is asked for, whose force is never quite still, and dashes as a slow converter shows them.

use std::f64::consts::TAU;

use pennyweight_core::input::{Command, Input, Mode};
use pennyweight_core::output::Event;
use pennyweight_core::spec::{DrinkId, Sheet};
use pennyweight_core::units::AdcCode;
use pennyweight_core::{Instant, Setup, Station};
use rand::{RngExt, SeedableRng};
use rand_pcg::Pcg64;

static SHEET: &[u8] = include_bytes!("../../../firmware/demo.sheet");

const VESSEL_G: f64 = 420.0;
/// 50 ml of rye whiskey, the first step of the first drink.
const RYE_G: f64 = 46.45;
/// 22.5 ml of fino sherry, the second.
const FINO_G: f64 = 22.02;

struct Pan {
    station: Station<'static>,
    period_us: u64,
    now_us: u64,
    rng: Pcg64,
    told: Vec<Event>,
}

impl Pan {
    fn new(sps: f64, seed: u64) -> Self {
        let mut station = Station::new(Setup {
            zero_code: 0,
            counts_per_gram: 1000.0,
            sps: sps as f32,
            mode: Mode::Service,
        });
        station.load(Sheet::new(SHEET).expect("the demo"));
        Self {
            station,
            period_us: (1e6 / sps) as u64,
            now_us: 0,
            rng: Pcg64::seed_from_u64(seed),
            told: Vec::new(),
        }
    }

    fn give(&mut self, input: Input) {
        self.now_us += self.period_us;
        let out = self
            .station
            .handle(Instant::from_micros(self.now_us), input);
        self.told.extend(out.events());
    }

    /// The pan carries so many grams after so many seconds.
    fn carry(&mut self, seconds: f64, grams: impl Fn(f64) -> f64) {
        let samples = (seconds * 1e6 / self.period_us as f64) as u32;
        for sample in 0..samples {
            let noise = self.rng.random_range(-0.06..0.06);
            let at = f64::from(sample) * self.period_us as f64 / 1e6;
            let code = ((grams(at) + noise) * 1000.0) as i32;
            self.give(Input::Code(AdcCode(code)));
        }
    }

    /// The vessel stands there and the first step is poured; what the pan carries then.
    fn pour_rye(&mut self) -> f64 {
        self.carry(1.5, |_| 0.0);
        self.give(Input::Command(Command::Order(DrinkId(0))));
        self.carry(2.5, |_| VESSEL_G);
        self.carry(RYE_G / 8.0, |at| VESSEL_G + 8.0 * at);
        self.carry(3.0, |_| VESSEL_G + RYE_G);
        assert_eq!(self.step(), Some(1), "{:?}", self.told);
        VESSEL_G + RYE_G
    }

    fn step(&self) -> Option<u8> {
        self.told.iter().rev().find_map(|event| match event {
            Event::Step(begun) => Some(begun.step),
            _ => None,
        })
    }
}

#[test]
fn a_hand_that_leans_with_what_is_asked_for_pours_nothing() {
    for seed in 0..12 {
        let mut pan = Pan::new(80.0, seed);
        let poured = pan.pour_rye();
        // It comes within a fifth of a second, and sways by a twentieth about once a second.
        let phase = TAU * pan.rng.random::<f64>();
        let lasts = pan.rng.random_range(1.5..3.0);
        pan.carry(lasts, |at| {
            let push = FINO_G * (at / 0.2).min(1.0);
            poured + push * (1.0 + 0.05 * (TAU * at + phase).sin())
        });
        pan.carry(4.0, |_| poured);
        assert_eq!(pan.step(), Some(1), "{seed}: {:?}", pan.told);
        let records = pan.told.iter().filter(|it| matches!(it, Event::Poured(_)));
        assert!(records.count() <= 1, "{seed}: the rye alone");
    }
}

/// A slow converter shows a dash over two or three samples, without a jerk, and little is known yet
/// of how far the pan wanders.
#[test]
fn a_slow_converter_counts_dashes() {
    for sps in [10.0, 20.0] {
        let mut counted = 0;
        for seed in 0..8 {
            let mut pan = Pan::new(sps, seed);
            let mut poured = pan.pour_rye();
            pan.carry(FINO_G / 8.0, |at| poured + 8.0 * at);
            poured += FINO_G;
            pan.carry(2.5, |_| poured);
            assert_eq!(pan.step(), Some(2), "{sps} {seed}");
            // The barspoon of syrup.
            pan.carry(0.4, |at| poured + 6.14 * at / 0.4);
            poured += 6.14;
            pan.carry(4.0, |_| poured);
            assert_eq!(pan.step(), Some(3), "{sps} {seed}: {:?}", pan.told);
            for _ in 0..2 {
                pan.carry(0.1, |at| poured + 7.6 * at);
                poured += 0.76;
                pan.carry(3.0, |_| poured);
            }
            counted += u32::from(pan.step() == Some(4));
        }
        println!("{sps}: both dashes counted on {counted} of 8");
        assert!(counted >= 7, "{sps}: {counted} of 8");
    }
}
