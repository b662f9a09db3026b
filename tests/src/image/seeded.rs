//! Forty more sessions, each of one vessel, and every recording of a converter's faults: the board
//! and the desk, byte for byte. With the ten long sessions of `lockstep` these are the fifty.

use std::fs;

use super::build::Cpu;
use super::compare::compare;
use super::emulator::Emulator;
use super::scenarios::Scenario;

/// The seeds of the sessions, after those of `lockstep`.
const SEEDS: std::ops::Range<u64> = 11..51;

fn board(log: &str) -> Emulator {
    Emulator::start(Cpu::M4, log)
}

fn play(board: &mut Emulator, name: &str, scenario: &Scenario) -> usize {
    let inputs = &scenario.inputs;
    compare(&mut |frame| board.ask(frame), &scenario.setup, inputs)
        .unwrap_or_else(|report| panic!("{name}: {report}"))
        .steps
}

#[test]
#[ignore = "needs the emulator and the target: tests/run"]
fn forty_more_sessions_give_the_same_bytes() {
    let mut board = board("seeded.log");
    for seed in SEEDS {
        let steps = play(
            &mut board,
            &format!("session {seed}"),
            &Scenario::short(seed),
        );
        assert!(steps > 50, "session {seed}: {steps}");
    }
}

#[test]
#[ignore = "needs the emulator and the target: tests/run"]
fn every_recorded_fault_gives_the_same_bytes() {
    let mut board = board("recorded.log");
    let folder = concat!(env!("CARGO_MANIFEST_DIR"), "/data/trace");
    let mut paths: Vec<_> = fs::read_dir(folder)
        .expect("the recordings")
        .map(|entry| entry.expect("an entry").path())
        .collect();
    paths.sort();
    assert!(paths.len() >= 13, "{paths:?}");
    for path in paths {
        let text = fs::read_to_string(&path).expect("a recording");
        play(
            &mut board,
            &path.display().to_string(),
            &Scenario::recorded(&text),
        );
    }
}
