//! A hand at a tilted bottle: from what it hears and sees to when it moves.

use pennyweight_core::output::Outputs;
use pennyweight_core::view::{Cue, Light, Page, Sound, View};

use super::hand::HandDraw;

/// A ramp must have been followed for so long before its end can be foreseen (assumption).
const FOLLOWED_S: f64 = 0.15;

/// The ramp of the last so many seconds tells how fast it runs (assumption).
const LOOKS_BACK_S: f64 = 0.30;

/// A ramp that rises slower than this a second stands still (assumption).
const STANDS_STILL: f64 = 0.1;

/// A move this close can no longer be changed (assumption: about the fastest reaction).
const COMMITTED_S: f64 = 0.12;

/// Whoever is still pouring so long after a reaction was due gives up waiting for the ramp.
const OVERDUE_S: f64 = 0.15;

/// What a hand takes in at one moment.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Sensed {
    /// "Pour slower" is heard or seen.
    pub ease: bool,
    /// "Stop" is heard or seen.
    pub stop: bool,
    /// The ramp as it stands.
    pub ramp: Option<f64>,
    /// The panel asks for the pour; once it has, anything else it shows means that the pour is
    /// over.
    pub asked: bool,
}

impl Sensed {
    /// What sounder, light and panel offer; a hand with `sound` off has the latter two.
    #[must_use]
    pub fn of(outputs: &Outputs, view: &View<'_>, sound: bool) -> Self {
        let cue = match view.page {
            Page::Pour { cue, .. } | Page::Add { cue, .. } => cue,
            _ => Cue::Pour,
        };
        let heard = |event: bool, tone: Sound| sound && (event || view.sound == tone);
        Self {
            ease: heard(outputs.ease, Sound::Ease) || cue == Cue::Ease || view.light == Light::Ease,
            stop: heard(outputs.stop, Sound::Stop) || cue == Cue::Stop || view.light == Light::Stop,
            ramp: view.ramp.map(f64::from),
            asked: matches!(view.page, Page::Pour { .. } | Page::Add { .. }),
        }
    }
}

/// A move of the hand.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Move {
    /// Slower: to this flow in g/s, within so many seconds.
    Ease {
        /// Flow to reach.
        to_g_s: f64,
        /// Time it takes.
        lasts_s: f64,
    },
    /// The bottle is tilted back.
    TiltBack,
}

/// One pour as the hand lives it.
#[derive(Clone, Debug)]
pub struct Reflex {
    draw: HandDraw,
    ease_us: Option<u64>,
    eased: bool,
    stop_seen_us: Option<u64>,
    planned_us: Option<u64>,
    ramp: Vec<(u64, f64)>,
    asked: bool,
    stopped: bool,
}

impl Reflex {
    /// A hand that has just tilted the bottle.
    #[must_use]
    pub fn new(draw: HandDraw) -> Self {
        Self {
            draw,
            ease_us: None,
            eased: false,
            stop_seen_us: None,
            planned_us: None,
            ramp: Vec::new(),
            asked: false,
            stopped: false,
        }
    }

    /// The bottle has been tilted back.
    #[must_use]
    pub fn has_stopped(&self) -> bool {
        self.stopped
    }

    /// Takes in what is offered at `now_us`.
    pub fn observe(&mut self, now_us: u64, sensed: &Sensed) {
        if sensed.ease && !self.eased && self.ease_us.is_none() && self.draw.eased_g_s.is_some() {
            self.ease_us = Some(now_us + micros(self.draw.ease_reaction_s));
        }
        let withdrawn = self.asked && !sensed.asked;
        self.asked |= sensed.asked;
        if (sensed.stop || withdrawn) && self.stop_seen_us.is_none() {
            self.stop_seen_us = Some(now_us);
        }
        if let Some(ramp) = sensed.ramp
            && self.draw.anticipates
        {
            self.watch(now_us, ramp);
        }
    }

    /// Foresees the moment at which the ramp reaches one. A ramp that stands still ends at no
    /// moment that could be foreseen.
    fn watch(&mut self, now_us: u64, ramp: f64) {
        let committed = self
            .planned_us
            .is_some_and(|planned| planned < now_us + micros(COMMITTED_S));
        if committed {
            return;
        }
        self.ramp.push((now_us, ramp));
        let recent = now_us.saturating_sub(micros(LOOKS_BACK_S));
        self.ramp.retain(|&(at, _)| at >= recent);
        let Some(&(since_us, since)) = self.ramp.first() else {
            return;
        };
        let seconds = now_us.saturating_sub(since_us) as f64 * 1e-6;
        if seconds < FOLLOWED_S {
            return;
        }
        let rise = (ramp - since) / seconds;
        self.planned_us = (rise > STANDS_STILL).then(|| {
            let now_s = now_us as f64 * 1e-6;
            let end_s = now_s + (1.0 - ramp).max(0.0) / rise;
            micros((end_s + self.draw.about_ramp_end_s).max(now_s))
        });
    }

    /// When the bottle will be tilted back, as things stand.
    fn stop_us(&self) -> Option<u64> {
        let reacted = self
            .stop_seen_us
            .map(|seen| seen + micros(self.draw.stop_reaction_s));
        match (self.planned_us, reacted) {
            (Some(planned), Some(reacted)) if planned > reacted + micros(OVERDUE_S) => {
                Some(reacted)
            }
            (Some(planned), _) => Some(planned),
            (None, reacted) => reacted,
        }
    }

    /// When the hand moves next, as things stand.
    #[must_use]
    pub fn next_us(&self) -> Option<u64> {
        if self.stopped {
            return None;
        }
        let ease = self.ease_us.filter(|_| !self.eased);
        [ease, self.stop_us()].into_iter().flatten().min()
    }

    /// The move due at `now_us`, for a bottle that flows with `flow_g_s`.
    pub fn take(&mut self, now_us: u64, flow_g_s: f64) -> Option<Move> {
        if self.stopped {
            return None;
        }
        if self.stop_us().is_some_and(|due| due <= now_us) {
            self.stopped = true;
            return Some(Move::TiltBack);
        }
        if !self.eased && self.ease_us.is_some_and(|due| due <= now_us) {
            self.eased = true;
            let to_g_s = self.draw.eased_g_s?.min(self.draw.eased_at_most * flow_g_s);
            return Some(Move::Ease {
                to_g_s,
                lasts_s: self.draw.transition_s,
            });
        }
        None
    }

    /// Tilts back whatever is offered: the glass is about to run over.
    pub fn give_up(&mut self) -> Move {
        self.stopped = true;
        Move::TiltBack
    }
}

/// Seconds as microseconds, none where they are negative.
#[must_use]
pub fn micros(seconds: f64) -> u64 {
    (seconds * 1e6).round().max(0.0) as u64
}
