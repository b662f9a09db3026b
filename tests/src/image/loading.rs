//! What it takes to load a spec: instructions for opening each step of the demonstration drinks,
//! when the sheet is read and densities are worked out.

use std::io::{self, Write};

use pennyweight_core::input::{Command, Input, Mode};
use pennyweight_core::link::{Reply, Request, Stats};
use pennyweight_core::spec::{DrinkId, Sheet, Step};
use pennyweight_core::units::AdcCode;
use pennyweight_core::{Instant, Setup};

use super::build;
use super::desk::{opened, sealed};
use super::emulator::{Emulator, INSTRUCTIONS_PER_SECOND};

/// The most that opening one step may take, instructions: what it took when it was measured
/// (112,840: ethanol and sugar together), and 15 % on top.
const A_STEP: f64 = 130_000.0;
/// The same for all steps of a drink (304,160).
const A_DRINK: f64 = 350_000.0;

const CODES_PER_GRAM: f64 = 400.0;
const VESSEL_G: f64 = 500.0;

/// A board with its own clock, asked one thing after another.
struct Bench {
    board: Emulator,
    now_us: u64,
}

impl Bench {
    fn ask(&mut self, request: &Request) -> Option<Stats> {
        let reply = self.board.ask(&sealed(request)).expect("an answer");
        opened(&reply, |reply| match reply {
            Reply::Stats(stats) => Some(stats),
            Reply::Ready | Reply::Handled { .. } => None,
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

#[test]
fn a_spec_is_loaded_within_its_budget() {
    let packed: &[u8] = include_bytes!("../../../firmware/demo.sheet");
    let sheet = Sheet::new(packed).expect("the demonstration sheet");
    let setup = Setup {
        zero_code: 0,
        counts_per_gram: CODES_PER_GRAM as f32,
        sps: 80.0,
        mode: Mode::Develop,
    };
    let log = build::target_dir().join("loading.log");
    let mut bench = Bench {
        board: Emulator::start(build::product(), log),
        now_us: 0,
    };
    let mut table = "\ninstructions to load the demonstration drinks, step by step\n".to_owned();
    let (mut worst_step, mut worst_drink) = (0.0_f64, 0.0_f64);
    for id in (0..sheet.drinks()).map(DrinkId) {
        let drink = sheet.drink(id).expect("a drink");
        bench.ask(&Request::reset(&setup));
        bench.ask(&Request::Load);
        bench.now_us = 0;
        bench.hold(0.0, 120);
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
    // Past the test harness, which would keep it to itself when all is well.
    io::stdout()
        .lock()
        .write_all(table.as_bytes())
        .expect("printed");
    assert!(worst_step <= A_STEP, "{worst_step:.0} for a step");
    assert!(worst_drink <= A_DRINK, "{worst_drink:.0} for a drink");
}
