//! For which drink something was set down.

use crate::build::{Build, Fit, Turn};
use crate::limits::{QUESTION_S, SAME_KIND};
use crate::spec::{DrinkId, Sheet, Vessel};
use crate::time::Instant;
use crate::units::Grams;

use super::{Order, Round};

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

    /// Gives what was set down to the drink that expects it.
    #[cold]
    pub(super) fn sort(&mut self, placed: Grams, sheet: &Sheet<'s>, turn: &mut Turn<'_>) {
        let Some(build) = &self.build else { return };
        let fit = build.fit(placed, turn.now);
        if fit == Fit::Here {
            return;
        }
        if fit == Fit::Returns {
            let (drink, left) = (build.drink(), build.left());
            let closely = build.returns_closely(placed);
            let rival =
                self.candidates(sheet, fit, placed, turn.now)
                    .find(|(choice, _, vessel)| {
                        matches!(choice, Choice::Aside(_)) && may_be(*vessel, placed)
                    });
            if let Some((choice, rival, _)) = rival {
                let (drink, other) = if closely {
                    (rival, choice)
                } else {
                    (drink, Choice::Aside(left))
                };
                self.question = Some(Question {
                    drink,
                    until: turn.now.offset(QUESTION_S),
                    other,
                    placed,
                });
                if !closely {
                    self.go_to(choice, sheet, turn);
                }
            }
            return;
        }
        let returns =
            |aside: &&crate::build::Aside| aside.fit(sheet, placed, turn.now) == Fit::Returns;
        let back = self.aside().find(returns).map(crate::build::Aside::left);
        if let Some(left) = back {
            self.go_to(Choice::Aside(left), sheet, turn);
            return;
        }
        let mut likely = heapless::Vec::<(Choice, DrinkId, Vessel), 2>::new();
        for (choice, drink, vessel) in self.candidates(sheet, fit, placed, turn.now) {
            if may_be(vessel, placed) && likely.push((choice, drink, vessel)).is_err() {
                break;
            }
        }
        let first = likely.first().map(|(choice, ..)| *choice).or_else(|| {
            let mut all = self.candidates(sheet, fit, placed, turn.now);
            all.next().map(|(choice, ..)| choice)
        });
        let second = likely.get(1).filter(|(.., second)| {
            // Sequence alone decides where the mass speaks for the first and against the second.
            let usual = |vessel| self.is_usual(vessel, placed);
            let first = likely.first().and_then(|(.., first)| usual(*first));
            !(first == Some(true) && usual(*second) == Some(false))
        });
        let question = second.map(|(other, drink, _)| Question {
            drink: *drink,
            until: turn.now.offset(QUESTION_S),
            other: *other,
            placed,
        });
        let certain = likely.first().filter(|_| question.is_none());
        if let Some((_, _, vessel)) = certain
            && let Some(usual) = self.usual.get_mut(place(*vessel))
        {
            *usual = placed;
        }
        self.question = question;
        if let Some(first) = first {
            self.go_to(first, sheet, turn);
        }
    }

    /// The drinks that something set down may be for, those whose time is up first.
    fn candidates<'a>(
        &'a self,
        sheet: &'a Sheet<'s>,
        fit: Fit,
        placed: Grams,
        now: Instant,
    ) -> impl Iterator<Item = (Choice, DrinkId, Vessel)> + 'a {
        let current = self.build.as_ref();
        let glass = current
            .filter(|_| fit == Fit::Glass)
            .map(|build| (Choice::Current, build.drink(), build.glass()));
        let asides = self.aside().filter_map(move |aside| {
            let strains = aside.fit(sheet, placed, now) == Fit::Glass;
            let glass = aside.glass(sheet).filter(|_| strains)?;
            Some((Choice::Aside(aside.left()), aside.drink(), glass))
        });
        let awaited = current
            .filter(|_| fit == Fit::Vessel)
            .map(|build| (Choice::Current, build.drink(), build.vessel()));
        let room = self.aside.iter().any(Option::is_none);
        let next = self.waiting.front().filter(|_| room && fit != Fit::Vessel);
        let next = next.and_then(|order| {
            let vessel = sheet.drink(order.drink).ok()?.vessel;
            Some((Choice::Next, order.drink, vessel))
        });
        asides.chain(glass).chain(awaited).chain(next)
    }

    /// A press, or a command: the other of the two was meant. `false` when nothing is asked.
    pub fn other(&mut self, sheet: &Sheet<'s>, turn: &mut Turn<'_>) -> bool {
        let Some(question) = self.question.take() else {
            return false;
        };
        self.go_to(question.other, sheet, turn);
        if let Some(build) = &mut self.build {
            build.set_down(question.placed, turn);
        }
        true
    }

    /// Gives the pan to this drink; what had it is put aside, or back among the orders.
    fn go_to(&mut self, choice: Choice, sheet: &Sheet<'s>, turn: &mut Turn<'_>) {
        if choice == Choice::Current {
            return;
        }
        if !self.put_away() {
            return;
        }
        match choice {
            Choice::Current => {}
            Choice::Aside(left) => self.resume(left, sheet, turn),
            Choice::Next => self.start_next(sheet, false, turn),
        }
    }

    /// Puts the drink that has the pan aside; `false` when there is no room for it.
    fn put_away(&mut self) -> bool {
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
            self.waiting.push_front(order).is_ok()
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
