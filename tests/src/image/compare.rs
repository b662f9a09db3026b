//! The same inputs to the board and to the desk; the first byte that differs ends it.

use std::fmt::Write;

use pennyweight_core::input::Input;
use pennyweight_core::link::{Reply, Request, STRIPS};
use pennyweight_core::{Instant, Setup};

use super::desk::{DeskStation, opened, sealed};

/// Somebody who answers a request's bytes with a reply's.
pub type Board<'b> = dyn FnMut(&[u8]) -> Result<Vec<u8>, String> + 'b;

/// How many exchanges before a difference are shown with it.
const SHOWN_BEFORE: usize = 5;

/// The panel is repainted no more often than a person can read it, microseconds.
const REPAINT_EVERY_US: u64 = 100_000;

/// What was compared without a difference.
#[derive(Clone, Copy, Debug, Default)]
pub struct Tally {
    /// Calls of the station.
    pub steps: usize,
    /// Those of them that gave at least one event.
    pub with_events: usize,
    /// Whole panels.
    pub panels: usize,
    /// Panels with at least one pixel lit.
    pub lit: usize,
}

/// A board and a desk that are asked the same.
struct Pair<'b, 'a> {
    board: &'b mut Board<'a>,
    desk: DeskStation,
    said: Vec<String>,
    tally: Tally,
}

/// Gives the board and a new station on the desk the same inputs from `setup` on, a tick
/// wherever the station's deadline comes before the next of them, and asks for the panel as it
/// changes.
///
/// # Errors
/// The first difference, with what led to it.
pub fn compare(
    board: &mut Board<'_>,
    setup: &Setup,
    inputs: &[(Instant, Input)],
) -> Result<Tally, String> {
    let mut pair = Pair {
        board,
        desk: DeskStation::new(),
        said: Vec::new(),
        tally: Tally::default(),
    };
    pair.ask(&Request::reset(setup), |_| ())?;
    pair.ask(&Request::Load, |_| ())?;
    let mut deadline = None;
    let mut changed = true;
    let mut repaint_at = 0;
    for &(at, input) in inputs {
        while let Some(due) = deadline.filter(|due| *due < at) {
            (deadline, changed) = pair.step(due, Input::Tick, changed)?;
        }
        (deadline, changed) = pair.step(at, input, changed)?;
        if changed && at.micros() >= repaint_at {
            pair.panel()?;
            changed = false;
            repaint_at = at.micros() + REPAINT_EVERY_US;
        }
    }
    pair.panel()?;
    Ok(pair.tally)
}

impl Pair<'_, '_> {
    /// One call of the station; its deadline, and whether the view has changed since `changed`.
    fn step(
        &mut self,
        at: Instant,
        input: Input,
        changed: bool,
    ) -> Result<(Option<Instant>, bool), String> {
        let (deadline, now_changed, events) =
            self.ask(&Request::Handle { at, input }, |reply| match reply {
                Reply::Handled {
                    outputs,
                    deadline,
                    signals,
                } => (deadline, signals.changed, outputs.events().count()),
                _ => (None, false, 0),
            })?;
        self.tally.steps += 1;
        self.tally.with_events += usize::from(events > 0);
        Ok((deadline.filter(|due| *due > at), changed || now_changed))
    }

    /// The whole panel, strip by strip.
    fn panel(&mut self) -> Result<(), String> {
        self.ask(&Request::Paint, |_| ())?;
        let mut lit = false;
        for strip in 0..STRIPS {
            lit |= self.ask(&Request::Strip(strip), |reply| match reply {
                Reply::Strip { rows, .. } => rows.iter().any(|row| *row != 0),
                _ => false,
            })?;
        }
        self.tally.panels += 1;
        self.tally.lit += usize::from(lit);
        Ok(())
    }

    /// Asks both; the reply if they agree to the byte.
    fn ask<T>(
        &mut self,
        request: &Request,
        read: impl FnOnce(Reply<'_>) -> T,
    ) -> Result<T, String> {
        let frame = sealed(request);
        let desk = self.desk.ask(&frame);
        let board = (self.board)(&frame).map_err(|why| self.report(request, &why))?;
        if board != desk {
            let why = difference(&board, &desk);
            return Err(self.report(request, &why));
        }
        self.said.push(format!("{request:?} -> {}", told(&desk)));
        opened(&desk, read).map_err(|why| self.report(request, &why))
    }

    fn report(&self, request: &Request, why: &str) -> String {
        let mut report = format!(
            "exchange {}, {request:?}:\n{why}\nbefore it:\n",
            self.said.len()
        );
        for said in self.said.iter().rev().take(SHOWN_BEFORE).rev() {
            let _ = writeln!(report, "  {said}");
        }
        report
    }
}

/// A reply in words.
fn told(frame: &[u8]) -> String {
    opened(frame, |reply| match reply {
        Reply::Handled {
            outputs,
            deadline,
            signals,
        } => {
            let events: Vec<_> = outputs.events().collect();
            format!("events {events:?}, deadline {deadline:?}, {signals:?}")
        }
        other => format!("{other:?}"),
    })
    .unwrap_or_else(|why| why)
}

fn difference(board: &[u8], desk: &[u8]) -> String {
    let first = board
        .iter()
        .zip(desk)
        .position(|(board, desk)| board != desk);
    format!(
        "the first difference is at byte {} of {} (board) and {} (desk)\n  board: {}\n  desk:  {}",
        first.unwrap_or(board.len().min(desk.len())),
        board.len(),
        desk.len(),
        told(board),
        told(desk),
    )
}

mod tests {
    use super::*;
    use crate::image::scenarios::Scenario;

    /// The desk as its own board, which spoils byte `place` of reply `nth`.
    fn spoiled(nth: usize, place: usize) -> Result<Tally, String> {
        let scenario = Scenario::seeded(1);
        let mut other = DeskStation::new();
        let mut count = 0;
        let mut board = |frame: &[u8]| {
            let mut reply = other.ask(frame);
            if count == nth {
                reply[place] ^= 1;
            }
            count += 1;
            Ok(reply)
        };
        compare(&mut board, &scenario.setup, &scenario.inputs)
    }

    #[test]
    fn a_station_is_like_itself() {
        let tally = spoiled(usize::MAX, 0).expect("no difference");
        assert!(tally.steps > 100, "{tally:?}");
    }

    #[test]
    fn a_single_wrong_bit_is_reported_where_it_is() {
        let report = spoiled(20, 3).expect_err("a difference");
        assert!(report.contains("exchange 20"), "{report}");
        assert!(report.contains("at byte 3"), "{report}");
    }

    #[test]
    fn a_board_that_falls_silent_is_reported() {
        let scenario = Scenario::seeded(1);
        let mut board = |_: &[u8]| Err("no answer".to_owned());
        let report = compare(&mut board, &scenario.setup, &scenario.inputs).expect_err("silence");
        assert!(
            report.contains("exchange 0") && report.contains("no answer"),
            "{report}"
        );
    }
}
