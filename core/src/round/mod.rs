//! A round: the drinks ordered, and those under way.
//!
//! One drink has the pan; the vessels of others may be away to be stirred or shaken, up to four
//! timers in all, or between two steps while the bottle in the hand serves the next glass. What is
//! set down next belongs to whichever expects it: the vessel that weighs
//! what it weighed when it left, else by sequence, with the mass of an empty vessel as a check.
//! Where two could be meant the first is taken and the panel asks; doing the next thing is the
//! answer, a press takes the other.

mod kept;
mod orders;
pub mod plan;
mod planning;
mod which;

use heapless::Vec;

use crate::build::{Aside, Build, Turn};
use crate::input::Mode;
use crate::output::Fault;
use crate::spec::{DrinkId, Sheet, Vessel};
use crate::time::Instant;
use crate::units::Grams;
use crate::view::Page;
use crate::weigh::pan::PanEvents;

pub use orders::Order;
pub(crate) use orders::on_sheet;
use plan::Tool;
use planning::NOTHING;
use which::Question;

/// Drinks that can wait.
pub const ORDERS: usize = 12;

/// Vessels away beside the one that has the pan: four timers in all.
pub const ASIDE: usize = 3;

/// The drinks ordered and those under way.
#[derive(Debug)]
pub struct Round<'s> {
    /// The next one last.
    waiting: Vec<Order, ORDERS>,
    build: Option<Build<'s>>,
    aside: [Option<Aside>; ASIDE],
    question: Option<Question>,
    /// What a vessel of each kind weighed when it was last set down empty; nothing before.
    usual: [Grams; 5],
    /// What a press on the empty pan repeats.
    last: Option<DrinkId>,
    /// The drink and the step that the plan began with.
    doing: (DrinkId, u8),
    /// What was last taken up.
    in_hand: Tool,
    /// The drink and the vessel with which the plan goes on, if not with what has the pan.
    elsewhere: Option<(&'s str, Vessel)>,
    /// Drinks begun so far.
    begun: u16,
}

impl<'s> Round<'s> {
    /// Nobody has ordered.
    #[must_use]
    pub const fn new() -> Self {
        Self {
            waiting: Vec::new(),
            build: None,
            aside: [None, None, None],
            question: None,
            usual: [Grams::ZERO; 5],
            last: None,
            doing: NOTHING,
            in_hand: Tool::NONE,
            elsewhere: None,
            begun: 0,
        }
    }

    /// Nobody has ordered, and what was under way is dropped.
    pub fn clear(&mut self) {
        self.waiting.clear();
        self.build = None;
        self.aside = [None, None, None];
        self.question = None;
        self.usual = [Grams::ZERO; 5];
        self.last = None;
        self.doing = NOTHING;
        self.in_hand = Tool::NONE;
        self.elsewhere = None;
    }

