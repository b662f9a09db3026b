//! For which drink something was set down.

use crate::build::{Build, Fit, Turn};
use crate::input::CommandError;
use crate::limits::{QUESTION_S, SAME_KIND};
use crate::spec::{DrinkId, Sheet, Vessel};
use crate::time::Instant;
use crate::units::Grams;

use super::{ASIDE, Order, Round};

/// A drink that something may be for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Choice {
    /// The one that has the pan.
    Current,
    /// One whose vessel left then.
    Aside(Instant),
    /// The next order.
    Next,
}

/// The most of them: those put aside, the one that has the pan, the next order.
const CANDIDATES: usize = ASIDE + 2;

/// A drink that something may be for, and what would stand there.
struct Candidate {
    choice: Choice,
    drink: DrinkId,
    vessel: Vessel,
}

/// "1 or 2?"
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Question {
    /// The second of the two.
    pub(super) drink: DrinkId,
    pub(super) until: Instant,
    other: Choice,
    placed: Grams,
}

/// It may weigh so much when it is empty.
fn may_be(vessel: Vessel, placed: Grams) -> bool {
    let (low, high) = vessel.empty_g();
    (f32::from(low)..=f32::from(high)).contains(&placed.0)
}

/// Where a vessel of this kind is remembered.
const fn place(vessel: Vessel) -> usize {
    match vessel {
        Vessel::MixingGlass => 0,
        Vessel::Tin => 1,
        Vessel::Rocks => 2,
        Vessel::Highball => 3,
        Vessel::Coupe => 4,
    }
}

impl<'s> Round<'s> {
    /// It weighs what the last of its kind did; `None` before there was one.
    fn is_usual(&self, vessel: Vessel, placed: Grams) -> Option<bool> {
        let usual = self
            .usual
            .get(place(vessel))
            .filter(|usual| usual.0 > 0.0)?;
        Some((placed - *usual).abs().0 <= SAME_KIND * usual.0)
    }

    /// Gives what was set down to the drink that expects it. Apart from what every sample passes
    /// through.
    #[cold]
    pub(super) fn sort(&mut self, placed: Grams, sheet: &Sheet<'s>, turn: &mut Turn<'_>) {
        let Some(build) = &self.build else { return };
        let fit = build.fit(placed, turn.now);
        if fit == Fit::Here {
            return;
        }
        let (drink, left) = (build.drink(), build.left());
        let closely = build.returns_closely(placed);
        let all = self.candidates(sheet, fit, placed, turn.now);
        let mut likely = all.iter().filter(|one| may_be(one.vessel, placed));
        let ask = |drink, other| Question {
            drink,
            until: turn.now.offset(QUESTION_S),
            other,
            placed,
        };
        let taken = if fit == Fit::Returns {
            let rival = likely.find(|one| matches!(one.choice, Choice::Aside(_)));
            let Some(rival) = rival else { return };
            if closely {
                self.question = Some(ask(rival.drink, rival.choice));
                return;
            }
            self.question = Some(ask(drink, Choice::Aside(left)));
            rival.choice
        } else if let Some(back) = self.returning(sheet, placed, turn.now) {
            back
        } else {
            let (one, two) = (likely.next(), likely.next());
            let Some(first) = one.or(all.first()) else {
                return;
            };
            let two = two.filter(|two| {
                // Sequence alone decides where the mass speaks for the first and against the second.
                self.is_usual(first.vessel, placed) != Some(true)
                    || self.is_usual(two.vessel, placed) != Some(false)
            });
            self.question = two.map(|two| ask(two.drink, two.choice));
            if let (Some(one), None) = (one, two)
                && let Some(usual) = self.usual.get_mut(place(one.vessel))
            {
                *usual = placed;
            }
            first.choice
        };
        self.go_to(taken, sheet, turn);
    }

    /// The drink put aside whose vessel weighed the same.
    fn returning(&self, sheet: &Sheet<'s>, placed: Grams, now: Instant) -> Option<Choice> {
        let mut asides = self.aside();
        let back = asides.find(|aside| aside.fit(sheet, placed, now) == Fit::Returns)?;
        Some(Choice::Aside(back.left()))
    }

