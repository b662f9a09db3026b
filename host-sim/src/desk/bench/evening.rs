//! One sheet being worked from: from the first glass until another sheet comes.

mod granting;
mod telling;

use std::collections::VecDeque;
use std::sync::mpsc::{Receiver, RecvTimeoutError};
use std::time;

use pennyweight_core::spec::{Sheet, SheetError};
use pennyweight_core::view::{Page, Sound};
use pennyweight_core::{Mode, Station, View};

use self::telling::json;
use super::round::Ordered;
use super::{BenchPlan, Board, Message};
use crate::commands::names::Names;
use crate::commands::sentences;
use crate::desk::glasses::Glasses;
use crate::desk::hands::Hands;
use crate::desk::house::HouseTold;
use crate::desk::state::{Part, State};
use crate::desk::told::EventTold;
use crate::desk::wish::Wish;
use crate::plant::{Bench, BenchSetup, Table};
use crate::session::{Bartender, Lockstep, Moment, bar_of, setup_for};
use crate::sheet::HouseSheet;

/// The bench looks for wishes this often.
const TURN: time::Duration = time::Duration::from_millis(4);
/// A bench further behind the clock on the wall than this has been asleep; it does not catch up.
const ASLEEP_US: u64 = 400_000;
/// The simulated hand pauses so long between two drinks, microseconds.
const PAUSE_US: u64 = 2_000_000;
/// A reading so far below the vessel that was set down is of one being lifted, grams.
const LIFTING_G: f64 = 20.0;
/// Events that a browser is told.
const EVENTS_TOLD: usize = 40;

/// One sheet being worked from.
pub(super) struct Evening<'s> {
    sheet: Sheet<'s>,
    names: Names,
    table: Table,
    plan: BenchPlan,
    board: &'s Board,
    rig: Lockstep<'s>,
    on: bool,
    mode: Mode,
    hands: Hands,
    glasses: Glasses,
    bartender: Option<Box<Bartender<'s>>>,
    idle_since_us: u64,
    ordered: Ordered,
    /// Clearing the bench: when it is clear, and what is ordered then.
    clearing: Option<(u64, Option<u8>)>,
    /// What shall be set down as soon as it is clear.
    set_down_then: Option<Wish>,
    view: Option<View<'s>>,
    sounds: (u64, Sound),
    /// What was set down: as the scale read it, and truly.
    tare_g: Option<(f64, f64)>,
    events: VecDeque<EventTold>,
    event_number: u64,
    ran_dry: bool,
    state: State,
    at_once: bool,
    told_at: time::Instant,
    looked_at: time::Instant,
}

impl<'s> Evening<'s> {
    pub(super) fn new(
        house: &'s HouseSheet,
        plan: BenchPlan,
        board: &'s Board,
    ) -> Result<Self, SheetError> {
        let table = Table::nominal();
        let sheet = house.sheet()?;
        let names = Names::of(&sheet);
        let bar = bar_of(&sheet, &table, plan.seed)?;
        let liquids = bar.iter().map(|bottle| bottle.liquid.clone()).collect();
        let bench = Bench::new(&table, BenchSetup::new(plan.sps, plan.seed, liquids));
        let mut state = board.state.borrow().clone();
        state.put(Part::House, json(&HouseTold::of(house, &bar, &names)));
        let station = Station::new(setup_for(&bench, plan.mode));
        let now = time::Instant::now();
        let mut evening = Self {
            sheet,
            names,
            table,
            plan,
            board,
            rig: Lockstep::new(bench, station),
            on: true,
            mode: plan.mode,
            hands: Hands::new(bar, plan.seed),
            glasses: Glasses::default(),
            bartender: None,
            idle_since_us: 0,
            ordered: Ordered::default(),
            clearing: None,
            set_down_then: None,
            view: None,
            sounds: (0, Sound::Silent),
            tare_g: None,
            events: VecDeque::new(),
            event_number: 0,
            ran_dry: false,
            state,
            at_once: true,
            told_at: now,
            looked_at: now,
        };
        evening.rig.station.load(sheet);
        evening.tell_record();
        Ok(evening)
    }

    pub(super) fn mode(&self) -> Mode {
        self.mode
    }

    /// Keeps in step with the clock on the wall until another sheet comes, or `None` when
    /// nobody can wish any more.
    pub(super) fn run(&mut self, wishes: &Receiver<Message>) -> Option<HouseSheet> {
        let began = time::Instant::now();
        let mut slept_us = 0;
        loop {
            match wishes.recv_timeout(TURN) {
                Ok(Message::Wish(wish)) => self.grant(&wish),
                Ok(Message::Sheet(sheet)) => return Some(*sheet),
                Err(RecvTimeoutError::Timeout) => {}
                Err(RecvTimeoutError::Disconnected) => return None,
            }
            let wall_us = u64::try_from(began.elapsed().as_micros()).unwrap_or(u64::MAX);
            let now_us = self.rig.bench.now_us();
            let behind_us = wall_us.saturating_sub(slept_us).saturating_sub(now_us);
            if behind_us > ASLEEP_US {
                slept_us += behind_us;
            }
            self.go_on(wall_us.saturating_sub(slept_us));
            self.tell();
        }
    }

