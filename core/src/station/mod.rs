//! The station: one input in, a short fixed list of outputs back.

mod aside;
mod bench;
mod free;
mod keep;
mod page;
mod restart;
mod resume;
mod rounds;
mod single;
mod sounding;

pub use keep::Shift;

use crate::build::{Build, Turn};
use crate::input::{Command, CommandError, Input, Mode};
use crate::learn::Learning;
use crate::limits::{
    CODE_MAX, CODE_MIN, DIM_S, INITIAL_ZERO_G, OVERLOAD_G, SILENT_PERIODS, SILENT_S, ZERO_SHIFT_G,
    ZERO_SHIFT_US,
};
use crate::output::{Fault, Outputs};
use crate::panel::{light, tone};
use crate::pour::{Control, Crew, Habits, Pour};
use crate::round::{Round, on_sheet};
use crate::spec::Sheet;
use crate::time::Instant;
use crate::units::{AdcCode, Grams};
use crate::view::{Page, Sound, View};
use crate::weigh::gate::Timed;
use crate::weigh::pan::PanEvents;
use crate::weigh::settle::Settling;
use crate::weigh::{Calibration, Expectation, Gate, Pan, Period};
use aside::Aside;
use resume::Resume;

/// What must be known before the first sample.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Setup {
    /// The code of the empty pan at the last calibration.
    pub zero_code: i32,
    /// Codes per gram.
    pub counts_per_gram: f32,
    /// Nominal conversions per second.
    pub sps: f32,
    /// The way of working.
    pub mode: Mode,
}

/// What the station is doing.
#[derive(Debug)]
enum Task {
    /// Weighing.
    Plain,
    /// The same pour into every vessel.
    Single { target: Grams, pour: Option<Pour> },
    /// The drinks of the round.
    Round,
    /// A bottle from a measure filled with it.
    Learn(Learning),
}

/// The whole scale, from converter code to cue.
#[derive(Debug)]
pub struct Station<'s> {
    calibration: Calibration,
    gate: Gate,
    period: Period,
    pan: Pan,
    crew: Crew,
    task: Task,
    /// In place, so that none is ever moved over the stack.
    round: Round<'s>,
    sheet: Option<Sheet<'s>>,
    now: Instant,
    /// Faults that last, by kind.
    unusable: Option<Fault>,
    silent: bool,
    overloaded: bool,
    /// When the zero is to be looked at after an overload.
    zero_due: Option<Instant>,
    zero_off: bool,
    aside: Aside,
    /// While the page tells of it, and otherwise.
    sound: (Sound, Sound),
    sound_until: Instant,
    /// The last snapshot, and since when it was shown.
    shown: Option<View<'s>>,
    woken: Instant,
    dim: bool,
    /// A drink of before the power went, to be taken up again.
    resume: Option<Resume>,
}

impl<'s> Station<'s> {
    /// A station that has seen nothing yet; `const`, so that it can be built in place.
    #[must_use]
    pub const fn new(setup: Setup) -> Self {
        Self {
            calibration: Calibration {
                zero_code: setup.zero_code,
                counts_per_gram: setup.counts_per_gram,
            },
            gate: Gate::new(),
            period: Period::new(setup.sps),
            pan: Pan::new(),
            crew: Crew {
                habits: Habits::new(),
                mode: setup.mode,
                hand: None,
                serve: None,
            },
            task: Task::Plain,
            round: Round::new(),
            sheet: None,
            now: Instant::ZERO,
            unusable: None,
            silent: false,
            overloaded: false,
            zero_due: None,
            zero_off: false,
            aside: Aside::NONE,
            sound: (Sound::Silent, Sound::Silent),
            sound_until: Instant::ZERO,
            shown: None,
            woken: Instant::ZERO,
            dim: false,
            resume: None,
        }
    }

    /// Takes one input at time `now`.
    ///
    /// Calling early, or with [`Input::Tick`] at any time, is harmless. Time running backwards is
    /// a fault, and its input is dropped.
    pub fn handle(&mut self, now: Instant, input: Input) -> Outputs {
        let mut out = Outputs::default();
        self.handle_into(now, input, &mut out);
        out
    }