    /// How much more or less the vessel weighs that comes back as `placed`, where nothing seen on
    /// the pan explains it and nobody else waits for one.
    #[must_use]
    pub fn came_back_with(&self, placed: Grams, sheet: &Sheet<'s>, now: Instant) -> Option<Grams> {
        let build = self.build.as_ref()?;
        let more = build.came_back_with(placed)?;
        let elsewhere = match build.fit(placed, now) {
            Fit::Here | Fit::Returns => false,
            fit @ (Fit::Early | Fit::Glass | Fit::Vessel) => {
                self.returning(sheet, placed, now).is_some()
                    || !self.candidates(sheet, fit, placed, now).is_empty()
            }
        };
        (!elsewhere).then_some(more)
    }

    /// The drinks that something set down may be for, those whose time is up first.
    fn candidates(
        &self,
        sheet: &Sheet<'s>,
        fit: Fit,
        placed: Grams,
        now: Instant,
    ) -> heapless::Vec<Candidate, CANDIDATES> {
        let mut all = heapless::Vec::new();
        let mut add = |choice, drink, vessel| {
            // There is a place for every one.
            let _ = all.push(Candidate {
                choice,
                drink,
                vessel,
            });
        };
        for aside in self.aside() {
            if aside.fit(sheet, placed, now) == Fit::Glass
                && let Some(glass) = aside.glass(sheet)
            {
                add(Choice::Aside(aside.left()), aside.drink(), glass);
            }
        }
        if let Some(build) = &self.build {
            match fit {
                Fit::Glass => add(Choice::Current, build.drink(), build.glass()),
                Fit::Vessel => add(Choice::Current, build.drink(), build.vessel()),
                Fit::Returns | Fit::Early | Fit::Here => {}
            }
        }
        let room = self.aside.iter().any(Option::is_none);
        if room
            && fit != Fit::Vessel
            && let Some(order) = self.waiting.last()
            && let Ok(drink) = sheet.drink(order.drink)
        {
            add(Choice::Next, order.drink, drink.vessel);
        }
        all
    }

    /// A press, or a command: the other of the two was meant.
    ///
    /// # Errors
    /// Nothing is asked.
    pub fn other(&mut self, sheet: &Sheet<'s>, turn: &mut Turn<'_>) -> Result<(), CommandError> {
        let question = self.question.take().ok_or(CommandError::NothingAsked)?;
        self.go_to(question.other, sheet, turn);
        if let Some(build) = &mut self.build {
            build.set_down(question.placed, turn);
        }
        Ok(())
    }

    /// Gives the pan to this drink; what had it is put aside, or back among the orders.
    fn go_to(&mut self, choice: Choice, sheet: &Sheet<'s>, turn: &mut Turn<'_>) {
        match choice {
            Choice::Current => {}
            Choice::Aside(left) => self.resume(left, sheet, turn),
            Choice::Next => {
                if self.put_away() {
                    self.start_next(sheet, false, turn);
                }
            }
        }
    }

    /// Puts the drink that has the pan aside; `false` when there is no room for it.
    pub(super) fn put_away(&mut self) -> bool {
        let Some(build) = &self.build else {
            return true;
        };
        let put = if let Some(aside) = build.aside() {
            let free = self.aside.iter_mut().find(|slot| slot.is_none());
            free.map(|slot| *slot = Some(aside)).is_some()
        } else if build.is_untouched() {
            let order = Order {
                drink: build.drink(),
                glasses: build.glasses(),
            };
            self.waiting.push(order).is_ok()
        } else {
            false
        };
        if put {
            self.build = None;
        }
        put
    }
}

impl<'s> Build<'s> {
    /// What stands on the pan already is for this drink.
    fn set_down(&mut self, placed: Grams, turn: &mut Turn<'_>) {
        let events = crate::weigh::pan::PanEvents {
            placed: Some(placed),
            ..Default::default()
        };
        self.take(&events, Grams::ZERO, turn);
    }
}