    /// The drink that has the pan.
    #[must_use]
    pub const fn build(&self) -> Option<&Build<'s>> {
        self.build.as_ref()
    }

    /// The drinks whose vessels are away meanwhile.
    pub fn aside(&self) -> impl Iterator<Item = &Aside> {
        self.aside.iter().filter_map(Option::as_ref)
    }

    /// When something is due.
    #[must_use]
    pub fn deadline(&self, now: Instant) -> Option<Instant> {
        let mut due = self.build.as_ref().and_then(|build| build.deadline(now));
        for aside in self.aside() {
            due = Instant::sooner(due, aside.reminder());
        }
        Instant::sooner(due, self.question.map(|question| question.until))
    }

    /// The page for now.
    #[must_use]
    pub fn page(&self, sheet: Option<&Sheet<'s>>, now: Instant) -> Page<'s> {
        let name = |drink| {
            let drink = sheet.and_then(|sheet| sheet.drink(drink).ok());
            drink.map_or("", |drink| drink.name)
        };
        match (&self.build, self.question, self.last) {
            (Some(build), Some(question), _) => Page::Question {
                one: build.name(),
                two: name(question.drink),
            },
            (Some(build), None, _) => match self.elsewhere {
                // Its vessel has left between two steps: the other's may follow.
                Some((drink, vessel)) if build.is_between() => Page::Place { drink, vessel },
                _ => build.page(now),
            },
            (None, _, Some(drink)) => Page::Again { drink: name(drink) },
            (None, _, None) => Page::Idle,
        }
    }

    /// Starts the next drink when none has the pan; with `loaded`, its vessel stands there.
    pub fn start(&mut self, sheet: Option<&Sheet<'s>>, loaded: bool, turn: &mut Turn<'_>) {
        if self.build.as_ref().is_some_and(Build::is_over) {
            self.build = None;
        }
        let Some(sheet) = sheet else { return };
        if let Some(build) = &self.build {
            if self.doing != (build.drink(), build.step_number()) {
                self.plan(sheet, turn.crew.mode);
            }
            return;
        }
        let due = self.aside().any(|aside| aside.due() <= turn.now);
        if due || self.waiting.is_empty() {
            if let Some(first) = self.first_aside() {
                self.resume(first, sheet, turn);
            }
            return;
        }
        self.start_next(sheet, loaded, turn);
    }

    /// Takes the next order; with `loaded`, its vessel stands there.
    fn start_next(&mut self, sheet: &Sheet<'s>, loaded: bool, turn: &mut Turn<'_>) {
        let Some(order) = self.waiting.pop() else {
            return;
        };
        if let Some(build) = take_on(&mut self.build, sheet, order, turn) {
            self.last = Some(order.drink);
            build.number_as(self.begun);
            self.begun = self.begun.wrapping_add(1);
            if loaded {
                build.adopt(turn);
            }
        }
    }

    /// The drink put aside that is due first.
    fn first_aside(&self) -> Option<Instant> {
        let first = self.aside().min_by_key(|aside| aside.due())?;
        Some(first.left())
    }

    /// Takes up the drink whose vessel left then; what has the pan is put aside in its place.
    fn resume(&mut self, left: Instant, sheet: &Sheet<'s>, turn: &mut Turn<'_>) {
        let is_it = |slot: &&mut Option<Aside>| slot.as_ref().is_some_and(|it| it.left() == left);
        let Some(slot) = self.aside.iter_mut().find(is_it) else {
            return;
        };
        let Some(aside) = slot.take() else { return };
        if !self.put_away() {
            if let Some(slot) = self.aside.iter_mut().find(|slot| slot.is_none()) {
                *slot = Some(aside);
            }
            return;
        }
        let order = Order {
            drink: aside.drink(),
            glasses: 1,
        };
        if let Some(build) = take_on(&mut self.build, sheet, order, turn) {
            build.take_up(&aside, turn);
        }
    }

    /// Takes what the pan told; `gross` is what it carried before.
    pub fn take(
        &mut self,
        events: &PanEvents,
        gross: Grams,
        sheet: Option<&Sheet<'s>>,
        turn: &mut Turn<'_>,
    ) {
        // In prep one thing is made after the other, and bottles come and go.
        if let (Some(placed), Some(sheet), false) =
            (events.placed, sheet, turn.crew.mode == Mode::Prep)
        {
            if self
                .build
                .as_ref()
                .is_some_and(|build| build.is_passed_over(placed))
            {
                self.build = None;
                self.start(Some(sheet), false, turn);
            }
            self.sort(placed, sheet, turn);
        }
        let begun = events.pour_started || events.added.is_some();
        if begun || events.lifted {
            self.question = None;
        }
        if begun
            && self.elsewhere.take().is_some()
            && let Some(build) = &mut self.build
        {
            build.look_on();
        }
        if events.pressed {
            self.press(sheet, turn);
        }
        if let Some(build) = &mut self.build {
            build.take(events, gross, turn);
        }
    }

    /// The one gesture: what is offered is taken up; nothing happens where it cannot be any more.
    /// Apart from what every sample passes through.
    #[cold]
    fn press(&mut self, sheet: Option<&Sheet<'s>>, turn: &mut Turn<'_>) {
        if self.question.is_some() {
            if let Some(sheet) = sheet {
                let _ = self.other(sheet, turn);
            }
            return;
        }
        match (&mut self.build, self.last, sheet) {
            (Some(build), _, _) if build.offers_fix() => {
                let _ = build.mend(turn);
            }
            (None, Some(drink), Some(sheet)) => {
                let _ = self.order(sheet, drink);
            }
            (Some(_) | None, _, _) => {}
        }
    }

    /// Does what time alone brings.
    pub fn tick(&mut self, turn: &mut Turn<'_>) {
        if self
            .question
            .is_some_and(|question| question.until <= turn.now)
        {
            self.question = None;
        }
        for aside in self.aside.iter_mut().flatten() {
            if turn.out.due.is_none() {
                aside.remind(turn.now, turn.out);
            }
        }
        if let Some(build) = &mut self.build {
            build.tick(turn);
        }
    }

    /// The drink that has the pan, to be changed.
    pub fn build_mut(&mut self) -> Option<&mut Build<'s>> {
        self.build.as_mut()
    }
}

/// This drink has the pan from now on, not begun; `None` when the sheet cannot be read.
fn take_on<'a, 's>(
    pan: &'a mut Option<Build<'s>>,
    sheet: &Sheet<'s>,
    order: Order,
    turn: &mut Turn<'_>,
) -> Option<&'a mut Build<'s>> {
    let Ok(drink) = sheet.drink(order.drink) else {
        turn.out.fault = Some(Fault::Sheet);
        return None;
    };
    Some(pan.insert(Build::new(*sheet, order.drink, drink, order.glasses)))
}

impl Default for Round<'_> {
    fn default() -> Self {
        Self::new()
    }
}
