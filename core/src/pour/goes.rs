//! One pour from the offer to its verdict, second goes included.

mod aside;

use crate::input::Mode;
use crate::limits::{JOLT_S, PASSING_SIGMA_G, SPLASH_G, USUAL_MOST_G_PER_S};
use crate::output::{Judgement, Outputs, Settled, Verdict};
use crate::time::Instant;
use crate::units::{Grams, GramsPerSecond, Millilitres, deviation};
use crate::view::Cue;
use crate::weigh::pan::{Expectation, PanEvents, settled_of};
use crate::weigh::settle::{Body, Settling};

use super::control::{Call, Control};
use super::judge::Judge;
use super::overrun::{Habits, Owner};

/// Sigma of a go weighed with its vessel, grams: water under the foot comes and goes.
const REWEIGHED_SIGMA_G: f32 = 0.5;
/// What is no further from what the pour explains is the same vessel, grams.
const REWEIGHED_MOST_G: f32 = 5.0;
/// A pour over sooner than this was tipped in and teaches nothing, seconds; and so was one that
/// came faster than anything that is guided.
const TEACH_AFTER_S: f32 = 0.5;
/// No hand has tilted a bottle back so soon after the stop, seconds.
const HEEDED_S: f32 = 0.3;
/// A flow of this share of what it was at the stop is not being stopped.
const WENT_ON_SHARE: f32 = 0.6;
/// So much less than the target is worth a second go, grams.
const SECOND_GO_G: f32 = 0.3;

/// Who pours now and how strictly it is taken.
#[derive(Debug)]
pub struct Crew {
    /// What the hands have taught.
    pub habits: Habits,
    /// The way of working.
    pub mode: Mode,
    /// The hand, where one was named.
    pub hand: Option<u8>,
    /// What every strained glass is to hold at 20 degC, where that is limited.
    pub serve: Option<Millilitres>,
}

/// One pour.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Pour {
    judge: Judge,
    owner: Owner,
    body: Body,
    guided: bool,
    /// The next go is too short to be eased on the way: it is to begin slowly.
    gently: bool,
    /// What earlier goes brought.
    before: Settled,
    /// The go under way or just landed.
    control: Option<Control>,
    landing: Grams,
    current: Option<Settled>,
    /// What was in before a go that the lifted vessel cut short.
    before_cut: Option<Settled>,
    /// What came at once before the stream and may be none of it.
    doubtful: Grams,
    goes: u8,
    clean: bool,
    seconds: f32,
    /// Of the go under way, since its stop.
    since_stop_s: f32,
    went_on_s: f32,
    taught: bool,
    judged: Option<Judgement>,
}

impl Pour {
    /// An offer to pour `judge.target`. An unguided pour gets no cues and teaches nothing.
    #[must_use]
    pub const fn new(judge: Judge, owner: Owner, body: Body, guided: bool) -> Self {
        Self {
            judge,
            owner,
            body,
            guided,
            gently: false,
            before: Settled {
                mass: Grams::ZERO,
                sigma: Grams::ZERO,
            },
            control: None,
            landing: Grams::ZERO,
            current: None,
            before_cut: None,
            doubtful: Grams::ZERO,
            goes: 0,
            clean: true,
            seconds: 0.0,
            since_stop_s: 0.0,
            went_on_s: 0.0,
            taught: false,
            judged: None,
        }
    }

    /// How it is judged.
    #[must_use]
    pub const fn judge(&self) -> &Judge {
        &self.judge
    }

    /// What the pan is to expect.
    #[must_use]
    pub fn expectation(&self) -> Expectation {
        let stopped = self
            .control
            .as_ref()
            .is_none_or(|control| control.stopped().is_some());
        Expectation {
            body: self.body,
            stopping: stopped || !self.guided,
            passes: None,
            at_once: !self.guided,
        }
    }

    /// Something has been poured.
    #[must_use]
    pub const fn has_begun(&self) -> bool {
        self.goes > 0
    }

    /// Liquid is landing now.
    #[must_use]
    pub const fn is_flowing(&self) -> bool {
        self.control.is_some() && self.current.is_none()
    }

    /// The last verdict.
    #[must_use]
    pub const fn verdict(&self) -> Option<Judgement> {
        self.judged
    }

    /// The guide of the go under way.
    #[must_use]
    pub const fn control(&self) -> Option<&Control> {
        self.control.as_ref()
    }

    /// How often liquid has begun to land.
    #[must_use]
    pub const fn goes(&self) -> u8 {
        self.goes
    }

