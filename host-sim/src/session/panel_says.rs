//! What a bartender makes of a page of the panel: the next thing to do.

use pennyweight_core::spec::{Unit, Vessel};
use pennyweight_core::view::{Cue, Next, Page, Work};

/// A thing to do.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) enum Errand<'s> {
    /// Set this vessel down.
    SetDown(Vessel),
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
    /// Strain into the glass.
    Strain,
    /// Take the glass away: the drink is complete.
    Serve,
}

/// Ice dropped where the panel has not said how much, grams.
const SOME_ICE_G: f64 = 150.0;

/// Stirring or shaking where the panel has not said how long, seconds.
const SOME_WORK_S: f64 = 12.0;

/// What `page` asks for; nothing while it only tells or while a pour is under way.
pub(super) fn asks<'s>(page: &Page<'s>) -> Option<Errand<'s>> {
    match *page {
        Page::Idle | Page::Weight(_) | Page::Fault(_) => None,
        Page::Place { vessel, .. } => Some(Errand::SetDown(vessel)),
        Page::Pour {
            liquid,
            remaining,
            cue,
            ..
        } => match remaining.unit {
            Unit::Drop => counted(liquid, remaining.value, remaining.decimals, Unit::Drop),
            _ if cue == Cue::Stop => None,
            _ => Some(Errand::Pour(liquid)),
        },
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
            ..
        } => {
            let left = of.saturating_sub(done);
            (left > 0).then_some(Errand::Put(liquid, left, unit))
        }
        Page::Ice {
            so_far,
            low_g,
            high_g,
            ..
        } => {
            let so_far = f64::from(so_far.value) / 10_f64.powi(i32::from(so_far.decimals));
            let middle = f64::midpoint(f64::from(low_g), f64::from(high_g));
            (so_far < f64::from(low_g)).then_some(Errand::Ice(middle - so_far))
        }
        Page::Away {
            work,
            seconds_left,
            running: false,
            next,
        } => Some(Errand::Work(work, f64::from(seconds_left), next)),
        Page::Away { next, .. } => from_next(next),
        Page::Strain { .. } => Some(Errand::Strain),
        Page::Note { next, .. } | Page::Judged { next, .. } => from_next(next),
        Page::Done { .. } => Some(Errand::Serve),
    }
}

/// What the next step will ask for, known only by its kind.
pub(super) fn from_next(next: Next<'_>) -> Option<Errand<'_>> {
    match next {
        Next::Nothing | Next::Note(_) => None,
        Next::Liquid(name) => Some(Errand::Pour(name)),
        Next::Ice => Some(Errand::Ice(SOME_ICE_G)),
        Next::Work(work) => Some(Errand::Work(work, SOME_WORK_S, Next::Nothing)),
        Next::Strain(glass) => Some(Errand::SetDown(glass)),
    }
}

fn counted(liquid: &str, value: i32, decimals: u8, unit: Unit) -> Option<Errand<'_>> {
    let left = f64::from(value) / 10_f64.powi(i32::from(decimals));
    let left = left.round().clamp(0.0, 20.0) as u8;
    (left > 0).then_some(Errand::Put(liquid, left, unit))
}
