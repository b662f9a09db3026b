//! Whether the glasses of a flight may be compared.

use crate::limits::DEVELOP_BAND;
use crate::output::Figure;
use crate::units::deviation;

/// Dilutions this close are taken for the same, percentage points of the undiluted volume. Trade
/// judgement, no source: a stir or shake repeated by one hand comes back within it.
pub const DILUTION_BAND: f32 = 5.0;

/// Served volumes this close are taken for the same, millilitres. Trade judgement, no source: what
/// two glasses strained from one tin may differ by.
pub const SERVED_BAND_ML: f32 = 3.0;

/// What a comparison came to.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Finding {
    /// Within the band, even with what is not known of it.
    Alike,
    /// What is known does not tell.
    Unsure,
    /// Beyond the band, whatever is not known of it.
    Apart,
}

/// The glass with the least and the glass with the most of something.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Compared {
    /// The most less the least.
    pub spread: f32,
    /// One standard deviation of that.
    pub sigma: f32,
    /// What it may be.
    pub within: f32,
    /// What that comes to.
    pub finding: Finding,
}

/// Compares what the glasses hold of something. A guard band of one standard deviation lies on
/// either side of the bound (JCGM 106:2012, 8.3: acceptance and rejection with a guard band), so
/// that "alike" and "apart" are both said only where they are known. None for fewer than two
/// glasses, or where a figure is no number.
#[must_use]
pub fn compare(glasses: impl IntoIterator<Item = Figure>, within: f32) -> Option<Compared> {
    let mut count = 0_u8;
    let mut ends: Option<(Figure, Figure)> = None;
    for glass in glasses {
        if !glass.value.is_finite() || !glass.sigma.is_finite() {
            return None;
        }
        count = count.saturating_add(1);
        let (least, most) = ends.unwrap_or((glass, glass));
        ends = Some((
            if glass.value < least.value {
                glass
            } else {
                least
            },
            if glass.value > most.value {
                glass
            } else {
                most
            },
        ));
    }
    let (least, most) = ends.filter(|_| count >= 2)?;
    let spread = most.value - least.value;
    let sigma = deviation(least.sigma * least.sigma + most.sigma * most.sigma);
    let finding = if spread + sigma <= within {
        Finding::Alike
    } else if spread - sigma > within {
        Finding::Apart
    } else {
        Finding::Unsure
    };
    Some(Compared {
        spread,
        sigma,
        within,
        finding,
    })
}

/// How far the shared parts of two glasses may be apart where each should hold `shared_ml`: as
/// much as one of them may be off when a spec is worked on.
#[must_use]
pub fn shared_within_ml(shared_ml: f32) -> f32 {
    let (ml, share) = DEVELOP_BAND;
    ml.max(share * shared_ml)
}