    /// The same into outputs in which nothing has happened, wherever they lie: a copy of them takes
    /// stack and time.
    pub fn handle_into(&mut self, now: Instant, input: Input, out: &mut Outputs) {
        if now < self.now {
            out.fault = Some(Fault::Time);
            return;
        }
        self.now = now;
        match input {
            Input::Code(code) => self.weigh(now, code, out),
            Input::Tick => {}
            Input::Command(command) => out.refused = self.obey(now, command, out).err(),
        }
        self.tick(now, out);
        self.make_sound(now, out);
    }

    /// When [`Input::Tick`] is due if no conversion comes first.
    #[must_use]
    pub fn deadline(&self) -> Option<Instant> {
        let task = match &self.task {
            Task::Plain | Task::Learn(_) => None,
            Task::Single { pour, .. } => pour.as_ref().and_then(Pour::deadline),
            Task::Round => self.round.deadline(self.now),
        };
        Instant::sooner(task, self.silence())
    }

    /// A snapshot for the panel, the light and the sounder.
    pub fn view(&mut self) -> View<'s> {
        let page = self.page();
        let ramp = self.ramp();
        let sound = match (self.sound_beside(&page), ramp) {
            (Sound::Silent, Some(ramp)) => Sound::Ramp(tone(ramp)),
            (sound, _) => sound,
        };
        let mut view = View {
            changed: false,
            dim: false,
            light: light(&page),
            page,
            sound,
            ramp,
        };
        if self.shown != Some(view) {
            self.shown = Some(view);
            self.woken = self.now;
            view.changed = true;
        }
        if let Page::Idle | Page::Again { .. } | Page::Weight(_) = view.page {
            view.dim = self.now.seconds_since(self.woken) > DIM_S;
        }
        view.changed |= self.dim != view.dim;
        self.dim = view.dim;
        view
    }

    /// Progress of the ramp before the hand is to move, while it runs.
    #[must_use]
    pub fn ramp(&self) -> Option<f32> {
        match &self.task {
            Task::Plain | Task::Learn(_) => None,
            Task::Single { pour, .. } => pour
                .as_ref()
                .and_then(Pour::control)
                .and_then(Control::ramp),
            Task::Round => self.round.build().and_then(Build::ramp),
        }
    }

    /// From one code to what happened on the pan.
    fn weigh(&mut self, now: Instant, code: AdcCode, out: &mut Outputs) {
        if code.0 > CODE_MAX || code.0 < CODE_MIN || !self.calibration.is_usable() {
            out.fault = Some(Fault::Range);
            return;
        }
        if !self.gate.is_new(now, code, self.period.seconds()) {
            return;
        }
        self.period.learn(now);
        out.cleared = core::mem::take(&mut self.silent);
        let gated = self.gate.take(now, code, self.calibration.counts_per_gram);
        if let Some(fault) = gated.fault {
            out.fault = Some(fault);
            if fault != Fault::Glitch {
                self.unusable = Some(fault);
            }
        }
        if gated.cleared {
            self.unusable = None;
            out.cleared = true;
        }
        let repeating = self.gate.repeating();
        self.pan.doubt(repeating.is_some());
        if gated.fault == Some(Fault::Stuck)
            && let Some(since) = repeating
        {
            self.pan.forget_since(since.offset(-self.period.age()));
        }
        if let Some(held) = gated.held {
            self.pass(now, held, out);
        }
        if let Some(sample) = gated.sample {
            self.pass(now, sample, out);
        }
        let overloaded = self.pan.reading().0 > OVERLOAD_G;
        if overloaded && !self.overloaded {
            out.fault = Some(Fault::Overload);
        }
        out.cleared |= self.overloaded && !overloaded;
        self.overloaded = overloaded;
        let overdriven = overloaded || self.unusable == Some(Fault::Saturated);
        if overdriven || self.zero_due.is_some() {
            self.check_zero(now, overdriven, out);
        }
    }

    /// From a code that counts to what happened on the pan, and on.
    fn pass(&mut self, now: Instant, (read, code): Timed, out: &mut Outputs) {
        let at = read.offset(-self.period.age());
        let gross = self.pan.gross();
        let mass = self.calibration.grams(code);
        let mut events = self.pan.sample(at, mass, self.period.seconds());
        let settles = events.settling.is_some();
        let changes = events.is_change();
        if changes || settles || events.bumped || events.stirred {
            report(&events, out);
        }
        let gross = gross - events.left;
        if changes || (settles && self.aside.is_asking()) {
            self.set_aside(&mut events);
        }
        self.follow(now, &events, gross, out);
    }

    /// The empty pan ought to be where it was before the overload. Being zeroed or wiped ends the
    /// fault with the next conversion. Apart from what every sample passes through.
    #[cold]
    #[inline(never)]
    fn check_zero(&mut self, now: Instant, overdriven: bool, out: &mut Outputs) {
        let off = self.pan.gross().0;
        if overdriven || !self.pan.is_still() || off >= INITIAL_ZERO_G {
            let due = now.micros().saturating_add(ZERO_SHIFT_US);
            self.zero_due = Some(Instant::from_micros(due));
        } else if self.zero_due <= Some(now) {
            let was_off = core::mem::replace(&mut self.zero_off, off.abs() > ZERO_SHIFT_G);
            if !self.zero_off {
                self.zero_due = None;
                out.cleared |= was_off;
            } else if !was_off {
                out.fault = Some(Fault::Zero);
            }
        }
    }

    /// From what happened on the pan to the pour, the drink and the round.
    fn follow(&mut self, now: Instant, events: &PanEvents, gross: Grams, out: &mut Outputs) {
        if let Some(Resume { follow, .. }) = self.resume
            && follow(self, events, gross, out)
        {
            return;
        }
        match &mut self.task {
            Task::Plain => {}
            Task::Single { target, pour } => {
                if events.lifted {
                    if let Some(mut pour) = pour.take() {
                        pour.close(&mut self.crew, out);
                    }
                } else if events.placed.is_some() {
                    *pour = Some(single::start(*target, &self.crew));
                } else if let Some(pour) = pour {
                    pour.take(now, events, &mut self.crew, out);
                }
            }
            Task::Round => {
                let mut turn = Turn {
                    now,
                    crew: &mut self.crew,
                    out,
                };
                let sheet = self.sheet.as_ref();
                self.round.take(events, gross, sheet, &mut turn);
                let loaded = self.pan.is_still() && self.pan.is_loaded();
                self.round.start(sheet, loaded, &mut turn);
            }
            Task::Learn(learning) => learning.take(now, events, &self.pan, gross, out),
        }
        let expectation = match &self.task {
            Task::Plain => self.without_drink(),
            Task::Learn(_) => Expectation {
                stopping: true,
                ..Expectation::default()
            },
            Task::Single { pour, .. } => pour
                .as_ref()
                .map_or_else(Expectation::default, Pour::expectation),
            Task::Round => self
                .round
                .build()
                .map_or_else(|| self.without_drink(), Build::expectation),
        };
        self.pan.prepare(expectation);
        self.hold_zero();
    }

    fn tick(&mut self, now: Instant, out: &mut Outputs) {
        match &mut self.task {
            Task::Plain | Task::Learn(_) => {}
            Task::Single { pour, .. } => {
                if let Some(pour) = pour {
                    pour.tick(now, out);
                }
            }
            Task::Round => self.round.tick(&mut Turn {
                now,
                crew: &mut self.crew,
                out,
            }),
        }
        if !self.silent && self.silence().is_some_and(|at| at <= now) {
            self.silent = true;
            out.fault = Some(Fault::Silent);
        }
    }

    /// When the converter counts as silent.
    fn silence(&self) -> Option<Instant> {
        let patience = (SILENT_PERIODS * self.period.seconds()).max(SILENT_S);
        match (self.silent, self.period.last()) {
            (false, Some(last)) => Some(last.offset(patience)),
            (true, _) | (false, None) => None,
        }
    }

    /// Carries out a command. Apart from what every sample passes through: within it, it would make
    /// that slower.
    #[cold]
    #[inline(never)]
    fn obey(
        &mut self,
        now: Instant,
        command: Command,
        out: &mut Outputs,
    ) -> Result<(), CommandError> {
        let loaded = self.pan.is_still() && self.pan.is_loaded();
        if command == Command::Skip
            && let Some(grams) = self.pan.take_drip()
        {
            self.drip(grams);
        }
        match command {
            Command::Target(target) => {
                if !(target.0 > 0.0 && target.0 < OVERLOAD_G) {
                    let below_g = OVERLOAD_G as u16;
                    return Err(CommandError::TargetRange { below_g });
                }
                let pour = loaded.then(|| single::start(target, &self.crew));
                self.task = Task::Single { target, pour };
                Ok(())
            }
            Command::Order(drink) => {
                if !matches!(self.task, Task::Round) {
                    on_sheet(self.sheet.as_ref().ok_or(CommandError::NoSheet)?, drink)?;
                    self.open_round();
                }
                self.change_round(now, command, loaded, out)
            }
            Command::Skip => match &mut self.task {
                Task::Plain => Err(CommandError::NothingOpen),
                Task::Single { pour, .. } => {
                    let mut pour = pour.take().ok_or(CommandError::NothingOpen)?;
                    pour.close(&mut self.crew, out);
                    Ok(())
                }
                Task::Round => self.change_round(now, command, loaded, out),
                Task::Learn(_) => {
                    self.task = match self.sheet {
                        Some(_) => {
                            self.round.clear();
                            Task::Round
                        }
                        None => Task::Plain,
                    };
                    Ok(())
                }
            },
            Command::Learn(sample) => {
                // It would drop them.
                if self.round().is_some_and(|round| !round.is_empty()) {
                    return Err(CommandError::OrdersOpen);
                }
                self.task = Task::Learn(Learning::new(now, sample, loaded)?);
                Ok(())
            }
            Command::Zero => {
                if let Task::Learn(learning) = &self.task {
                    learning.may_zero()?;
                }
                if !self.pan.is_still() {
                    Err(CommandError::PanMoving)
                } else if self.pan.zero_now() {
                    Ok(())
                } else {
                    Err(CommandError::PanLoaded)
                }
            }
            Command::Mode(mode) => {
                self.crew.mode = mode;
                Ok(())
            }
            Command::Hand(hand) => {
                self.crew.hand = Some(hand);
                Ok(())
            }
            Command::Void(_)
            | Command::Change(..)
            | Command::Fix
            | Command::Two
            | Command::Again
            | Command::Other => self.change_round(now, command, loaded, out),
            Command::Forget => {
                self.crew.habits.forget();
                Ok(())
            }
            Command::Serve(volume) => {
                if !(volume.0 >= 0.0 && volume.0 < OVERLOAD_G) {
                    let below_ml = OVERLOAD_G as u16;
                    return Err(CommandError::ServeRange { below_ml });
                }
                self.crew.serve = (volume.0 > 0.0).then_some(volume);
                Ok(())
            }
        }
    }
}

fn report(events: &PanEvents, out: &mut Outputs) {
    out.lifted |= events.lifted;
    out.placed = events.placed.or(out.placed);
    out.pressed |= events.pressed;
    out.bumped |= events.bumped;
    out.stirred |= events.stirred;
    out.added = events.added.or(out.added);
    out.pour_started |= events.pour_started;
    match events.settling {
        Some(Settling::Landed(settled)) => out.landed = Some(settled),
        Some(Settling::Amended(settled)) => out.amended = Some(settled),
        Some(Settling::Steady(settled)) => out.steady = Some(settled),
        None => {}
    }
}
