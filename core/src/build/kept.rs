//! A drink under way, as it outlives a power cut.
//!
//! The sheet is read again; what cannot be read from it is told as an [`UnderWay`] and what each
//! step brought. What was melting meanwhile nobody knows: a drink cut off in the middle of its
//! strain has its water expected instead of weighed.

use serde::{Deserialize, Serialize};

use crate::limits::{FINISH_S, PASSING_SIGMA_G};
use crate::output::Settled;
use crate::pour::Crew;
use crate::spec::{DrinkId, Step};
use crate::time::Instant;
use crate::units::Grams;
use crate::view::Work;
use crate::weigh::pan::PanEvents;

use super::aside::Aside;
use super::drink::{Build, Held, Phase};
use super::fixing::Mending;
use super::step::{self, Open};
use super::turn::Turn;

/// Where a drink stood.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub enum Stage {
    /// At a step, its vessel on the pan or expected back.
    Working,
    /// At a step, put aside before anything of it was in while another drink has the pan.
    Between,
    /// Its vessel away to be stirred or shaken.
    Away,
    /// The served glass is awaited.
    Glass,
    /// Some of it is in the served glass.
    Straining,
}

/// What of a drink under way cannot be read from the sheet.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct UnderWay {
    /// Its number, see [`crate::round::Round::begun`].
    pub number: u16,
    /// The drink of the sheet.
    pub drink: DrinkId,
    /// The step it is at.
    pub step: u8,
    /// How many glasses of it are built in one vessel.
    pub glasses: u8,
    /// Glasses of it that are done.
    pub served: u8,
    /// By how much it was grown after an over-pour; 1 where it was not.
    pub growth: f32,
    /// Earlier steps are being filled up for that.
    pub mending: bool,
    /// Where it stood.
    pub stage: Stage,
    /// What the pan carried when its vessel was lifted last.
    pub gross: Grams,
    /// What the first of several glasses holds.
    pub first_served: Option<Grams>,
    /// What was strained, where something follows the strain.
    pub strained: Option<Grams>,
}

impl Held {
    fn under_way(&self) -> Option<UnderWay> {
        let stage = match self.phase {
            Phase::Working | Phase::Astray => Stage::Working,
            Phase::Away { .. } => Stage::Away,
            Phase::Glass => Stage::Glass,
            Phase::Straining(_) | Phase::Finishing { .. } => Stage::Straining,
            Phase::Vessel | Phase::Done | Phase::Back(_) | Phase::Over => return None,
        };
        Some(UnderWay {
            number: self.order,
            drink: self.id,
            step: self.mending.map_or(self.number, Mending::back),
            glasses: self.portion.glasses,
            served: self.served,
            growth: self.portion.growth,
            mending: self.mending.is_some(),
            stage,
            gross: self.gross,
            first_served: self.first_served,
            strained: self.tally.strained_g(),
        })
    }

    /// What is in of each step, grams as the scale shows them.
    fn brought(&self) -> impl Iterator<Item = (u8, Grams)> + '_ {
        let steps = (0u8..).zip(&self.kept);
        steps.filter_map(|(step, kept)| kept.poured().map(|grams| (step, grams)))
    }
}

impl Aside {
    /// What is to outlive a power cut; see [`Aside::brought`].
    #[must_use]
    pub fn under_way(&self) -> Option<UnderWay> {
        self.0.under_way()
    }

    /// What is in of each step.
    pub fn brought(&self) -> impl Iterator<Item = (u8, Grams)> + '_ {
        self.0.brought()
    }
}

impl<'s> Build<'s> {
    /// What is to outlive a power cut; nothing before its vessel stands there, and nothing once it
    /// is recorded.
    #[must_use]
    pub fn under_way(&self) -> Option<UnderWay> {
        self.held.under_way()
    }

    /// Its number, see [`crate::round::Round::begun`].
    #[must_use]
    pub const fn number(&self) -> u16 {
        self.held.order
    }

    /// It has this number from now on.
    pub const fn number_as(&mut self, number: u16) {
        self.held.order = number;
    }

