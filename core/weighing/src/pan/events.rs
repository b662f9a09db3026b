//! What a sample of the pan tells, and what is to be expected of a pour.

use crate::settle::Settled;
use crate::time::Instant;
use crate::units::{Grams, GramsPerSecond};

use super::super::estimator::Line;
use super::super::settle::{Body, Settling};

/// What one sample told.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct PanEvents {
    /// The pan was emptied.
    pub lifted: bool,
    /// Something was set down; what the pan carries now.
    pub placed: Option<Grams>,
    /// A hand rested on the pan.
    pub pressed: bool,
    /// A knock.
    pub bumped: bool,
    /// What stands on the pan is being stirred: told once a stir.
    pub stirred: bool,
    /// Something came at once.
    pub added: Option<Grams>,
    /// Something was taken out of what stands on the pan.
    pub removed: Option<Grams>,
    /// What was taken for a pour has gone again: somebody had leant on the pan.
    pub void: bool,
    /// What has landed came as quickly as a thing that falls in or is laid down.
    pub burst: bool,
    /// What stays behind of what stood there, when the vessel goes.
    pub left: Grams,
    /// What came too slowly for a pour, told when the vessel goes.
    pub dripped: Option<Grams>,
    /// Liquid has begun to land.
    pub pour_started: bool,
    /// The pour under way, if any.
    pub pouring: Option<Pouring>,
    /// Something came or went and is not still yet.
    pub moving: bool,
    /// A settled value.
    pub settling: Option<Settling>,
}

/// What is to be expected of a pour.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Expectation {
    /// How the liquid drips.
    pub body: Body,
    /// The flow is meant to end now: the stop was cued, or there was none to cue.
    pub stopping: bool,
    /// Once so much of this pour has landed, a flow that begins anew is the next pour, grams;
    /// `None` where it can only be more of the same.
    pub passes: Option<Grams>,
    /// It comes at once: a dash, a spoon, a whole thing. What rises is believed sooner.
    pub at_once: bool,
}

/// A pour as it stands.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Pouring {
    /// When this was true: the sample's own time, not when it was read.
    pub at: Instant,
    /// What has landed since the pour began, and its flow.
    pub line: Line,
    /// The flow of the fast line: noisier, sooner.
    pub jerk: GramsPerSecond,
    /// How far the flow of the line looks back, seconds: the converter's delay and two memories.
    pub lag_s: f32,
    /// The same of the fast line.
    pub jerk_lag_s: f32,
    /// Seconds since the pour was seen to begin.
    pub seconds: f32,
    /// Nothing knocked, fell in or leaned on the pan so far.
    pub clean: bool,
}

impl PanEvents {
    /// Something came, went or began.
    #[must_use]
    pub const fn is_change(&self) -> bool {
        self.lifted
            || self.placed.is_some()
            || self.pressed
            || self.added.is_some()
            || self.removed.is_some()
            || self.pour_started
            || self.void
            || self.burst
    }
}

/// The value a settling carries.
#[must_use]
pub const fn settled_of(settling: Settling) -> Settled {
    match settling {
        Settling::Landed(settled) | Settling::Amended(settled) | Settling::Steady(settled) => {
            settled
        }
    }
}
