//! Whatever comes in, the station answers: no panic, no figure that is none, no time that
//! stands still, no step passed over, and a page that can be drawn. Some 15 million inputs a run.

use std::collections::HashMap;

use pennyweight_core::limits::{CODE_MAX, CODE_MIN};
use pennyweight_core::panel::{self, Frame};
use pennyweight_core::spec::{DrinkId, Step};
use pennyweight_core::units::{AdcCode, Grams, Millilitres};
use pennyweight_core::{Command, Event, Input, Instant, Mode, Outputs, Setup, Station};
use proptest::prelude::*;
use proptest::sample::select;

use super::rounds::demo;

/// A stretch of what may come in.
#[derive(Clone, Debug)]
enum Stretch {
    /// One code.
    Code(i32),
    /// So many conversions at about this load, the load rising by so many grams a second.
    Load {
        grams: f32,
        flow_g_s: f32,
        conversions: u8,
    },
    /// A tick now.
    Tick,
    /// Ticks at so many deadlines, one after the other.
    Deadlines(u8),
    /// A command.
    Command(Command),
    /// The open step is left so many times.
    Skips(u8),
    /// Time goes on.
    Forwards(u64),
    /// Time goes back.
    Backwards(u64),
}

fn masses() -> impl Strategy<Value = f32> {
    prop_oneof![
        4 => 0.0_f32..900.0,
        1 => -50.0_f32..4000.0,
        1 => select(vec![0.0, -0.0, f32::NAN, f32::INFINITY, f32::NEG_INFINITY, f32::MIN_POSITIVE,
            1e-40, f32::MAX, f32::MIN]),
    ]
}

fn commands() -> impl Strategy<Value = Command> {
    prop_oneof![
        3 => masses().prop_map(|grams| Command::Target(Grams(grams))),
        6 => (0_u8..8).prop_map(|drink| Command::Order(DrinkId(drink))),
        1 => any::<u8>().prop_map(|drink| Command::Order(DrinkId(drink))),
        3 => Just(Command::Skip),
        1 => Just(Command::Zero),
        1 => select(vec![Mode::Service, Mode::Develop, Mode::Prep, Mode::Plain])
            .prop_map(Command::Mode),
        1 => any::<u8>().prop_map(Command::Hand),
        2 => (0_u8..8).prop_map(|drink| Command::Void(DrinkId(drink))),
        1 => (0_u8..8, 0_u8..9).prop_map(|(from, to)| {
            Command::Change(DrinkId(from), DrinkId(to))
        }),
        3 => select(vec![Command::Fix, Command::Two, Command::Again, Command::Other]),
        1 => Just(Command::Forget),
        1 => masses().prop_map(|ml| Command::Serve(Millilitres(ml))),
    ]
}

fn stretches() -> impl Strategy<Value = Stretch> {
    let load = (
        prop_oneof![2 => Just(0.0_f32), 6 => 100.0_f32..900.0, 1 => masses()],
        prop_oneof![3 => Just(0.0_f32), 4 => 0.0_f32..60.0, 1 => -300.0_f32..300.0],
        1_u8..150,
    );
    prop_oneof![
        12 => load.prop_map(|(grams, flow_g_s, conversions)| Stretch::Load {
            grams, flow_g_s, conversions
        }),
        2 => any::<i32>().prop_map(Stretch::Code),
        2 => select(vec![CODE_MAX, CODE_MIN, CODE_MAX + 1, CODE_MIN - 1, -1, 0, (1 << 18) - 1,
            i32::MAX, i32::MIN]).prop_map(Stretch::Code),
        1 => Just(Stretch::Tick),
        3 => (1_u8..20).prop_map(Stretch::Deadlines),
        4 => commands().prop_map(Stretch::Command),
        3 => (1_u8..8).prop_map(Stretch::Skips),
        3 => Just(Stretch::Load { grams: 0.0, flow_g_s: 0.0, conversions: 60 }),
        3 => (250.0_f32..900.0).prop_map(|grams| Stretch::Load {
            grams, flow_g_s: 0.0, conversions: 120
        }),
        3 => (0_u64..5_000_000).prop_map(Stretch::Forwards),
        1 => (0_u64..20_000_000_000).prop_map(Stretch::Forwards),
        1 => any::<u64>().prop_map(Stretch::Forwards),
        1 => any::<u64>().prop_map(Stretch::Backwards),
    ]
}

