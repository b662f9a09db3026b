//! Plays a scenario on the simulated bench.

use std::sync::OnceLock;

use pennyweight_core::output::{PourRecord, Verdict};
use pennyweight_core::spec::{Sheet, Vessel};
use pennyweight_core::view::Page;
use pennyweight_core::{Command, Event, Input, Instant, Mode, Station};
use pennyweight_sim::plant::draw::{Draws, Process};
use pennyweight_sim::plant::{
    Bench, BenchSetup, HandNature, LiquidRef, Move, Reflex, Sensed, Surroundings, Table, VesselRef,
};
use pennyweight_sim::session::{Lockstep, bar_of, setup_for};
use pennyweight_sim::sheet;

/// What somebody does, or what is to be so.
#[derive(Clone, Copy, Debug)]
pub(super) enum Do {
    /// Lets so many seconds pass.
    Wait(f64),
    /// Orders a drink.
    Order(&'static str),
    /// Sets a fresh vessel down.
    Place(Vessel),
    /// Sets the last vessel down again.
    PutBack,
    /// Takes it away.
    Lift,
    /// Tilts this bottle, at so many ml/s.
    Tilt(&'static str, f64),
    /// The same, before the panel asks for it: what it says is of the bottle before.
    TiltAhead(&'static str, f64),
    /// The same with a bottle that holds so many grams and no more.
    TiltNearlyEmpty(&'static str, f64, f64),
    /// Pours on until so many grams are in.
    UntilIn(f64),
    /// Tilts the bottle back.
    TiltBack,
    /// Follows the cues until the bottle is tilted back.
    Follow,
    /// Pours a little more of this, twice at most, where the panel asks for it.
    MoreIfAsked(&'static str),
    /// Tips so many grams of this in at once.
    TipIn(&'static str, f64),
    /// One dash of bitters of so many ml.
    Dash(f64),
    /// A cube of so many grams.
    DropIce(f64),
    /// A knock of so many grams.
    Knock(f64),
    /// A hand on the glass, so many grams for so many seconds.
    Press(f64, f64),
    /// Nobody reads the converter for so many seconds.
    Lose(f64),
    /// This is told within so many seconds, after what was expected before.
    Expect(Is, f64),
    /// This was told at some time.
    Happened(Is),
    /// This was never told since what was expected before.
    Never(Is),
    /// The panel asks for this: the liquid, or "add" and the liquid.
    Page(&'static str),
    /// The last record says what landed of its liquid, within 3 sigma and 0.3 g.
    RecordIsTrue,
    /// The last record is within so many grams of its target.
    RecordIsOnTarget(f64),
    /// The same, within so many grams.
    RecordIsNearly(f64),
    /// Every record says what landed of its liquid, within so many grams.
    RecordsAreNearly(f64),
    /// All records together say what is in the glass, within so many grams.
    RecordsSumUp(f64),
    /// The first record says so many grams, within the second figure.
    FirstRecordIsNearly(f64, f64),
}

/// An event to look for.
#[derive(Clone, Copy, Debug)]
pub(super) enum Is {
    Placed,
    Lifted,
    Pressed,
    Bumped,
    /// Between so many grams.
    Added(f32, f32),
    PourStarted,
    Ease,
    Stop,
    Landed,
    Verdict(Verdict),
    Poured(Option<Verdict>),
    Step(u8),
    Fault,
}

impl Is {
    fn found_in(self, event: &Event) -> bool {
        match (self, event) {
            (Self::Placed, Event::Placed(_))
            | (Self::Lifted, Event::Lifted)
            | (Self::Pressed, Event::Pressed)
            | (Self::Bumped, Event::Bumped)
            | (Self::PourStarted, Event::PourStarted)
            | (Self::Ease, Event::Ease)
            | (Self::Stop, Event::Stop)
            | (Self::Landed, Event::Landed(_))
            | (Self::Fault, Event::Fault(_)) => true,
            (Self::Added(low, high), Event::Added(grams)) => (low..high).contains(&grams.0),
            (Self::Verdict(verdict), Event::Verdict(judged)) => judged.verdict == verdict,
            (Self::Poured(verdict), Event::Poured(record)) => {
                verdict.is_none_or(|verdict| record.verdict == verdict)
            }
            (Self::Step(number), Event::Step(begun)) => begun.step == number,
            _ => false,
        }
    }
}

/// Something done or expected, in words.
#[derive(Clone, Copy, Debug)]
pub(super) struct Step {
    pub(super) what: Do,
    pub(super) sentence: &'static str,
}

const SHEET: &str = include_str!("sheet.toml");

fn packed() -> Sheet<'static> {
    static PACKED: OnceLock<Vec<u8>> = OnceLock::new();
    let bytes = PACKED.get_or_init(|| {
        let read = sheet::parse(SHEET, "scenarios");
        read.expect("the sheet is sound").pack().to_vec()
    });
    Sheet::new(bytes).expect("a packed sheet can be read")
}

/// Benches and hands on which every scenario is played.
const SEEDS: std::ops::Range<u64> = 0..8;

/// Plays the steps on several benches; a failure tells them up to the one that failed.
pub(super) fn tell(steps: &[&[Step]]) {
    let steps = steps.concat();
    for seed in SEEDS {
        let mut scene = Scene::new(seed, Surroundings::Usual);
        let mut story = format!("bench {seed}:\n");
        for step in &steps {
            let outcome = scene.play(step.what);
            let seconds = scene.rig.now_us() as f64 * 1e-6;
            story.push_str(&format!("{seconds:7.2} s  {}\n", step.sentence));
            if let Err(why) = outcome {
                let told: Vec<String> = scene
                    .told
                    .iter()
                    .map(|(at, event)| {
                        format!("{:7.2} s  {event:?}\n", at.seconds_since(Instant::ZERO))
                    })
                    .collect();
                panic!(
                    "{story}But: {why}\n({:?})\nIt told:\n{}",
                    step.what,
                    told.concat()
                );
            }
        }
    }
}

/// A bench with a station, and what it told.
struct Scene {
    rig: Lockstep<'static>,
    table: Table,
    hand: HandNature,
    glass: Option<VesselRef>,
    told: Vec<(Instant, Event)>,
    records: Vec<PourRecord>,
    /// Events before this were expected already.
    seen: usize,
    pours: u64,
    reflex: Option<Reflex>,
}

impl Scene {
    fn new(seed: u64, surroundings: Surroundings) -> Self {
        let table = Table::nominal();
        let sheet = packed();
        let bar = bar_of(&sheet, &table, seed).unwrap();
        let liquids = bar.into_iter().map(|bottle| bottle.liquid).collect();
        let mut setup = BenchSetup::new(80.0, seed, liquids);
        setup.surroundings = surroundings;
        let bench = Bench::new(&table, setup);
        let mut station = Station::new(setup_for(&bench, Mode::Service));
        station.load(sheet);
        // A hand that eases as most do.
        let hand = (seed * 100..)
            .map(|hand_seed| HandNature::drawn(&table, hand_seed))
            .find(|hand| !hand.never_eases)
            .unwrap();
        Self {
            rig: Lockstep::new(bench, station),
            table,
            hand,
            glass: None,
            told: Vec::new(),
            records: Vec::new(),
            seen: 0,
            pours: 0,
            reflex: None,
        }
    }

    fn liquid(&self, name: &str) -> LiquidRef {
        self.rig
            .bench
            .liquid_named(name)
            .expect("a bottle of the bar")
    }

    fn after_us(&self, seconds: f64) -> u64 {
        self.rig.now_us() + (seconds * 1e6).round() as u64
    }

    /// One moment, or none when `until_us` comes first.
    fn step(&mut self, until_us: u64) -> bool {
        let Some(moment) = self.rig.step(Some(until_us)) else {
            return false;
        };
        self.note(moment.at, &moment.outputs);
        if let Some(reflex) = &mut self.reflex {
            reflex.observe(
                moment.at.micros(),
                &Sensed::of(&moment.outputs, &moment.view, true),
            );
        }
        true
    }

    fn note(&mut self, at: Instant, outputs: &pennyweight_core::Outputs) {
        for event in outputs.events() {
            self.told.push((at, event));
        }
        self.records.extend(outputs.poured);
    }

    fn pass(&mut self, seconds: f64) {
        let until_us = self.after_us(seconds);
        while self.step(until_us) {}
    }

    fn play(&mut self, what: Do) -> Result<(), String> {
        match what {
            Do::Wait(seconds) => self.pass(seconds),
            Do::Order(name) => {
                let drink = packed().find_drink(name).expect("a drink of the sheet");
                let moment = self.rig.command(Command::Order(drink));
                self.note(moment.at, &moment.outputs);
            }
            Do::Place(vessel) => {
                let glass = self.rig.bench.take_vessel(vessel);
                self.glass = Some(glass);
                self.rig.bench.place(glass);
            }
            Do::PutBack => self
                .rig
                .bench
                .place(self.glass.expect("a glass was set down")),
            Do::Lift => self.rig.bench.lift(),
            Do::Tilt(name, flow_ml_s) => self.tilt(name, flow_ml_s),
            Do::TiltNearlyEmpty(name, flow_ml_s, left_g) => {
                let liquid = self.liquid(name);
                let draw = self.rig.bench.next_pour(liquid, flow_ml_s);
                self.rig.bench.tilt_drawn(liquid, draw, left_g);
                self.attend();
            }
            Do::TiltAhead(name, flow_ml_s) => {
                self.tilt(name, flow_ml_s);
                self.reflex = None;
            }
            Do::UntilIn(grams) => {
                let glass = self.glass.expect("a glass was set down");
                let give_up_us = self.after_us(40.0);
                while self.rig.bench.contents_shown_g(glass) < grams {
                    if !self.step(give_up_us) {
                        return Err("it never came to that".to_owned());
                    }
                }
            }
            Do::TiltBack => {
                self.reflex = None;
                self.rig.bench.tilt_back();
            }
            Do::Follow => return self.follow(),
            Do::MoreIfAsked(name) => {
                for _ in 0..2 {
                    self.pass(2.0);
                    if !matches!(self.rig.station.view().page, Page::Add { .. }) {
                        break;
                    }
                    self.tilt(name, 5.0);
                    self.follow()?;
                }
            }
            Do::TipIn(name, grams) => {
                let liquid = self.liquid(name);
                self.rig.bench.tip_in(liquid, grams);
            }
            Do::Dash(ml) => {
                let bitters = self.liquid("bitters");
                self.rig.bench.dash(bitters, ml);
            }
            Do::DropIce(grams) => self.rig.bench.drop_ice(grams),
            Do::Knock(grams) => self.rig.bench.knock(grams),
            Do::Press(grams, seconds) => self.rig.bench.press(grams, seconds),
            Do::Lose(seconds) => self.lose(seconds),
            Do::Expect(event, within_s) => return self.expect(event, within_s),
            Do::Happened(event) => {
                let happened = self.told.iter().any(|(_, told)| event.found_in(told));
                return so(happened, "that was never told");
            }
            Do::Never(event) => {
                let mut late = self.told.iter().skip(self.seen);
                return so(!late.any(|(_, told)| event.found_in(told)), "that was told");
            }
            Do::Page(wanted) => {
                let page = self.rig.station.view().page;
                let asked = match page {
                    Page::Pour { liquid, .. } => liquid.to_owned(),
                    Page::Add { liquid, .. } => format!("add {liquid}"),
                    _ => String::new(),
                };
                let right = asked == wanted || asked.strip_prefix("add ") == Some(wanted);
                return so(right, &format!("{page:?}"));
            }
            Do::RecordIsTrue => return self.record_is_true(None),
            Do::RecordIsOnTarget(grams) => {
                let record = self.records.last().ok_or("nothing was recorded")?;
                let off = f64::from((record.poured.mass - record.target).0);
                return so(off.abs() <= grams, &format!("it is {off} g off"));
            }
            Do::RecordIsNearly(grams) => return self.record_is_true(Some(grams)),
            Do::RecordsAreNearly(grams) => {
                return self
                    .records
                    .iter()
                    .try_for_each(|record| self.is_true(record, Some(grams)));
            }
            Do::RecordsSumUp(grams) => {
                let glass = self.glass.expect("a glass was set down");
                let landed_g = self.rig.bench.contents_shown_g(glass);
                let said: f32 = self.records.iter().map(|record| record.poured.mass.0).sum();
                let off = f64::from(said) - landed_g;
                return so(off.abs() <= grams, &format!("{said} g of {landed_g} g"));
            }
            Do::FirstRecordIsNearly(grams, within) => {
                let said = f64::from(self.records[0].poured.mass.0);
                return so((said - grams).abs() <= within, &format!("it says {said} g"));
            }
        }
        Ok(())
    }

    fn tilt(&mut self, name: &str, flow_ml_s: f64) {
        let liquid = self.liquid(name);
        self.rig.bench.tilt(liquid, flow_ml_s);
        self.attend();
    }

    /// The hand begins to heed what it hears and sees.
    fn attend(&mut self) {
        let draw = self.hand.pour(&self.table, self.pours, 0.0);
        self.pours += 1;
        self.reflex = Some(Reflex::new(draw));
    }

    fn follow(&mut self) -> Result<(), String> {
        if self.reflex.is_none() {
            self.attend();
        }
        let give_up_us = self.after_us(40.0);
        loop {
            let reflex = self.reflex.as_ref().expect("a bottle is tilted");
            let due_us = reflex.next_us().unwrap_or(give_up_us).min(give_up_us);
            if self.step(due_us) {
                continue;
            }
            let (now_us, flow) = (self.rig.now_us(), self.rig.bench.flow_g_s());
            let moved = self
                .reflex
                .as_mut()
                .and_then(|reflex| reflex.take(now_us, flow));
            match moved {
                Some(Move::Ease { to_g_s, lasts_s }) => self.rig.bench.set_flow(to_g_s, lasts_s),
                Some(Move::TiltBack) => {
                    self.reflex = None;
                    self.rig.bench.tilt_back();
                    return Ok(());
                }
                None if now_us >= give_up_us => return Err("no cue ever came".to_owned()),
                None => {}
            }
        }
    }

    /// Time passes, deadlines are met, but no conversion is read.
    fn lose(&mut self, seconds: f64) {
        let until_us = self.after_us(seconds);
        self.rig.bench.advance(until_us);
        while let Some(due) = self
            .rig
            .station
            .deadline()
            .filter(|due| due.micros() <= until_us)
        {
            let outputs = self.rig.station.handle(due, Input::Tick);
            self.note(due, &outputs);
            if self.rig.station.deadline() == Some(due) {
                return;
            }
        }
    }

    fn expect(&mut self, event: Is, within_s: f64) -> Result<(), String> {
        let until_us = self.after_us(within_s);
        loop {
            let found = self
                .told
                .iter()
                .skip(self.seen)
                .position(|(_, told)| event.found_in(told));
            if let Some(place) = found {
                self.seen += place + 1;
                return Ok(());
            }
            if !self.step(until_us) {
                return Err(format!("it was not told within {within_s} s"));
            }
        }
    }

    fn record_is_true(&self, within_g: Option<f64>) -> Result<(), String> {
        let record = self.records.last().ok_or("nothing was recorded")?;
        self.is_true(record, within_g)
    }

    /// What truly landed of the record's liquid.
    fn is_true(&self, record: &PourRecord, within_g: Option<f64>) -> Result<(), String> {
        let name = packed().liquid(record.liquid).unwrap().name;
        let glass = self.glass.expect("a glass was set down");
        let bench = &self.rig.bench;
        let liquid = self.liquid(name);
        let landed_g: f64 = bench
            .contents(glass)
            .into_iter()
            .filter(|(held, _)| *held == liquid)
            .map(|(_, grams)| grams * bench.shown_share(liquid))
            .sum();
        let said = record.poured;
        let off = f64::from(said.mass.0) - landed_g;
        let bound = within_g.unwrap_or(0.3 + 3.0 * f64::from(said.sigma.0));
        so(
            off.abs() <= bound,
            &format!("{landed_g} g landed, {said:?} is recorded"),
        )
    }
}

fn so(right: bool, why: &str) -> Result<(), String> {
    right.then_some(()).ok_or_else(|| why.to_owned())
}

/// Four dashes about three quarters of a second apart; what the panel has counted after each,
/// `None` once it asks for the next bottle.
pub(super) fn four_dashes(seed: u64, surroundings: Surroundings) -> [Option<u8>; 4] {
    let mut scene = Scene::new(seed, surroundings);
    let mut draws = Draws::new(seed, Process::Fetch, 77);
    for what in [
        Do::Wait(2.0),
        Do::Order("Bitter"),
        Do::Place(Vessel::Rocks),
        Do::Expect(Is::Placed, 9.0),
        Do::Wait(1.0),
    ] {
        scene.play(what).expect("the glass is seen");
    }
    std::array::from_fn(|number| {
        scene.play(Do::Dash(0.8)).unwrap();
        // The count is read when the last one has been seen, before the next.
        let seconds = if number == 3 {
            5.0
        } else {
            draws.between(0.6, 0.9)
        };
        scene.play(Do::Wait(seconds)).unwrap();
        match scene.rig.station.view().page {
            Page::Count { done, .. } => Some(done),
            _ => None,
        }
    })
}