    /// What the hand should do now.
    #[must_use]
    pub fn cue(&self) -> Cue {
        match &self.control {
            Some(control) if self.guided && self.current.is_none() => {
                Cue::of(control.is_eased(), control.stopped().is_some())
            }
            Some(_) | None => Cue::of(self.guided && self.gently, false),
        }
    }

    /// What is in by now; while liquid lands, as far as the samples tell.
    #[must_use]
    pub fn mass(&self, now: Instant) -> Grams {
        let current = match (self.current, &self.control) {
            (Some(settled), _) => settled.mass,
            (None, Some(control)) => control.mass(now),
            (None, None) => Grams::ZERO,
        };
        self.before.mass + current
    }

    /// What is in, as settled as it is known.
    #[must_use]
    pub fn poured(&self) -> Settled {
        let current = self.current.unwrap_or(Settled {
            mass: self.landing,
            sigma: if self.landing.0 == 0.0 {
                Grams::ZERO
            } else {
                Grams(PASSING_SIGMA_G)
            },
        });
        join(self.before, current)
    }

    /// Too little is in, by enough to ask for more.
    #[must_use]
    pub fn wants_more(&self) -> bool {
        self.judged.is_some_and(|judged| {
            judged.verdict == Verdict::Short
                && self.judge.speaks_up(&judged)
                && judged.error.abs().0 > SECOND_GO_G
        })
    }

    /// Takes what the pan told.
    pub fn take(&mut self, now: Instant, events: &PanEvents, crew: &mut Crew, out: &mut Outputs) {
        if events.pour_started {
            self.begin_go(crew);
        } else if self.guided && !self.is_flowing() {
            let missing = self.judge.target - self.poured().mass;
            let habit = crew.habits.of(self.owner, self.body);
            self.gently = habit.begins_gently(missing);
        }
        if let Some(pouring) = &events.pouring {
            self.clean &= pouring.clean;
            self.seconds = pouring.seconds;
            self.landing = pouring.line.mass;
            if self.current.is_none()
                && let Some(control) = &mut self.control
            {
                control.follow(now, pouring);
                if let Some(stopped) = control.stopped() {
                    self.since_stop_s = pouring.at.seconds_since(stopped.at);
                    if pouring.line.flow.0 > WENT_ON_SHARE * stopped.flow.0 {
                        self.went_on_s = self.since_stop_s;
                    }
                }
            }
        }
        // Beside a guided stream it is ice or a spoon; where one thing is to come, it is the rest
        // of it.
        if let Some(grams) = events.added
            && !(self.guided && self.is_flowing())
        {
            if !self.is_flowing() {
                self.fold();
                self.control = None;
                self.goes = self.goes.saturating_add(1);
            }
            self.before = join(
                self.before,
                Settled {
                    mass: grams,
                    sigma: Grams(PASSING_SIGMA_G),
                },
            );
            if self.guided {
                self.speak(out);
            }
        }
        if let Some(grams) = events.removed
            && !self.dismiss(grams)
            && self.was_all(grams)
        {
            *self = Self::new(self.judge, self.owner, self.body, self.guided);
        }
        // What settles before liquid has begun to land here is not of this pour.
        if let Some(settling) = events.settling
            && self.control.is_some()
        {
            self.current = Some(settled_of(settling));
            self.landing = Grams::ZERO;
            self.resolve();
            let last = matches!(settling, Settling::Steady(_));
            let due = last || self.judge.is_sure(self.poured());
            if self.guided && self.judged.is_none() && due {
                self.speak(out);
            }
            if last {
                self.teach(crew);
            }
        }
        self.tick(now, out);
    }

    /// Sounds the cue that is due.
    pub fn tick(&mut self, now: Instant, out: &mut Outputs) {
        if !self.guided || self.current.is_some() {
            return;
        }
        match self.control.as_mut().and_then(|control| control.call(now)) {
            Some(Call::Ease) => out.ease = true,
            Some(Call::Stop) => out.stop = true,
            None => {}
        }
    }

    /// When the next cue is due.
    #[must_use]
    pub fn deadline(&self) -> Option<Instant> {
        if !self.guided || self.current.is_some() {
            return None;
        }
        self.control.as_ref().and_then(Control::deadline)
    }

    /// The next thing happens: judged on what is known, if it was not yet, and learned from.
    pub fn close(&mut self, crew: &mut Crew, out: &mut Outputs) {
        if self.judged.is_none() && self.has_begun() {
            self.speak(out);
        }
        self.teach(crew);
    }