fn setups() -> impl Strategy<Value = Setup> {
    let calibration = prop_oneof![
        6 => Just((41_000, 420.0_f32)),
        1 => (any::<i32>(), 1.0_f32..5000.0),
        1 => (any::<i32>(), select(vec![0.0, -420.0, f32::NAN, f32::INFINITY, 1e-30, 1e30, -1.0])),
    ];
    let sps = prop_oneof![
        6 => select(vec![10.0_f32, 80.0, 320.0]),
        1 => select(vec![0.0, -80.0, f32::NAN, f32::INFINITY, 1e-9, 1e9]),
    ];
    (calibration, sps).prop_map(|((zero_code, counts_per_gram), sps)| Setup {
        zero_code,
        counts_per_gram,
        sps,
        mode: Mode::Service,
    })
}

/// A station at a time, watched.
struct Watched<'s> {
    station: Station<'s>,
    setup: Setup,
    now: Instant,
    frame: Frame,
    /// How far each glass of a drink is.
    at: HashMap<u8, Vec<u8>>,
}

/// Between the two steps lie notes alone, or it is one before.
fn follows(drink: DrinkId, from: Option<u8>, step: u8) -> bool {
    let first = from.map_or(0, |from| from.saturating_add(1));
    let is_note = |number| matches!(demo().step(drink, number), Ok(Step::Note { .. }));
    (first..step).all(is_note)
}

impl Watched<'_> {
    fn tell(&mut self, at: Instant, input: Input) {
        let told = self.station.handle(at, input);
        self.now = self.now.max(at);
        if told != Outputs::default() {
            self.pours_jointly(&told);
            for event in told.events() {
                let words = format!("{event:?}");
                let figures = !words.contains("NaN") && !words.contains("inf");
                assert!(figures, "{input:?} at {at:?}: {words}");
                if let Event::Step(begun) = event {
                    self.begins(begun.drink, begun.step);
                }
            }
        }
        self.time_goes_on();
    }

    /// Two bottles at once: the sum is judged, and both steps are recorded, the other one next.
    fn pours_jointly(&mut self, told: &Outputs) {
        if let (Some(judged), Some(record), Some(next)) = (told.verdict, told.poured, told.step)
            && judged.poured.mass.0 > 1.05 * record.poured.mass.0
            && next.step > record.step + 1
        {
            self.begins(next.drink, record.step + 1);
        }
    }

    /// No step is passed over, whichever glass it is of.
    fn begins(&mut self, drink: DrinkId, step: u8) {
        let glasses = self.at.entry(drink.0).or_default();
        // The one that is nearest to it.
        let from = glasses.iter_mut().filter(|from| **from <= step).max();
        match from {
            Some(from) if follows(drink, Some(*from), step) => *from = step,
            _ if follows(drink, None, step) => glasses.push(step),
            _ => {
                let back = glasses.iter().any(|from| *from > step);
                assert!(back, "step {step} of {drink:?} begun after {glasses:?}");
            }
        }
    }

    /// Ticks at a deadline that has come use it up.
    fn time_goes_on(&mut self) {
        for _ in 0..8 {
            match self.station.deadline() {
                Some(due) if due <= self.now => {
                    let _told = self.station.handle(self.now, Input::Tick);
                }
                _ => return,
            }
        }
        panic!(
            "a deadline at {:?} is never used up at {:?}: {:?}",
            self.station.deadline(),
            self.now,
            self.station.view()
        );
    }

    fn look(&mut self) {
        let view = self.station.view();
        if let Some(ramp) = view.ramp {
            assert!((0.0..=1.0).contains(&ramp), "{view:?}");
        }
        if view.changed {
            panel::draw(&view, &mut self.frame);
        }
    }

    fn play(&mut self, stretch: &Stretch) {
        match *stretch {
            Stretch::Code(code) => self.tell(self.now, Input::Code(AdcCode(code))),
            Stretch::Load {
                grams,
                flow_g_s,
                conversions,
            } => {
                for number in 0..conversions {
                    let at = Instant::from_micros(self.now.micros().saturating_add(12_500));
                    let load = grams + flow_g_s * 0.0125 * f32::from(number);
                    let counts = load * self.setup.counts_per_gram;
                    // Two codes of noise, so that nothing seems stuck.
                    let noise = i32::from(number) * 7 % 5 - 2;
                    let code = self
                        .setup
                        .zero_code
                        .saturating_add((counts as i32).saturating_add(noise));
                    let code = code.clamp(CODE_MIN, CODE_MAX);
                    self.tell(at, Input::Code(AdcCode(code)));
                }
            }
            Stretch::Tick => self.tell(self.now, Input::Tick),
            Stretch::Deadlines(count) => {
                for _ in 0..count {
                    let Some(due) = self.station.deadline() else {
                        return;
                    };
                    self.tell(due, Input::Tick);
                }
            }
            Stretch::Command(command) => self.tell(self.now, Input::Command(command)),
            Stretch::Skips(count) => {
                for _ in 0..count {
                    self.tell(self.now, Input::Command(Command::Skip));
                }
            }
            Stretch::Forwards(us) => {
                let at = Instant::from_micros(self.now.micros().saturating_add(us));
                self.tell(at, Input::Tick);
            }
            Stretch::Backwards(us) => {
                let at = Instant::from_micros(self.now.micros().saturating_sub(us));
                self.tell(at, Input::Code(AdcCode(self.setup.zero_code)));
            }
        }
        self.look();
    }
}

