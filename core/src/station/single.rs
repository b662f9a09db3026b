//! The same pour into every vessel: a target in grams, without a sheet.

use crate::pour::{Band, Crew, Judge, Owner, Pour};
use crate::spec::{Reading, Unit};
use crate::time::Instant;
use crate::units::Grams;
use crate::view::{Next, Offer, Page, bar};
use crate::weigh::settle::Body;

/// The pour of a single target: nothing is known of the liquid, so a gram counts as a millilitre.
pub(super) fn start(target: Grams, crew: &Crew) -> Pour {
    let judge = Judge::new(target, 1.0, Band::Mode(crew.mode));
    let owner = Owner {
        hand: crew.hand,
        liquid: None,
    };
    Pour::new(judge, owner, Body::Unknown, true)
}

pub(super) fn page(pour: &Pour, now: Instant) -> Page<'static> {
    let left = pour.judge().target - pour.mass(now);
    let remaining = Reading::of_mass(left, 1.0, Unit::Gram);
    let (cue, next) = (pour.cue(), Next::Nothing);
    if pour.wants_more() || (pour.goes() > 1 && pour.is_flowing()) {
        return Page::Add {
            liquid: "",
            missing: remaining,
            cue,
            next,
        };
    }
    match pour.verdict() {
        Some(judged) if !pour.is_flowing() => Page::Judged {
            liquid: "",
            error: Reading::of_mass(judged.error, 1.0, Unit::Gram),
            verdict: judged.verdict,
            offer: Offer::Nothing,
            next,
        },
        Some(_) | None => {
            let bar = bar(pour.mass(now), pour.judge().target);
            Page::Pour {
                liquid: "",
                remaining,
                bar,
                cue,
                next,
            }
        }
    }
}