    /// What is in of each step, that of a pour that is judged and not yet recorded too; grams.
    pub fn brought(&self) -> impl Iterator<Item = (u8, Grams)> + '_ {
        let closing = self
            .closing
            .as_ref()
            .map(|step| (step.step, step.pour.poured().mass));
        let known = move |it: &(u8, Grams)| closing.is_none_or(|(step, _)| step != it.0);
        self.held.brought().filter(known).chain(closing)
    }

    /// The drink as it was when the power went, its vessel expected back. This one has not been
    /// begun and is the same of the sheet; in place, for it is large.
    #[cold]
    #[inline(never)]
    pub fn restore(
        &mut self,
        open: &UnderWay,
        brought: &mut dyn Iterator<Item = (u8, Grams)>,
        crew: &Crew,
    ) {
        self.number_as(open.number);
        self.learn_band(crew);
        self.held.portion.growth = open.growth.clamp(1.0, f32::from(u8::MAX));
        self.held.number = open.step;
        self.held.served = open.served;
        self.held.gross = open.gross;
        self.held.first_served = open.first_served;
        for (number, grams) in brought {
            self.bring_in(number, grams, crew);
        }
        for number in 0..self.drink.steps {
            let done = number < open.step || (number == open.step && open.stage == Stage::Away);
            if done && let Ok(step) = self.sheet.step(open.drink, number) {
                self.pass(step, open.strained);
            }
        }
        // Until it is known how it goes on.
        self.held.phase = match open.stage {
            Stage::Straining => Phase::Finishing {
                until: Instant::from_micros(u64::MAX),
                strained: None,
            },
            Stage::Working | Stage::Between | Stage::Away | Stage::Glass => Phase::Astray,
        };
        if open.mending {
            self.held.mending = Some(Mending::from_the_first(open.step));
        }
    }

    /// So much is in of step `number`.
    fn bring_in(&mut self, number: u8, grams: Grams, crew: &Crew) {
        let Held { id, portion, .. } = self.held;
        if let Ok(Ok(Open::Pour(step))) = step::open(&self.sheet, id, number, portion, crew) {
            let sigma = Grams(PASSING_SIGMA_G);
            self.keep(&step, Settled { mass: grams, sigma });
        }
    }

    /// A step that is no pour was done.
    fn pass(&mut self, step: Step<'s>, strained: Option<Grams>) {
        let work = match step {
            Step::Ice { .. } => {
                self.held.iced = Some(Instant::ZERO);
                return;
            }
            Step::Strain => {
                if let Some(mass) = strained {
                    let sigma = Grams(PASSING_SIGMA_G);
                    // What came of it before the cut is all that counts.
                    self.held.tally.strain(Settled { mass, sigma }, true);
                }
                return;
            }
            Step::Stir { .. } => Work::Stir,
            Step::Shake { .. } => Work::Shake,
            Step::Pour { .. }
            | Step::Dash { .. }
            | Step::Barspoon { .. }
            | Step::Whole { .. }
            | Step::Soda { .. }
            | Step::Rinse { .. }
            | Step::Note { .. } => return,
        };
        if self.held.iced.is_some() {
            self.held.tally.work(work);
        }
    }

    /// The same, to be put aside as one whose vessel left at `left`. How long it has been away
    /// nobody knows, so its time is up.
    #[must_use]
    pub fn kept_aside(&mut self, stage: Stage, left: Instant) -> Aside {
        self.held.left = left;
        self.held.phase = match (stage, self.sheet.step(self.held.id, self.held.number)) {
            (Stage::Away, Ok(Step::Stir { .. })) => away(Work::Stir, left),
            (Stage::Away, Ok(Step::Shake { .. })) => away(Work::Shake, left),
            (Stage::Glass, _) => Phase::Glass,
            _ => Phase::Astray,
        };
        Aside(self.held)
    }

    /// What stands on the pan is its vessel, and the open step goes on; so much of it is in.
    pub fn go_on(&mut self, came: Grams, turn: &mut Turn<'_>) {
        self.held.phase = Phase::Working;
        self.note = None;
        if self.held.mending.is_some() {
            self.advance(turn);
        } else {
            self.open_step(turn);
        }
        if came.0 > 0.0 {
            let events = PanEvents {
                added: Some(came),
                ..PanEvents::default()
            };
            self.take(&events, came, turn);
        }
    }

    /// Asks whether it goes on: what stands on the pan does not tell.
    pub fn ask(&mut self) {
        self.held.phase = Phase::Working;
        self.note = Some((
            "pour to go on, press to begin anew",
            Instant::from_micros(u64::MAX),
        ));
    }

    /// What it asked about has gone.
    pub fn await_again(&mut self) {
        self.held.phase = Phase::Astray;
        self.note = None;
    }

    /// It was cut off while it was strained: it is recorded soon, its glass gone or not.
    pub fn end(&mut self, gone: bool, now: Instant) {
        self.open = None;
        self.gone = gone;
        self.held.phase = Phase::Finishing {
            until: now.offset(FINISH_S),
            strained: None,
        };
    }

    /// Begins the drink anew.
    pub fn begin_anew(&mut self) {
        let Held {
            id, portion, order, ..
        } = self.held;
        *self = Self::new(self.sheet, id, self.drink, portion.glasses);
        self.number_as(order);
    }

    /// What the step to be opened takes at most, where it is poured or is ice.
    #[must_use]
    pub fn takes(&self, crew: &Crew) -> Option<Grams> {
        let Held {
            id,
            number,
            portion,
            ..
        } = self.held;
        match step::open(&self.sheet, id, number, portion, crew) {
            Ok(Ok(Open::Pour(step))) => Some(step.pour.judge().target),
            Ok(Ok(Open::Ice { high_g, .. })) => Some(Grams(high_g.into())),
            _ => None,
        }
    }

    /// Nothing is poured for a while: the vessel is away, or the drink is complete.
    #[must_use]
    pub const fn is_paused(&self) -> bool {
        match self.held.phase {
            Phase::Vessel | Phase::Away { .. } | Phase::Done | Phase::Back(_) | Phase::Over => true,
            Phase::Working
            | Phase::Astray
            | Phase::Glass
            | Phase::Straining(_)
            | Phase::Finishing { .. } => false,
        }
    }
}

const fn away(work: Work, since: Instant) -> Phase {
    Phase::Away {
        work,
        since,
        seconds: 0,
    }
}