    /// From this mass on, of the go under way, a new flow is the next bottle; `None` until the
    /// stop can have been heeded.
    #[must_use]
    pub fn passes(&self) -> Option<Grams> {
        let heeded = self.since_stop_s > HEEDED_S;
        heeded.then(|| self.judge.target - self.before.mass - self.judge.speak_up)
    }

    /// For how long the flow went on after the stop as if nothing had been said, seconds.
    #[must_use]
    pub const fn went_on_s(&self) -> f32 {
        self.went_on_s
    }

    /// The next bottle flows already: what is in is judged as far as it is known, and teaches
    /// nothing.
    pub fn pass(&mut self, passed: Settled, crew: &mut Crew, out: &mut Outputs) {
        self.current = Some(passed);
        self.clean = false;
        self.close(crew, out);
    }

    /// So much is in from before: what is missing is added to it.
    pub fn resume(&mut self, poured: Settled) {
        self.fold();
        self.control = None;
        self.before = poured;
        self.goes = 1;
        self.judged = Some(self.judge.judge(poured));
    }

    /// Something was tipped back out; more than is in was never in it.
    pub fn take_back(&mut self, grams: Grams, out: &mut Outputs) {
        if self.dismiss(grams) || grams > self.poured().mass + Grams(SPLASH_G) {
            return;
        }
        self.fold();
        self.before.mass -= grams;
        self.speak(out);
    }

    /// The vessel was lifted while liquid landed: what is in is known only in passing.
    pub fn interrupt(&mut self) {
        if self.seconds < TEACH_AFTER_S {
            // The hand that took hold.
            self.void();
            return;
        }
        self.clean = false;
        self.before_cut = Some(self.before);
        self.fold();
        self.control = None;
    }

    /// What looked like the begin of a pour was the hand that lifted the vessel: nothing has begun.
    /// `false` when more than that has flowed.
    pub fn was_jolt(&mut self) -> bool {
        let jolt = self.goes == 1 && self.is_flowing() && self.seconds < JOLT_S;
        if jolt {
            self.interrupt();
            self.goes = 0;
            self.before = Settled::default();
        }
        jolt
    }

    /// For how long the go under way has flowed, or the last one did, seconds.
    #[must_use]
    pub const fn flowed_s(&self) -> f32 {
        self.seconds
    }

    /// The vessel is back and weighs `came` more than before the go that was cut short. What no
    /// pour and no wet base explains is another vessel, and changes nothing.
    pub fn reweigh(&mut self, came: Grams) {
        let explained = self.explains(came);
        if let Some(before) = self.before_cut.take()
            && explained
        {
            self.before = join(
                before,
                Settled {
                    mass: Grams(came.0.max(0.0)),
                    sigma: Grams(REWEIGHED_SIGMA_G),
                },
            );
        }
    }

    fn begin_go(&mut self, crew: &Crew) {
        self.fold();
        self.goes = self.goes.saturating_add(1);
        self.judged = None;
        self.current = None;
        self.since_stop_s = 0.0;
        self.went_on_s = 0.0;
        let habit = crew.habits.of(self.owner, self.body);
        let missing = self.judge.target - self.before.mass;
        self.control = Some(Control::new(missing, habit, self.guided && self.gently));
    }

    /// Counts the last go among the earlier ones.
    fn fold(&mut self) {
        self.before = self.poured();
        self.current = None;
        self.landing = Grams::ZERO;
    }

    fn speak(&mut self, out: &mut Outputs) {
        let judged = self.judge.judge(self.poured());
        self.judged = Some(judged);
        out.verdict = Some(judged);
    }

    /// A clean first go that was stopped by its cue teaches; nothing else does.
    fn teach(&mut self, crew: &mut Crew) {
        let (Some(settled), Some(stopped)) = (
            self.current,
            self.control.as_ref().and_then(Control::stopped),
        ) else {
            return;
        };
        let fit = self.guided
            && self.clean
            && self.goes == 1
            && !self.taught
            && self.seconds > TEACH_AFTER_S
            && settled.mass < GramsPerSecond(USUAL_MOST_G_PER_S).during(self.seconds);
        if fit {
            self.taught = true;
            let mut habit = crew.habits.of(self.owner, self.body);
            habit.learn(&stopped, settled.mass - stopped.mass);
            crew.habits.keep(self.owner, habit);
        }
    }
}

fn join(a: Settled, b: Settled) -> Settled {
    let variance = a.sigma.0 * a.sigma.0 + b.sigma.0 * b.sigma.0;
    Settled {
        mass: a.mass + b.mass,
        sigma: Grams(deviation(variance)),
    }
}
