//! What it takes to load a spec: instructions for opening each step of the demonstration drinks,
//! when the sheet is read and densities are worked out.

use std::io::{self, Write};
use std::sync::OnceLock;

use pennyweight_core::input::{Command, Input, Mode};
use pennyweight_core::link::{Reply, Request, Stats};
use pennyweight_core::spec::{DrinkId, Sheet, Step};
use pennyweight_core::units::AdcCode;
use pennyweight_core::{Instant, Setup};

use super::build::Cpu;
use super::desk::{opened, sealed};
use super::emulator::{Emulator, INSTRUCTIONS_PER_SECOND};
use super::figures::{INSTRUCTIONS_A_DRINK, INSTRUCTIONS_A_PLAN, INSTRUCTIONS_A_STEP, STACK};

const PACKED: &[u8] = include_bytes!("../../../firmware/demo.sheet");
const CODES_PER_GRAM: f64 = 400.0;
const VESSEL_G: f64 = 500.0;

/// A board with its own clock, asked one thing after another.
struct Bench {
    board: Emulator,
    now_us: u64,
}

impl Bench {
    fn new(log: &str) -> Self {
        Self {
            board: Emulator::start(Cpu::M4, log),
            now_us: 0,
        }
    }

    /// The demonstration sheet, and an empty pan.
    fn begin(&mut self) {
        let setup = Setup {
            zero_code: 0,
            counts_per_gram: CODES_PER_GRAM as f32,
            sps: 80.0,
            mode: Mode::Develop,
        };
        self.ask(&Request::reset(&setup));
        self.ask(&Request::Load);
        self.now_us = 0;
        self.hold(0.0, 120);
    }

    fn ask(&mut self, request: &Request) -> Option<Stats> {
        let reply = self.board.ask(&sealed(request)).expect("an answer");
        opened(&reply, |reply| match reply {
            Reply::Stats(stats) => Some(stats),
            Reply::Done | Reply::Handled { .. } => None,
            other => panic!("{request:?}: {other:?}"),
        })
        .expect("a reply")
    }

    fn give(&mut self, input: Input) {
        self.now_us += 12_500;
        let at = Instant::from_micros(self.now_us);
        self.ask(&Request::Handle { at, input });
    }

    /// The pan carries so much for `samples` samples; a little noise, so that no code is stuck.
    fn hold(&mut self, grams: f64, samples: usize) {
        for sample in 0..samples {
            let code = grams * CODES_PER_GRAM + (sample * 7 % 5) as f64;
            self.give(Input::Code(AdcCode(code as i32)));
        }
    }

    /// Instructions of one command, as the board counts what opens or closes a step.
    fn command(&mut self, command: Command) -> f64 {
        let turn = |stats: Option<Stats>| stats.expect("stats");
        let before = turn(self.ask(&Request::Stats));
        self.give(Input::Command(command));
        let after = turn(self.ask(&Request::Stats));
        let ticks = (after.turn.total - before.turn.total) as f64;
        ticks * INSTRUCTIONS_PER_SECOND / f64::from(after.ticks_per_second)
    }
}

fn name(step: &Step<'_>) -> &'static str {
    match step {
        Step::Pour { .. } => "pour",
        Step::Dash { .. } => "dash",
        Step::Barspoon { .. } => "barspoon",
        Step::Whole { .. } => "whole",
        Step::Ice { .. } => "ice",
        Step::Soda { .. } => "soda",
        Step::Stir { .. } => "stir",
        Step::Shake { .. } => "shake",
        Step::Strain => "strain",
        Step::Rinse { .. } => "rinse",
        Step::Note { .. } => "note",
    }
}

/// What was measured of loading.
pub struct Loading {
    /// In words, drink by drink.
    table: String,
    /// The most for a step.
    pub worst_step: f64,
    /// The most for all steps of a drink.
    pub worst_drink: f64,
}

/// Loads every drink of the sheet once, step by step.
pub fn measured() -> &'static Loading {
    static LOADING: OnceLock<Loading> = OnceLock::new();
    LOADING.get_or_init(measure)
}

