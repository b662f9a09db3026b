//! Somebody who makes a drink as the mood takes him: by the cues or past them, in one go or in
//! several, with the glass in the hand in between.

use pennyweight_core::Event;
use pennyweight_core::output::PourRecord;
use pennyweight_core::spec::{Reading, Unit, Vessel};
use pennyweight_core::view::{Offer, Page};
use pennyweight_sim::plant::Surroundings;
use rand::{RngExt, SeedableRng};
use rand_pcg::Pcg64Mcg;

use super::play::{Do, Scene};

/// How somebody takes it.
#[derive(Clone, Copy, Debug)]
pub(super) struct Mood {
    /// Pours past the stop, of a hundred.
    pub(super) over: u32,
    /// Does something that no panel asked for, of a hundred.
    pub(super) odd: u32,
    /// Takes the fix wherever it is offered.
    pub(super) mends: bool,
}

/// A drink that somebody made.
pub(super) struct Made {
    pub(super) scene: Scene,
    /// Everything done, to be told when something is wrong.
    pub(super) story: Vec<Do>,
    /// It came to its end.
    pub(super) done: bool,
    /// The panel asked whether something was of the drink.
    pub(super) asked: bool,
    /// Too much was kept: nothing could be done, or nobody wanted to.
    pub(super) kept: bool,
    /// A bottle was poured for another one.
    pub(super) lost: bool,
    /// How often the fix was taken.
    pub(super) mended: usize,
    draws: Pcg64Mcg,
    mood: Mood,
}

impl Made {
    /// Makes one of these.
    pub(super) fn of(drink: &'static str, vessel: Vessel, seed: u64, mood: Mood) -> Self {
        let mut made = Self {
            scene: Scene::new(seed, Surroundings::Usual, 80.0),
            story: Vec::new(),
            done: false,
            asked: false,
            kept: false,
            lost: false,
            mended: 0,
            draws: Pcg64Mcg::seed_from_u64(seed),
            mood,
        };
        for what in [
            Do::Wait(2.0),
            Do::Order(drink),
            Do::Place(vessel),
            Do::Wait(3.0),
        ] {
            made.act(what);
        }
        for _ in 0..60 {
            if !made.go_on() {
                break;
            }
        }
        made.act(Do::Wait(9.0));
        made
    }

    /// The last record of every step.
    pub(super) fn records(&self) -> Vec<&PourRecord> {
        let mut last: Vec<&PourRecord> = Vec::new();
        for record in &self.scene.records {
            last.retain(|other| other.step != record.step);
            last.push(record);
        }
        last
    }

    /// What is in the glass, grams as the scale shows them.
    pub(super) fn in_glass_g(&self) -> f64 {
        let glass = self.scene.glass.expect("a glass was set down");
        self.scene.rig.bench.contents_shown_g(glass)
    }

    /// Everything told and done.
    pub(super) fn told(&self) -> String {
        let events: Vec<&Event> = self.scene.told.iter().map(|(_, event)| event).collect();
        format!("{:?}\n{events:?}", self.story)
    }

    fn act(&mut self, what: Do) {
        self.story.push(what);
        if let Err(why) = self.scene.play(what) {
            panic!("{why}\n{}", self.told());
        }
    }

    fn chance(&mut self, percent: u32) -> bool {
        self.draws.random_range(0..100) < percent
    }

    fn between(&mut self, low: f64, high: f64) -> f64 {
        self.draws.random_range(low..high)
    }

    fn pause(&mut self) {
        let seconds = self.between(0.8, 4.0);
        self.act(Do::Wait(seconds));
    }