fn play(setup: Setup, with_sheet: bool, stretches: &[Stretch]) {
    let mut station = Station::new(setup);
    if with_sheet {
        station.load(demo());
    }
    let mut watched = Watched {
        station,
        setup,
        now: Instant::ZERO,
        frame: Frame::new(),
        at: HashMap::new(),
    };
    for stretch in stretches {
        watched.play(stretch);
    }
}

/// The first drink of the demo sheet is away to be stirred.
fn stirred_away() -> Vec<Stretch> {
    let load = |grams| Stretch::Load {
        grams,
        flow_g_s: 0.0,
        conversions: 120,
    };
    vec![
        load(0.0),
        Stretch::Command(Command::Order(DrinkId(0))),
        load(600.0),
        // Rye, fino, ginger, bitters and ice.
        Stretch::Skips(5),
        load(0.0),
    ]
}

#[test]
fn a_vessel_away_for_hours_or_for_ever_holds_no_time_still() {
    let setup = Setup {
        zero_code: 41_000,
        counts_per_gram: 420.0,
        sps: 80.0,
        mode: Mode::Service,
    };
    // From a quarter of an hour on, a second is lost in a float of seconds; at the end of time
    // there is none left.
    for hours_us in [1_000_000_000, 20_000_000_000, u64::MAX] {
        let mut input = stirred_away();
        input.push(Stretch::Forwards(hours_us));
        input.push(Stretch::Deadlines(200));
        play(setup, true, &input);
    }
}

/// Cases of a run, some hundreds of inputs each: `usual` many, or that many times
/// `PENNYWEIGHT_LONG`.
fn cases(usual: u32) -> u32 {
    let times = std::env::var("PENNYWEIGHT_LONG").ok();
    let times = times.and_then(|times| times.parse().ok()).unwrap_or(1);
    usual.saturating_mul(times)
}

proptest! {
    #![proptest_config(ProptestConfig { cases: cases(5_000), ..ProptestConfig::default() })]

    #[test]
    fn a_station_without_a_sheet_bears_anything(
        setup in setups(),
        input in proptest::collection::vec(stretches(), 1..32),
    ) {
        play(setup, false, &input);
    }
}

proptest! {
    #![proptest_config(ProptestConfig { cases: cases(15_000), ..ProptestConfig::default() })]

    #[test]
    fn a_station_with_a_sheet_bears_anything(
        setup in setups(),
        input in proptest::collection::vec(stretches(), 1..32),
    ) {
        play(setup, true, &input);
    }
}
