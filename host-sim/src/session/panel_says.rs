//! What a bartender makes of a page of the panel: the next thing to do.

use pennyweight_core::spec::{Unit, Vessel};
use pennyweight_core::view::{Cue, Next, Offer, Page, Reading, STAYED, Work};

/// A thing to do.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) enum Errand<'s> {
    /// Set this vessel down.
    SetDown(Vessel),
    /// Set the vessel back with what stayed behind.
    SetBack,
    /// Take it away again.
    TakeAway,
    /// Pour this until told to stop.
    Pour(&'s str),
    /// Add a little of this until told to stop.
    Add(&'s str),
    /// So many dashes, spoons, drops or pieces of this.
    Put(&'s str, u8, Unit),
    /// So many grams of ice.
    Ice(f64),
    /// Take the vessel away and work it for so many seconds; then the next thing.
    Work(Work, f64, Next<'s>),
    /// Tip so many grams back out.
    TipOut(f64),
    /// Strain into the glass.
    Strain,
    /// Take the glass away: the drink is complete.
    Serve,
}

/// Ice dropped where the panel has not said how much, grams.
const SOME_ICE_G: f64 = 150.0;

/// A drop, ml, and the most of them that are counted into a drink (common practice, no source).
pub(super) const DROP_ML: f64 = 0.05;
const MOST_DROPS: f64 = 12.0;

/// Stirring or shaking where the panel has not said how long, seconds.
const SOME_WORK_S: f64 = 12.0;

/// What `page` asks for; nothing while it only tells or while a pour is under way.
pub(super) fn asks<'s>(page: &Page<'s>) -> Option<Errand<'s>> {
    match *page {
        Page::Idle
        | Page::Again { .. }
        | Page::Weight(_)
        | Page::Learn(_)
        | Page::Refused
        | Page::Fault(_)
        | Page::Ask { .. } => None,
        Page::Place { drink: STAYED, .. } => Some(Errand::SetBack),
        Page::WeighedBack { .. } => Some(Errand::TakeAway),
        Page::Place { vessel, .. } => Some(Errand::SetDown(vessel)),
        Page::Pour {
            liquid,
            remaining,
            cue,
            ..
        } => {
            drops(liquid, remaining).or_else(|| (cue != Cue::Stop).then_some(Errand::Pour(liquid)))
        }
        Page::Add {
            liquid,
            missing,
            cue,
            ..
        } => {
            let wanted = missing.value > 0 && cue != Cue::Stop;
            wanted.then_some(Errand::Add(liquid))
        }
        Page::Count {
            liquid,
            done,
            of,
            unit,
            next,
        } => match of.saturating_sub(done) {
            0 => from_next(next),
            left => Some(Errand::Put(liquid, left, unit)),
        },
        Page::Ice {
            so_far,
            low_g,
            high_g,
            next,
        } => {
            let so_far = f64::from(so_far.value) / 10_f64.powi(i32::from(so_far.decimals));
            let middle = f64::midpoint(f64::from(low_g), f64::from(high_g));
            if so_far < f64::from(low_g) {
                Some(Errand::Ice(middle - so_far))
            } else {
                from_next(next)
            }
        }
        Page::Away {
            work,
            seconds_left,
            running: false,
            next,
        } => Some(Errand::Work(work, f64::from(seconds_left), next)),
        Page::Away { next, .. } => from_next(next),
        // Whoever set the glass down knows what for, and the first is taken.
        Page::Strain { .. } | Page::Question { .. } => Some(Errand::Strain),
        Page::Note { next, .. } | Page::Judged { next, .. } => from_next(next),
        Page::Done { .. } => Some(Errand::Serve),
    }
}

/// How much is offered to be tipped back out, grams; a millilitre counts as one.
#[must_use]
pub fn tip_out(page: &Page<'_>) -> Option<f64> {
    match *page {
        Page::Judged {
            error,
            offer: Offer::TipOut,
            ..
        } => {
            let figure = f64::from(error.value) / 10_f64.powi(i32::from(error.decimals));
            Some(match error.unit {
                Unit::Oz => 29.57 * figure,
                Unit::Cl => 10.0 * figure,
                _ => figure,
            })
        }
        _ => None,
    }
}

/// The page only tells: what is to be done next is done when it has been read.
pub(super) fn only_tells(page: &Page<'_>) -> bool {
    match *page {
        Page::Note { .. } | Page::Judged { .. } => true,
        Page::Count { done, of, .. } => done >= of,
        Page::Ice { .. } => !matches!(asks(page), Some(Errand::Ice(_))),
        _ => false,
    }
}

/// What the next step will ask for, known only by its kind.
pub(super) fn from_next(next: Next<'_>) -> Option<Errand<'_>> {
    match next {
        // One drink after the other is what the simulated bartender has learned.
        Next::Nothing | Next::Note(_) | Next::Glass { .. } => None,
        Next::Liquid(name) => Some(Errand::Pour(name)),
        Next::Ice => Some(Errand::Ice(SOME_ICE_G)),
        Next::Work(work) => Some(Errand::Work(work, SOME_WORK_S, Next::Nothing)),
        Next::Strain(glass) => Some(Errand::SetDown(glass)),
    }
}

/// So little goes in by drops: nobody pours it.
fn drops<'s>(liquid: &'s str, remaining: Reading) -> Option<Errand<'s>> {
    let figure = f64::from(remaining.value) / 10_f64.powi(i32::from(remaining.decimals));
    let count = match remaining.unit {
        Unit::Drop => figure,
        Unit::Cl => 10.0 * figure / DROP_ML,
        Unit::Oz => 29.57 * figure / DROP_ML,
        // A gram counts as a millilitre here.
        _ => figure / DROP_ML,
    };
    let count = count.round();
    let by_drops = (1.0..=MOST_DROPS).contains(&count);
    by_drops.then_some(Errand::Put(liquid, count as u8, Unit::Drop))
}

/// What the page says comes next.
pub(super) fn next_of<'s>(page: &Page<'s>) -> Next<'s> {
    match *page {
        Page::Pour { next, .. }
        | Page::Add { next, .. }
        | Page::Count { next, .. }
        | Page::Ice { next, .. }
        | Page::Away { next, .. }
        | Page::Note { next, .. }
        | Page::Judged { next, .. } => next,
        _ => Next::Nothing,
    }
}
