//! What of the station outlives a power cut, and how it comes back.
//!
//! The station keeps nothing itself: whoever drives it reads what follows after each call of
//! [`Station::handle`], and hands it back after power-up.

use super::resume::Resume;
use super::{Station, Task};
use crate::input::Mode;
use crate::output::{Fault, Settled};
use crate::pour::{Habit, Owner, Pour};
use crate::round::{Order, Round};
use crate::spec::{DrinkId, House, Sheet};
use crate::time::Instant;
use crate::units::Grams;
use crate::weigh::{Calibration, Pan};

/// A drink that was under way when the power went.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct UnderWay {
    /// Its order.
    pub order: Order,
    /// The step it was at.
    pub step: u8,
    /// The empty vessel, see [`Station::standing`].
    pub tare: Grams,
    /// What stood on the pan last, see [`Station::standing`].
    pub gross: Grams,
}

impl<'s> Station<'s> {
    /// The time of the last input.
    #[must_use]
    pub const fn now(&self) -> Instant {
        self.now
    }

    /// The way of working.
    #[must_use]
    pub const fn mode(&self) -> Mode {
        self.crew.mode
    }

    /// The hand, where one was named.
    #[must_use]
    pub const fn hand(&self) -> Option<u8> {
        self.crew.hand
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
            Task::Round(round) => Some(round),
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

    /// Nothing is poured now, and nobody is about to: a good moment for what stops the scale for
    /// a while.
    #[must_use]
    pub fn is_paused(&self) -> bool {
        let idle = match &self.task {
            Task::Plain => true,
            Task::Single { pour, .. } => pour.as_ref().is_none_or(|pour| !Pour::is_flowing(pour)),
            Task::Round(round) => round.build().is_none_or(|build| build.is_paused()),
            Task::Learn(_) => false,
        };
        // Where no conversion comes, nothing can be poured.
        let deaf = self.silent || self.period.last().is_none();
        idle && (self.pan.is_still() || deaf)
    }

    /// Weighs by this line from now on; `false` where no scale can have it. The pan begins anew.
    #[cold]
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

    /// Tells a fault with the next call of [`Station::handle`].
    pub const fn tell(&mut self, fault: Fault) {
        self.told = Some(fault);
    }

    /// Orders are numbered from `next` on.
    #[cold]
    pub fn number_from(&mut self, next: u16) {
        if let Task::Round(round) = &mut self.task {
            round.number_from(next);
        }
    }

    /// An order waits again, behind the others; nothing happens where the sheet does not hold it
    /// or the round is full.
    #[cold]
    pub fn wait_again(&mut self, order: Order) {
        if let (Some(sheet), Task::Round(round)) = (&self.sheet, &mut self.task)
            && order.drink.0 < sheet.drinks()
        {
            // A round takes as many as ever waited in one.
            let _ = round.wait_again(order);
        }
    }

    /// The drink that was under way is taken up again, as soon as what stands on the pan tells
    /// how; `false` where the sheet does not hold it.
    #[cold]
    pub fn take_up(
        &mut self,
        open: UnderWay,
        brought: &mut dyn Iterator<Item = (u8, Settled)>,
    ) -> bool {
        let (Some(sheet), Task::Round(round)) = (self.sheet, &mut self.task) else {
            return false;
        };
        let built =
            crate::build::Build::resume(sheet, open.order.drink, open.step, brought, &self.crew);
        let Ok(build) = built else {
            return false;
        };
        round.go_on(open.order.number, build);
        self.resume = Some(Resume::new(open.tare, open.gross));
        true
    }

    /// See [`crate::Command::Change`].
    #[cold]
    pub(super) fn change(&mut self, number: u16, drink: DrinkId) -> bool {
        match (&mut self.task, &self.sheet) {
            (Task::Round(round), Some(sheet)) => round.change(sheet, number, drink),
            _ => false,
        }
    }

    /// See [`crate::Command::Void`].
    #[cold]
    pub(super) fn void(&mut self, number: u16) -> bool {
        match &mut self.task {
            Task::Round(round) => round.void(number),
            Task::Plain | Task::Single { .. } | Task::Learn(_) => false,
        }
    }
}