fn measure() -> Loading {
    let sheet = Sheet::new(PACKED).expect("the demonstration sheet");
    let mut bench = Bench::new("loading.log");
    let mut table = "\ninstructions to load the demonstration drinks, step by step\n".to_owned();
    let (mut worst_step, mut worst_drink) = (0.0_f64, 0.0_f64);
    for id in (0..sheet.drinks()).map(DrinkId) {
        let drink = sheet.drink(id).expect("a drink");
        bench.begin();
        bench.hold(VESSEL_G, 160);
        let mut whole = 0.0;
        let mut told = String::new();
        // The vessel stands there, so the order opens the first step. Notes open with what
        // follows them.
        let mut command = Command::Order(id);
        for number in 0..drink.steps {
            let step = sheet.step(id, number).expect("a step");
            if matches!(step, Step::Note { .. }) {
                continue;
            }
            let took = bench.command(command);
            assert!(took > 0.0, "{}: step {number} did not open", drink.name);
            told += &format!(" {} {:.1}k", name(&step), took / 1e3);
            worst_step = worst_step.max(took);
            whole += took;
            command = Command::Skip;
        }
        worst_drink = worst_drink.max(whole);
        table += &format!("{:<16}{:>8.0}:{told}\n", drink.name, whole);
    }
    table += &format!("the most for a step {worst_step:.0}, for a drink {worst_drink:.0}\n");
    Loading {
        table,
        worst_step,
        worst_drink,
    }
}

#[test]
#[ignore = "needs the emulator and the target: tests/run"]
fn a_spec_is_loaded_within_its_budget() {
    let Loading {
        table,
        worst_step,
        worst_drink,
    } = measured();
    // Past the test harness, which would keep it to itself when all is well.
    io::stdout()
        .lock()
        .write_all(table.as_bytes())
        .expect("printed");
    assert!(
        *worst_step <= INSTRUCTIONS_A_STEP,
        "{worst_step:.0} for a step"
    );
    assert!(
        *worst_drink <= INSTRUCTIONS_A_DRINK,
        "{worst_drink:.0} for a drink"
    );
}

/// Six drinks are ordered; with every step that opens, the plan of all of them is made anew.
#[test]
#[ignore = "needs the emulator and the target: tests/run"]
fn a_round_of_six_is_planned_within_its_budget() {
    let sheet = Sheet::new(PACKED).expect("the demonstration sheet");
    let mut bench = Bench::new("planning.log");
    bench.begin();
    for id in (0..6).map(DrinkId) {
        assert!(id.0 < sheet.drinks());
        bench.give(Input::Command(Command::Order(id)));
    }
    bench.hold(VESSEL_G, 160);
    let stats = |bench: &mut Bench| bench.ask(&Request::Stats).expect("stats");
    let before = stats(&mut bench);
    for _ in 0..3 {
        bench.give(Input::Command(Command::Skip));
        // The plan follows with the next conversion.
        bench.hold(VESSEL_G, 2);
    }
    let after = stats(&mut bench);
    let instructions =
        |ticks: u32| f64::from(ticks) * INSTRUCTIONS_PER_SECOND / f64::from(after.ticks_per_second);
    let first = instructions(before.turn.worst.max(before.sample.worst));
    let later = instructions(after.sample.worst);
    let stack = f64::from(after.stack_peak);
    let told = format!(
        "planning six glasses: {first:.0} instructions with the first step, {later:.0} at most \
         later; stack {stack:.0} bytes\n"
    );
    io::stdout()
        .lock()
        .write_all(told.as_bytes())
        .expect("printed");
    assert!(later > 50_000.0, "nothing was planned: {later:.0}");
    assert!(first.max(later) <= INSTRUCTIONS_A_PLAN, "{told}");
    assert!(stack <= STACK, "{told}");
}
