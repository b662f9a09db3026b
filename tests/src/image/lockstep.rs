//! Ten sessions on the board and on the desk, byte for byte.

use std::sync::OnceLock;

use pennyweight_core::link::{Reply, Request, Stats};

use super::build::Cpu;
use super::compare::{Tally, compare};
use super::desk::{opened, sealed};
use super::emulator::Emulator;
use super::scenarios::Scenario;

/// The seeds of the sessions.
const SEEDS: std::ops::Range<u64> = 1..11;

/// What one power-up of the board did.
pub struct Run {
    /// Per session.
    pub tallies: Vec<Tally>,
    /// What the board measured over all of them.
    pub stats: Stats,
    /// Its log, as it came.
    pub log: Vec<u8>,
}

/// All sessions on one board, once.
pub fn run() -> &'static Run {
    static RUN: OnceLock<Run> = OnceLock::new();
    RUN.get_or_init(|| {
        let mut board = Emulator::start(Cpu::M4, "board.log");
        let tallies = SEEDS
            .map(|seed| {
                let scenario = Scenario::seeded(seed);
                compare(
                    &mut |frame| board.ask(frame),
                    &scenario.setup,
                    &scenario.inputs,
                )
                .unwrap_or_else(|report| panic!("session {seed}: {report}"))
            })
            .collect();
        // A frame that makes no sense belongs to the story too: it is refused and logged.
        board.ask(&[3, 1, 2, 0]).expect("a refusal");
        let reply = board.ask(&sealed(&Request::Stats)).expect("an answer");
        let stats = opened(&reply, |reply| match reply {
            Reply::Stats(stats) => Some(stats),
            _ => None,
        });
        Run {
            tallies,
            stats: stats.expect("a reply").expect("stats"),
            log: board.stop(),
        }
    })
}

#[test]
#[ignore = "needs the emulator and the target: tests/run"]
fn ten_sessions_give_the_same_bytes() {
    let run = run();
    assert_eq!(run.tallies.len(), 10);
    for tally in &run.tallies {
        assert!(
            tally.steps > 100 && tally.with_events > 5 && tally.lit > 5,
            "{tally:?}"
        );
    }
    assert_eq!(run.stats.refused, 1);
}
