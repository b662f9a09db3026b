//! The three-colour light for a page: it repeats what the page says, never more. Red is for what
//! must not go on: a pour that has reached its end, a weight that cannot be trusted.

use crate::output::{Fault, Lesson, Verdict};
use crate::view::{Cue, Learn, Light, Page};

/// The light that goes with a page.
#[must_use]
pub const fn light(page: &Page<'_>) -> Light {
    match page {
        Page::Idle | Page::Weight(_) | Page::Again { .. } | Page::WeighedBack { .. } => Light::Off,
        Page::Pour { cue, .. } | Page::Add { cue, .. } | Page::Strain { cue, .. } => match cue {
            Cue::Pour => Light::Go,
            Cue::Ease => Light::Ease,
            Cue::Stop => Light::Stop,
        },
        Page::Place { .. } | Page::Count { .. } | Page::Ice { .. } | Page::Done { .. } => Light::Go,
        // A timer that runs elsewhere needs nobody until it is over.
        Page::Away {
            seconds_left,
            running,
            ..
        } => match (*running, *seconds_left < 0) {
            (true, true) => Light::Ease,
            (true, false) => Light::Off,
            (false, _) => Light::Go,
        },
        Page::Note { .. } | Page::Ask { .. } | Page::Question { .. } | Page::Refused => Light::Ease,
        Page::Judged { verdict, .. } => match verdict {
            Verdict::Good => Light::Go,
            Verdict::Short | Verdict::Over => Light::Ease,
        },
        Page::Learn(learn) => match learn {
            Learn::Measure | Learn::Fill(_) => Light::Go,
            Learn::Wait => Light::Off,
            Learn::Told(learned) => match learned.lesson {
                Lesson::Density | Lesson::Sugar(_) | Lesson::Strength(_) => Light::Go,
                Lesson::Refused(_) => Light::Ease,
            },
        },
        Page::Fault(fault) => match fault {
            Fault::Saturated | Fault::Overload | Fault::Stuck | Fault::Silent => Light::Stop,
            Fault::Time
            | Fault::Range
            | Fault::Glitch
            | Fault::Sheet
            | Fault::Zero
            | Fault::Memory => Light::Ease,
        },
    }
}
