//! Who pours when: the same for every method.

use super::{HandKind, Trial};
use crate::plant::draw::{Draws, Process};

/// Pours on one station and bench, one after the other.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Group {
    pub(super) bench_seed: u64,
    pub(super) turns: Vec<Turn>,
}

/// One pour to come.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Turn {
    /// Number of the hand within the trial.
    pub(super) hand: usize,
    pub(super) hand_seed: u64,
    /// Pours by this hand on this station before it.
    pub(super) before: usize,
    /// The number its chance follows from.
    pub(super) number: u64,
    /// It counts; if not, it only teaches.
    pub(super) counts: bool,
}

/// Pours of a known hand before they count (the table's definition of "known").
const TAUGHT: usize = 12;

/// Pours of one hand that count.
const KNOWN_POURS: usize = 30;
const UNKNOWN_POURS: usize = 8;

/// Pours on one station where hands change, and how many a hand pours in a row.
const CHANGING_POURS: usize = 100;
const CHANGES_AFTER: (f64, f64) = (8.0, 25.0);
const CHANGES_OFTEN_AFTER: (f64, f64) = (3.0, 11.0);

/// Pours of a hand that was met before they count, and how many do.
const MET: usize = 8;

/// Lessons have numbers of their own, so that pours that count keep theirs.
const LESSON: u64 = 1 << 32;

pub(super) fn groups(trial: &Trial) -> Vec<Group> {
    let (size, taught) = match trial.hand {
        HandKind::Known | HandKind::Silent => (KNOWN_POURS, TAUGHT),
        HandKind::Unknown => (UNKNOWN_POURS, 0),
        HandKind::Changing | HandKind::ChangingOften => (CHANGING_POURS, TAUGHT),
        HandKind::Met => (MET, MET),
    };
    let mut left = trial.pours;
    let mut groups = Vec::new();
    while left > 0 {
        let counted = left.min(size);
        left -= counted;
        groups.push(group(trial, groups.len() as u64, counted, taught));
    }
    groups
}

fn group(trial: &Trial, index: u64, counted: usize, taught: usize) -> Group {
    let mut draws = Draws::new(trial.seed, Process::Trial, index);
    let bench_seed = draws.seed();
    let mut hand_seed = draws.seed();
    let mut hand = index as usize * CHANGING_POURS;
    let mut before = 0;
    let mut turns = Vec::new();
    let mut changes_in = usize::MAX;
    for lesson in 0..taught {
        turns.push(Turn {
            hand,
            hand_seed,
            before,
            number: LESSON + lesson as u64,
            counts: false,
        });
        before += 1;
    }
    let changes_after = match trial.hand {
        HandKind::Changing => Some(CHANGES_AFTER),
        HandKind::ChangingOften => Some(CHANGES_OFTEN_AFTER),
        HandKind::Known | HandKind::Unknown | HandKind::Silent | HandKind::Met => None,
    };
    if let Some((least, most)) = changes_after {
        changes_in = draws.between(least, most) as usize;
    }
    for number in 0..counted {
        if let Some((least, most)) = changes_after
            && changes_in == 0
        {
            hand += 1;
            hand_seed = draws.seed();
            before = 0;
            changes_in = draws.between(least, most) as usize;
        }
        turns.push(Turn {
            hand,
            hand_seed,
            before,
            number: number as u64,
            counts: true,
        });
        before += 1;
        changes_in -= 1;
    }
    Group { bench_seed, turns }
}
