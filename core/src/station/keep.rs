//! What of the station outlives a power cut, and how it comes back.
//!
//! The station keeps nothing itself: whoever drives it reads what follows after each call of
//! [`Station::handle`], and hands it back after power-up.

use serde::{Deserialize, Serialize};

use super::resume::Resume;
use super::{Station, Task};
use crate::build::{Build, Stage, Turn, UnderWay};
use crate::input::Mode;
use crate::limits::SOUND_S;
use crate::output::{Fault, Outputs};
use crate::pour::{Crew, Habit, Owner, Pour};
use crate::round::{Order, Round};
use crate::spec::{House, Sheet};
use crate::time::Instant;
use crate::units::{Grams, Millilitres};
use crate::view::Sound;
use crate::weigh::{Calibration, Pan};

/// What was chosen for the shift.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct Shift {
    /// The way of working.
    pub mode: Mode,
    /// The hand, where one was named.
    pub hand: Option<u8>,
    /// What every strained glass is to hold at 20 degC, where that is limited.
    pub serve: Option<Millilitres>,
}

impl<'s> Station<'s> {
    /// The time of the last input.
    #[must_use]
    pub const fn now(&self) -> Instant {
        self.now
    }

    /// What was chosen for the shift.
    #[must_use]
    pub const fn shift(&self) -> Shift {
        let Crew {
            mode, hand, serve, ..
        } = self.crew;
        Shift { mode, hand, serve }
    }

    /// Works on as it was chosen before the power went.
    pub const fn work_on(&mut self, shift: Shift) {
        let Shift { mode, hand, serve } = shift;
        (self.crew.mode, self.crew.hand, self.crew.serve) = (mode, hand, serve);
    }

    /// By which it weighs.
    #[must_use]
    pub const fn calibration(&self) -> Calibration {
        self.calibration
    }

    /// The sheet it works from.
    #[must_use]
    pub const fn sheet(&self) -> Option<Sheet<'s>> {
        self.sheet
    }

    /// The round, while drinks are built.
    #[must_use]
    pub const fn round(&self) -> Option<&Round<'s>> {
        match &self.task {
            Task::Round => Some(&self.round),
            Task::Plain | Task::Single { .. } | Task::Learn(_) => None,
        }
    }

    /// What the pan carries above its calibrated zero, whatever zero was taken since.
    #[must_use]
    pub fn standing(&self) -> Grams {
        self.pan.standing()
    }

    /// The pan has warmed up and nothing moves on it.
    #[must_use]
    pub fn is_still(&self) -> bool {
        self.pan.is_still()
    }

    /// Nothing is being filled: the vessel is away or awaited, or what stands there is complete.
    #[must_use]
    pub fn is_idle(&self) -> bool {
        match &self.task {
            Task::Plain => true,
            Task::Single { pour, .. } => pour.as_ref().is_none_or(|pour| !Pour::is_flowing(pour)),
            Task::Round => self.round.build().is_none_or(Build::is_paused),
            Task::Learn(_) => false,
        }
    }

    /// Nothing is poured now, and nobody is about to: a good moment for what stops the scale for
    /// a while.
    #[must_use]
    pub fn is_paused(&self) -> bool {
        // Where no conversion comes, nothing can be poured.
        let deaf = self.silent || self.period.last().is_none();
        self.is_idle() && (self.pan.is_still() || deaf)
    }

    /// Weighs by this line from now on; `false` where no scale can have it. The pan begins anew.
    pub fn calibrate(&mut self, calibration: Calibration) -> bool {
        let usable = calibration.is_usable();
        if usable {
            self.calibration = calibration;
            self.pan = Pan::new();
        }
        usable
    }

    /// Measures dashes and barspoons so, from the next drink on.
    pub fn measure_by(&mut self, house: House) {
        self.sheet = self.sheet.map(|sheet| sheet.measured_by(house));
    }

    /// What a hand has taught before.
    pub fn teach(&mut self, owner: Owner, habit: Habit) {
        self.crew.habits.keep(owner, habit);
    }

    /// What hands have taught counts no more.
    pub fn forget_hands(&mut self) {
        self.crew.habits.forget();
    }

    /// Calls for a look: something was found that is no matter of the weighing.
    pub fn call(&mut self) {
        self.sound = (Sound::Look, Sound::Look);
        self.sound_until = self.now.offset(SOUND_S);
    }

    /// What is kept is not what it should be: the panel says so while no drink is under way, whose
    /// pages come first, until somebody has `acted` on it; `false` from then on.
    pub fn doubt_memory(&mut self, acted: bool) -> bool {
        let doubted = !(acted && self.unusable == Some(Fault::Memory));
        let free = match &self.task {
            Task::Plain => true,
            Task::Round => {
                let between = |build: &Build<'_>| build.is_done() || build.is_awaited();
                self.round.build().is_none_or(between)
            }
            Task::Single { .. } | Task::Learn(_) => false,
        };
        match self.unusable {
            None if doubted && free => self.unusable = Some(Fault::Memory),
            Some(Fault::Memory) if !(doubted && free) => self.unusable = None,
            Some(_) | None => {}
        }
        doubted
    }

    /// How many drinks were begun so far, whatever it does now.
    #[must_use]
    pub const fn begun(&self) -> u16 {
        self.round.begun()
    }

    /// Drinks are numbered from `begun` on.
    pub fn number_from(&mut self, begun: u16) {
        self.round.number_from(begun);
    }

    /// An order waits again, behind the others; nothing happens where the sheet does not hold it
    /// or the round is full.
    pub fn wait_again(&mut self, order: Order) {
        let Some(sheet) = &self.sheet else { return };
        let turn = &mut Turn {
            now: self.now,
            crew: &mut self.crew,
            out: &mut Outputs::default(),
        };
        if order.drink.0 < sheet.drinks() && order.glasses > 0 {
            // A round takes as many as ever waited in one.
            let _ = self.round.wait_again(order, sheet, turn);
        }
    }

    /// A drink that was under way is taken up again; one whose vessel was on the pan as soon as
    /// what stands there tells how: `tare` is the empty vessel and `gross` what stood there as its
    /// step began, see [`Station::standing`]. `false` where the sheet does not hold it, or there
    /// is no place for one more.
    pub fn take_up(
        &mut self,
        open: &UnderWay,
        tare: Grams,
        gross: Grams,
        brought: &mut dyn Iterator<Item = (u8, Grams)>,
    ) -> bool {
        let Some(sheet) = &self.sheet else {
            return false;
        };
        let taken = self.round.take_up(sheet, open, brought, &self.crew);
        if taken {
            let gross = match open.stage {
                Stage::Working => Some(gross),
                Stage::Straining => None,
                Stage::Between | Stage::Away | Stage::Glass => return true,
            };
            self.resume = Some(Resume::new(open.number, tare, gross));
        }
        taken
    }
}
