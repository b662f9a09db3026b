//! One sheet being worked from: from the first glass until another sheet comes.

use std::collections::VecDeque;
use std::sync::mpsc::{Receiver, RecvTimeoutError};
use std::time;

use pennyweight_core::spec::{DrinkId, Sheet, SheetError};
use pennyweight_core::view::{Page, Sound};
use pennyweight_core::{Command, Mode, Station, View};

use super::round::Ordered;
use super::{BenchPlan, Board, Message};
use crate::commands::live;
use crate::commands::names::Names;
use crate::commands::options::ModeName;
use crate::commands::sentences;
use crate::desk::glasses::Glasses;
use crate::desk::hands::Hands;
use crate::desk::house::HouseTold;
use crate::desk::state::{Part, State};
use crate::desk::told::{self, EventTold, Now, TiltTold};
use crate::desk::wish::Wish;
use crate::plant::{Bench, BenchSetup, Table};
use crate::session::{Bartender, Lockstep, Moment, bar_of, setup_for};
use crate::sheet::HouseSheet;

/// The bench looks for wishes this often.
const TURN: time::Duration = time::Duration::from_millis(4);
/// Between two states, unless a cue cannot wait.
const TELLS: time::Duration = time::Duration::from_millis(33);
/// Between two looks into the glasses.
const LOOKS: time::Duration = time::Duration::from_millis(200);
/// A bench further behind the clock on the wall than this has been asleep; it does not catch up.
const ASLEEP_US: u64 = 400_000;
/// The bench is clear so long after its last glass was lifted, microseconds.
const CLEARED_US: u64 = 1_500_000;
/// The simulated hand pauses so long between two drinks, microseconds.
const PAUSE_US: u64 = 2_000_000;
/// Events and rows that a browser is told.
const EVENTS_TOLD: usize = 40;
const ROWS_TOLD: usize = 60;

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

    /// Does what was wished for, or says why not.
    fn grant(&mut self, wish: &Wish) {
        let now_us = self.rig.bench.now_us();
        if self.clearing.is_some() && matches!(wish, Wish::Take { .. }) {
            self.set_down_then = Some(wish.clone());
        } else if let Err(why) = self.try_to(wish, now_us) {
            self.push_event("desk", "not now", why);
        }
        self.glasses.follow(&self.rig.bench);
        self.looked_at = time::Instant::now() - LOOKS;
    }

    fn try_to(&mut self, wish: &Wish, now_us: u64) -> Result<(), String> {
        match wish {
            Wish::Power { on } => self.switch(*on),
            Wish::Order { drinks } => return self.order(drinks),
            Wish::Afresh { drink } => self.clear(now_us, *drink),
            Wish::Skip => self.command(Command::Skip)?,
            Wish::Zero => self.command(Command::Zero)?,
            Wish::Mode { mode } => {
                let name = <ModeName as clap::ValueEnum>::from_str(mode, true)
                    .map_err(|_| format!("no way of working is called {mode}"))?;
                self.mode = name.into();
                self.command(Command::Mode(self.mode))?;
            }
            Wish::Watch { on } => self.watch(*on, now_us),
            Wish::Upright if self.bartender.is_some() => {}
            Wish::Knock | Wish::Press | Wish::Spoon | Wish::Towel => {
                self.by_hand(wish, now_us)?;
            }
            Wish::Tilt { .. }
            | Wish::Upright
            | Wish::Dash { .. }
            | Wish::Barspoon { .. }
            | Wish::Take { .. }
            | Wish::Place { .. }
            | Wish::Lift
            | Wish::Serve { .. }
            | Wish::Ice { .. }
            | Wish::Stir { .. }
            | Wish::Shake { .. }
            | Wish::Strain { .. }
            | Wish::SpoonOut
            | Wish::Wipe => {
                if self.bartender.is_some() {
                    self.watch(false, now_us);
                }
                self.by_hand(wish, now_us)?;
            }
        }
        Ok(())
    }

    fn by_hand(&mut self, wish: &Wish, now_us: u64) -> Result<(), String> {
        let bench = &mut self.rig.bench;
        self.hands.carry_out(wish, now_us, bench, &mut self.glasses)
    }

    fn command(&mut self, command: Command) -> Result<(), String> {
        if !self.on {
            return Err("the scale is switched off".to_owned());
        }
        let moment = self.rig.command(command);
        self.take(&moment);
        Ok(())
    }

    fn order(&mut self, drinks: &[u8]) -> Result<(), String> {
        let count = self.names.drinks.len();
        for &drink in drinks {
            if usize::from(drink) >= count {
                return Err(format!(
                    "the sheet has {count} drinks, none is number {drink}"
                ));
            }
            if self.ordered.numbers().len() > crate::desk::wish::ORDER_MAX {
                return Err("the round is full".to_owned());
            }
            self.command(Command::Order(DrinkId(drink)))?;
            self.ordered.add(drink);
        }
        Ok(())
    }

    /// Clears the bench; once it is clear, a drink is ordered.
    fn clear(&mut self, now_us: u64, drink: Option<u8>) {
        self.hands.drop_all(now_us, &mut self.rig.bench);
        let loaded = self.rig.bench.vessel_on_pan().is_some();
        if loaded {
            self.rig.bench.lift();
        }
        if self.rig.bench.stray_g() > 0.5 {
            self.rig.bench.wipe();
        }
        let wait_us = if loaded { CLEARED_US } else { 0 };
        self.clearing = Some((now_us + wait_us, drink));
    }

    fn cleared(&mut self, drink: Option<u8>) {
        self.glasses.follow(&self.rig.bench);
        self.glasses.serve_all_but(&self.rig.bench, &[]);
        self.rig.station.load(self.sheet);
        self.ordered.clear();
        if let Some(drink) = drink
            && let Err(why) = self.order(&[drink])
        {
            self.push_event("desk", "not now", why);
        }
        if let Some(wish) = self.set_down_then.take() {
            self.grant(&wish);
        }
    }

    /// The scale forgets what it was doing when it is switched off: it keeps no journal yet.
    fn switch(&mut self, on: bool) {
        if on == self.on {
            return;
        }
        self.on = on;
        self.view = None;
        if on {
            self.rig.station = Station::new(setup_for(&self.rig.bench, self.mode));
            self.rig.station.load(self.sheet);
            self.tare_g = None;
        }
        if !self.ordered.is_empty() && on {
            self.push_event("desk", "round lost", "order it again".to_owned());
        }
        if on {
            self.ordered.clear();
        }
        let word = if on { "power on" } else { "power cut" };
        self.push_event("desk", word, String::new());
    }

    /// The simulated hand takes over, or leaves.
    fn watch(&mut self, on: bool, now_us: u64) {
        if on == self.bartender.is_some() {
            return;
        }
        if !on {
            self.bartender = None;
            self.rig.bench.tilt_back();
            self.push_event(
                "desk",
                "your hand",
                "the simulated hand has stepped back".to_owned(),
            );
            return;
        }
        self.hands.drop_all(now_us, &mut self.rig.bench);
        let mut bartender = self.fresh_bartender(now_us);
        let aside: Vec<_> = self.glasses.aside(&self.rig.bench).collect();
        let on_pan = self.rig.bench.vessel_on_pan();
        bartender.take_over(on_pan.or(aside.last().copied()), aside.last().copied());
        self.bartender = Some(Box::new(bartender));
        self.idle_since_us = now_us.saturating_sub(PAUSE_US);
        self.push_event("desk", "watch", "the simulated hand works".to_owned());
    }

    fn push_event(&mut self, from: &'static str, word: &str, rest: String) {
        self.event_number += 1;
        if self.events.len() >= EVENTS_TOLD {
            self.events.pop_front();
        }
        self.events.push_back(EventTold {
            number: self.event_number,
            t_s: self.rig.bench.now_s(),
            word: word.to_owned(),
            rest,
            from,
        });
    }

    /// Puts the latest state where everybody can see it.
    fn tell(&mut self) {
        let dry = self.hands.runs_dry(&self.rig.bench);
        if dry && !self.ran_dry {
            self.push_event(
                "desk",
                "bottle empty",
                "take it again for a fresh one".to_owned(),
            );
        }
        self.ran_dry = dry;
        let now = time::Instant::now();
        let due = now.duration_since(self.told_at) >= TELLS;
        if !due && !self.at_once {
            return;
        }
        self.told_at = now;
        self.at_once = false;
        self.state.put(Part::Now, json(&self.now()));
        let shown = self.view.as_ref().filter(|_| self.on);
        self.state.put(Part::Panel, told::picture(shown));
        self.state.put(Part::Events, json(&self.events));
        if now.duration_since(self.looked_at) >= LOOKS {
            self.looked_at = now;
            let work = |glass| self.hands.work_on(glass);
            let glasses = self.glasses.told(&self.rig.bench, work);
            self.state.put(Part::Glasses, json(&glasses));
        }
        self.board.state.send_replace(self.state.clone());
    }

    fn tell_record(&mut self) {
        if let Ok(record) = self.board.record.lock() {
            let rows: Vec<_> = record.last(ROWS_TOLD).collect();
            self.state.put(Part::Record, json(&rows));
        }
    }

    fn now(&self) -> Now {
        let view = self.view.filter(|_| self.on);
        let (gross_g, flow) = self.rig.station.weight();
        let gross_g = if self.on { f64::from(gross_g.0) } else { 0.0 };
        let true_gross_g = self.true_gross_g();
        let (tare_g, true_tare_g) = self.tare_g.unwrap_or_default();
        let sound = view.map_or(Sound::Silent, |view| view.sound);
        let tilt = match self.hands.tilted() {
            Some((bottle, far)) => Some((Some(bottle), far)),
            None if self.bartender.is_some() && self.rig.bench.flow_g_s() > 0.0 => {
                Some((None, 0.0))
            }
            None => None,
        };
        Now {
            t_s: thousandths(self.rig.bench.now_s()),
            net_g: hundredths(gross_g - tare_g),
            true_g: hundredths(true_gross_g - true_tare_g),
            moving: self.tare_g.is_some() != self.rig.bench.vessel_on_pan().is_some(),
            gross_g: hundredths(gross_g),
            flow_g_s: if self.on {
                hundredths(f64::from(flow.0))
            } else {
                0.0
            },
            on: self.on,
            words: view.map_or_else(
                || ("switched off".to_owned(), String::new()),
                |view| live::action(&view.page),
            ),
            asked: view.and_then(|view| told::asked(&view.page).map(str::to_owned)),
            next: view.and_then(|view| live::next_of(&view.page)),
            cue: view.and_then(|view| told::cue_name(&view.page)),
            light: told::light_name(view.map(|view| view.light).unwrap_or_default()),
            sound: (self.sounds.0, told::sound_name(sound)),
            hz: match sound {
                Sound::Ramp(hertz) => Some(hertz),
                _ => None,
            },
            tilt: tilt.map(|(bottle, far)| TiltTold {
                bottle,
                far,
                flow_g_s: hundredths(self.rig.bench.flow_g_s()),
            }),
            watched: self.bartender.is_some(),
            mode: mode_name(self.mode),
            round: self.ordered.numbers(),
        }
    }
}

const fn mode_name(mode: Mode) -> &'static str {
    match mode {
        Mode::Service => "service",
        Mode::Develop => "develop",
        Mode::Prep => "prep",
        Mode::Plain => "plain",
    }
}

/// A value as JSON; what is told here has no map without text keys and cannot fail.
fn json(value: &impl serde::Serialize) -> String {
    serde_json::to_string(value).unwrap_or_else(|_| "null".to_owned())
}

fn hundredths(value: f64) -> f64 {
    (100.0 * value).round() / 100.0
}

fn thousandths(value: f64) -> f64 {
    (1000.0 * value).round() / 1000.0
}