    /// Lets the bench go on until `to_us`.
    fn go_on(&mut self, to_us: u64) {
        while self.rig.bench.now_us() + 1_000 < to_us {
            let now_us = self.rig.bench.now_us();
            let bartender = self.bartender.as_ref().and_then(|it| it.next_us());
            let clearing = self.clearing.map(|(due, _)| due);
            let act_us = [self.hands.next_us(now_us), bartender, clearing]
                .into_iter()
                .flatten()
                .fold(to_us, u64::min)
                .max(now_us);
            if self.on {
                if let Some(moment) = self.rig.step(Some(act_us)) {
                    self.take(&moment);
                    continue;
                }
            } else {
                self.rig.bench.advance(act_us);
            }
            self.act(act_us);
            // A step of the plant is the finest there is: what is due within it is due now.
            if act_us >= to_us || self.rig.bench.now_us() == now_us && act_us > now_us {
                break;
            }
        }
        self.glasses.follow(&self.rig.bench);
    }

    fn act(&mut self, now_us: u64) {
        self.hands.act(now_us, &mut self.rig.bench);
        if let Some(bartender) = &mut self.bartender
            && bartender.next_us().is_some_and(|due| due <= now_us)
        {
            bartender.act(now_us, &mut self.rig.bench);
        }
        if let Some((due_us, drink)) = self.clearing
            && due_us <= now_us
        {
            self.clearing = None;
            self.cleared(drink);
        }
    }

    /// Takes one answer of the station.
    fn take(&mut self, moment: &Moment<'s>) {
        let outputs = &moment.outputs;
        let now_us = moment.at.micros();
        let by = if self.bartender.is_some() {
            "watched"
        } else {
            "you"
        };
        for event in outputs.events() {
            let (word, rest) = sentences::parts(&event, &self.names);
            self.push_event("scale", word, rest);
        }
        let sound = moment.view.sound;
        let begins = !matches!(sound, Sound::Silent | Sound::Ramp(_)) && sound != self.sounds.1;
        self.sounds = (self.sounds.0 + u64::from(begins), sound);
        self.at_once |= outputs.ease || outputs.stop;
        self.weigh_out(outputs.placed.is_some(), outputs.lifted);
        self.ordered.take(outputs);
        let added = match self.board.record.lock() {
            Ok(mut record) => record.take(moment.at, outputs, &self.names, by),
            Err(_) => false,
        };
        if added {
            self.tell_record();
        }
        if !matches!(moment.view.page, Page::Idle) {
            self.idle_since_us = now_us;
        }
        self.view = Some(moment.view);
        if let Some(bartender) = &mut self.bartender {
            bartender.observe(now_us, outputs, &moment.view, &self.rig.bench);
            self.keep_watch(now_us);
        }
    }

    /// Keeps what was set down, so that what comes into it can be told apart.
    fn weigh_out(&mut self, placed: bool, lifted: bool) {
        if placed {
            self.tare_g = Some((self.gross_g(), self.true_gross_g()));
        } else if lifted {
            self.tare_g = None;
        }
    }

    fn gross_g(&self) -> f64 {
        f64::from(self.rig.station.weight().0.0)
    }

    fn true_gross_g(&self) -> f64 {
        let bench = &self.rig.bench;
        let vessel = bench.vessel_on_pan().and_then(|glass| bench.vessel(glass));
        bench.stray_g() + vessel.map_or(0.0, |vessel| vessel.shown_g())
    }

    /// The simulated hand: what it has served leaves the bench, and the next drink is ordered
    /// once nothing is left to do.
    fn keep_watch(&mut self, now_us: u64) {
        let Some(bartender) = &self.bartender else {
            return;
        };
        let mut kept: Vec<_> = bartender.at_hand().collect();
        kept.extend(self.rig.bench.vessel_on_pan());
        self.glasses.follow(&self.rig.bench);
        self.glasses.serve_all_but(&self.rig.bench, &kept);
        let rests = now_us > self.idle_since_us + PAUSE_US && self.clearing.is_none();
        if rests && self.ordered.is_empty() {
            self.idle_since_us = now_us;
            let drink = self.ordered.in_turn(self.names.drinks.len());
            self.bartender = Some(Box::new(self.fresh_bartender(now_us)));
            self.clear(now_us, drink);
        }
    }

    fn fresh_bartender(&self, now_us: u64) -> Bartender<'s> {
        let table = self.table.clone();
        let bar = bar_of(&self.sheet, &table, self.plan.seed).unwrap_or_default();
        // Another hand each time: who watches sees several.
        let seed = self.plan.seed.wrapping_add(now_us);
        Bartender::new(table, bar, seed, true)
    }
}