    /// Does the next thing; `false` when there is none.
    fn go_on(&mut self) -> bool {
        let on_pan = self.scene.rig.bench.vessel_on_pan().is_some();
        match self.scene.rig.station.view().page {
            Page::Pour {
                liquid, remaining, ..
            } => self.pour(liquid, remaining),
            Page::Add {
                liquid, missing, ..
            } => self.pour(liquid, missing),
            Page::Count { liquid, unit, .. } => match unit {
                Unit::Dash => self.act(Do::Dash(0.8)),
                Unit::Barspoon => {
                    self.act(Do::TipIn(liquid, 6.1));
                    // A second one on its heels would make the first look like a thing laid down.
                    self.act(Do::Wait(2.0));
                }
                _ => self.act(Do::TipIn(liquid, 33.0)),
            },
            Page::Judged { error, offer, .. } => self.see_to(error, offer),
            Page::Ask { .. } => {
                self.asked = true;
                self.act(Do::Wait(2.0));
            }
            Page::Place { .. } if !on_pan => self.act(Do::PutBack),
            Page::Done { .. } | Page::Idle | Page::Again { .. } => {
                self.done = true;
                return false;
            }
            // What was poured last is recorded when the next thing happens.
            Page::Ice { .. } | Page::Away { .. } => {
                self.act(Do::Wait(3.0));
                self.act(Do::Lift);
                return false;
            }
            _ => {}
        }
        self.pause();
        true
    }

    fn pour(&mut self, liquid: &'static str, left: Reading) {
        let left_g = f64::from(left.value) / 10_f64.powi(left.decimals.into());
        let flow = self.between(4.0, 12.0);
        if self.chance(self.mood.odd) {
            self.do_something_else(liquid, left_g);
        } else if left_g > 8.0 && self.chance(self.mood.over) {
            let until_g = self.in_glass_g() + left_g + self.between(2.0, 9.0);
            self.act(Do::Tilt(liquid, flow));
            self.act(Do::UntilIn(until_g));
            self.act(Do::TiltBack);
        } else if left_g > 0.0 {
            self.act(Do::Tilt(liquid, if left_g < 8.0 { 4.0 } else { flow }));
            self.story.push(Do::Follow);
            if self.scene.play(Do::Follow).is_err() {
                // Tilted just as the panel went on to the next bottle: no cue is for this one.
                self.lost = true;
                self.act(Do::TiltBack);
            }
        }
        // So that nothing is done before the last of it has landed.
        self.act(Do::Wait(1.5));
    }

    fn do_something_else(&mut self, liquid: &'static str, left_g: f64) {
        match self.draws.random_range(0..5) {
            0 => {
                let away_s = self.between(1.0, 4.0);
                self.act(Do::Lift);
                self.act(Do::Wait(away_s));
                self.act(Do::PutBack);
            }
            1 => self.act(Do::Knock(40.0)),
            2 => self.act(Do::Press),
            3 if left_g > 10.0 => {
                let share = self.between(0.9, 1.1);
                self.act(Do::TipIn(liquid, share * left_g));
            }
            _ if left_g > 10.0 => {
                let until_g = self.in_glass_g() + self.between(0.3, 0.7) * left_g;
                self.act(Do::Tilt(liquid, 6.0));
                self.act(Do::UntilIn(until_g));
                self.act(Do::TiltBack);
            }
            _ => {}
        }
    }

    /// Something is too much.
    fn see_to(&mut self, error: Reading, offer: Offer) {
        let over_g = f64::from(error.value) / 10_f64.powi(error.decimals.into());
        match offer {
            Offer::Fix if self.mood.mends || self.chance(50) => {
                self.mended += 1;
                self.act(Do::Command(pennyweight_core::Command::Fix));
            }
            Offer::TipOut if !self.mood.mends && self.chance(50) => {
                self.act(Do::Lift);
                self.act(Do::Wait(1.5));
                self.act(Do::TipOut(over_g));
                self.act(Do::Wait(1.0));
                self.act(Do::PutBack);
                self.act(Do::Wait(3.0));
            }
            // Shown for a while, and nobody minds.
            Offer::Fix | Offer::TipOut | Offer::Nothing => {
                self.kept = true;
                self.act(Do::Wait(7.0));
            }
        }
    }
}
