//! Seeded sessions at the pan, as converter codes with their times; and recordings of what a
//! converter does wrong.

use pennyweight_core::input::{Command, Input, Mode};
use pennyweight_core::spec::DrinkId;
use pennyweight_core::units::{AdcCode, Grams};
use pennyweight_core::{Instant, Setup};
use rand::{RngExt, SeedableRng};
use rand_distr::{Distribution, Normal};
use rand_pcg::Pcg64Mcg;

/// What one station is given, from power-up on.
pub struct Scenario {
    /// What the cell and the converter are.
    pub setup: Setup,
    /// Everything that happens, in the order of its time.
    pub inputs: Vec<(Instant, Input)>,
}

/// A bench that is only played back: masses over time, noise, and a converter.
struct Playback {
    random: Pcg64Mcg,
    setup: Setup,
    noise: Normal<f64>,
    now: f64,
    grams: f64,
    inputs: Vec<(Instant, Input)>,
}

impl Scenario {
    /// A vessel placed, poured into and lifted, again and again, with what goes wrong between.
    pub fn seeded(seed: u64) -> Self {
        Self::playing(seed, 0..3)
    }

    /// A single vessel of such a session.
    pub fn short(seed: u64) -> Self {
        let round = (seed % 4) as u8;
        Self::playing(seed, round..round + 1)
    }

    /// A recording, as it is: a converter's codes with the times at which they were read.
    pub fn recorded(text: &str) -> Self {
        let mut setup = Setup {
            zero_code: 0,
            counts_per_gram: 1000.0,
            sps: 80.0,
            mode: Mode::Service,
        };
        let mut inputs = Vec::new();
        for line in text.lines() {
            if let Some((key, value)) = line.trim_start_matches("# ").split_once('=') {
                match key {
                    "zero_code" => setup.zero_code = value.parse().expect("a code"),
                    "counts_per_gram" => setup.counts_per_gram = value.parse().expect("a factor"),
                    "sps" => setup.sps = value.parse().expect("a rate"),
                    _ => {}
                }
            } else if let Some((at, code)) = line.split_once(',')
                && let Ok(at) = at.parse()
            {
                let code = AdcCode(code.parse().expect("a code"));
                inputs.push((Instant::from_micros(at), Input::Code(code)));
            }
        }
        Self { setup, inputs }
    }

    fn playing(seed: u64, rounds: std::ops::Range<u8>) -> Self {
        let mut random = Pcg64Mcg::seed_from_u64(seed);
        let setup = Setup {
            zero_code: random.random_range(-200_000..200_000),
            counts_per_gram: random.random_range(300.0..1500.0),
            sps: if seed.is_multiple_of(3) { 10.0 } else { 80.0 },
            mode: [Mode::Service, Mode::Develop, Mode::Prep, Mode::Plain]
                [usize::try_from(seed % 4).expect("small")],
        };
        let noise = Normal::new(0.0, random.random_range(0.005..0.05)).expect("finite");
        let mut bench = Playback {
            random,
            setup,
            noise,
            now: 0.0,
            grams: 0.0,
            inputs: Vec::new(),
        };
        bench.hold(1.5);
        bench.command(Command::Hand(1));
        for round in rounds {
            bench.serve_one(round);
        }
        Self {
            setup,
            inputs: bench.inputs,
        }
    }
}

impl Playback {
    fn serve_one(&mut self, round: u8) {
        let target = self.random.random_range(10.0..60.0);
        // Every other drink is one of the sheet, which may have none of that number.
        if round.is_multiple_of(2) {
            self.command(Command::Target(Grams(target as f32)));
        } else {
            self.command(Command::Order(DrinkId(round)));
        }
        let vessel = self.random.random_range(150.0..900.0);
        self.ramp(vessel, 0.2);
        self.hold(2.0);
        let flow = self.random.random_range(5.0..22.0);
        let overrun = self.random.random_range(-2.0..4.0);
        self.ramp(self.grams + target + overrun, target / flow);
        // The stream ends: the reading falls back, then late drops land.
        self.ramp(self.grams - 0.1 * flow, 0.05);
        self.hold(0.8);
        self.grams += 0.1;
        self.hold(2.5);
        match self.random.random_range(0..5) {
            0 => self.code(AdcCode(8_388_607)),
            1 => self.code(AdcCode(-1)),
            2 => self.command(Command::Skip),
            3 => self.command(Command::Zero),
            _ => self.now += 1.3,
        }
        self.hold(0.5);
        self.ramp(0.0, 0.15);
        self.grams = self.random.random_range(-0.2..0.2);
        self.hold(2.0);
    }

    fn hold(&mut self, seconds: f64) {
        self.ramp(self.grams, seconds);
    }

    /// Goes to `grams` evenly; a converter that is up to 10 % off its nominal rate looks on.
    fn ramp(&mut self, grams: f64, seconds: f64) {
        let (from, begun) = (self.grams, self.now);
        while self.now < begun + seconds {
            let part = (self.now - begun) / seconds;
            let shown = from + (grams - from) * part + self.noise.sample(&mut self.random);
            let code =
                f64::from(self.setup.zero_code) + shown * f64::from(self.setup.counts_per_gram);
            self.code(AdcCode(code as i32));
            self.now += self.random.random_range(0.95..1.1) / f64::from(self.setup.sps);
        }
        self.grams = grams;
    }

    fn code(&mut self, code: AdcCode) {
        self.give(Input::Code(code));
        self.now += 0.002;
    }

    fn command(&mut self, command: Command) {
        self.give(Input::Command(command));
        self.now += 0.002;
    }

    fn give(&mut self, input: Input) {
        self.inputs
            .push((Instant::from_micros((self.now * 1e6) as u64), input));
    }
}
