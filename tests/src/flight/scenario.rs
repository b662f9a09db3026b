//! A flight from a shared batch, a glass lifted mid-pour, one sip: told step by step; a failure
//! prints the sentences up to it.

use pennyweight_core::output::{PourRecord, Settled};
use pennyweight_core::spec::{Sheet, Vessel};
use pennyweight_core::view::Page;
use pennyweight_core::{Command, Event, Mode, Station};
use pennyweight_sim::commands::flight::plan;
use pennyweight_sim::plant::{
    Bench, BenchSetup, HandNature, LiquidRef, Move, Reflex, Sensed, Table, VesselRef,
};
use pennyweight_sim::session::{Lockstep, bar_of, setup_for};
use pennyweight_sim::sheet::BATCH;

use super::house;
use crate::pouring::easing_hand;

/// Something done or expected.
#[derive(Clone, Copy, Debug)]
enum Do {
    Wait(f64),
    OrderAll,
    /// A new vessel of this kind is set down.
    Place(Vessel),
    Lift,
    PutBack,
    /// This bottle is poured as the cues say, and what is asked for is added.
    Pour(&'static str),
    /// So is the batch.
    Portion,
    /// The batch is poured for so long, then the glass is lifted under it.
    CutShort(f64),
    /// What stood there first is now poured from.
    TakeUpBatch,
    /// So many grams are drunk from what was lifted.
    Sip(f64),
    /// The panel asks for this.
    Asks(&'static str),
    /// So many drinks are done.
    Done(usize),
    /// This much was told as lost, in all, within so much.
    Lost(f64, f64),
    /// The portions of the glasses are within so many grams of each other and of what landed.
    PortionsAlike(f64),
}

const STORY: [(Do, &str); 34] = [
    (Do::Wait(2.0), "the scale sees its empty pan"),
    (
        Do::OrderAll,
        "a flight is ordered: the batch and two glasses",
    ),
    (
        Do::Place(Vessel::MixingGlass),
        "a mixing glass for the batch",
    ),
    (Do::Wait(3.0), "it stands"),
    (
        Do::Asks("rye whiskey"),
        "the batch begins with the rye of all glasses",
    ),
    (Do::Pour("rye whiskey"), "which is poured"),
    (Do::Asks("fino sherry"), "then their fino"),
    (Do::Pour("fino sherry"), "which is poured too"),
    (Do::Wait(12.0), "nothing more comes"),
    (Do::Done(1), "the batch is made"),
    (Do::Lift, "it leaves the pan"),
    (Do::TakeUpBatch, "and stays in the hand"),
    (Do::Wait(1.0), "room for a glass"),
    (Do::Place(Vessel::Rocks), "the first glass"),
    (Do::Wait(3.0), "it stands"),
    (Do::Asks(BATCH), "its portion is asked for"),
    (
        Do::CutShort(2.0),
        "somebody needs room in the middle of it: batch and glass go up",
    ),
    (Do::Wait(3.0), "a moment later"),
    (Do::PutBack, "the glass is back"),
    (Do::Wait(3.0), "it stands"),
    (Do::Asks(BATCH), "the rest of the portion is asked for"),
    (Do::Portion, "and poured"),
    (
        Do::Pour("ginger syrup"),
        "the varied part: the little of it",
    ),
    (Do::Wait(12.0), "nothing more comes"),
    (Do::Done(2), "the first glass is done"),
    (Do::Lift, "it goes to the side"),
    (Do::Wait(1.0), "room for the other"),
    (Do::Place(Vessel::Rocks), "the second glass"),
    (Do::Wait(3.0), "it stands"),
    (Do::Portion, "its portion, of the same batch"),
    (Do::Lift, "somebody is curious"),
    (Do::Sip(9.0), "and has a sip before the syrup"),
    (Do::PutBack, "the glass is back as if nothing had been"),
    (Do::Wait(3.0), "it stands"),
];

const END: [(Do, &str); 6] = [
    (
        Do::Lost(9.0, 3.0),
        "the sip is told as a loss that nothing explains",
    ),
    (Do::Asks("ginger syrup"), "the work goes on all the same"),
    (Do::Pour("ginger syrup"), "the varied part: the more of it"),
    (Do::Wait(12.0), "nothing more comes"),
    (Do::Done(3), "the flight is made"),
    (
        Do::PortionsAlike(2.0),
        "and its portions are alike, as weighed and in truth",
    ),
];

#[test]
fn a_flight_from_a_shared_batch_a_glass_lifted_and_one_sip() {
    let house = house();
    let flight = house
        .flight("Short Walk: 5/15 ml ginger", "--flight")
        .unwrap();
    let planned = plan(&house, flight, 1).unwrap();
    for seed in 0..6 {
        let sheet = planned.made.house.sheet().unwrap();
        let mut scene = Scene::new(sheet, seed);
        let mut story = format!("bench {seed}:\n");
        for (what, sentence) in STORY.iter().chain(&END) {
            let outcome = scene.play(*what);
            let seconds = scene.rig.now_us() as f64 * 1e-6;
            story.push_str(&format!("{seconds:7.2} s  {sentence}\n"));
            if let Err(why) = outcome {
                panic!("{story}But: {why}\n({what:?})\nIt told: {:#?}", scene.told);
            }
        }
    }
}

struct Scene<'s> {
    rig: Lockstep<'s>,
    sheet: Sheet<'s>,
    table: Table,
    hand: HandNature,
    pours: u64,
    glass: Option<VesselRef>,
    batch: Option<LiquidRef>,
    batch_left_g: f64,
    /// What truly went into each glass of the batch.
    portions_g: Vec<(VesselRef, f64)>,
    told: Vec<Event>,
    records: Vec<PourRecord>,
    lost: Vec<Settled>,
    done: usize,
    reflex: Option<Reflex>,
}

impl<'s> Scene<'s> {
    fn new(sheet: Sheet<'s>, seed: u64) -> Self {
        let table = Table::nominal();
        let bar = bar_of(&sheet, &table, seed).unwrap();
        let liquids = bar.into_iter().map(|bottle| bottle.liquid).collect();
        let bench = Bench::new(&table, BenchSetup::new(80.0, seed, liquids));
        let mut station = Station::new(setup_for(&bench, Mode::Develop));
        station.load(sheet);
        let hand = easing_hand(&table, seed);
        Self {
            rig: Lockstep::new(bench, station),
            sheet,
            table,
            hand,
            pours: 0,
            glass: None,
            batch: None,
            batch_left_g: 0.0,
            portions_g: Vec::new(),
            told: Vec::new(),
            records: Vec::new(),
            lost: Vec::new(),
            done: 0,
            reflex: None,
        }
    }

    fn after_us(&self, seconds: f64) -> u64 {
        self.rig.now_us() + (seconds * 1e6).round() as u64
    }

    fn note(&mut self, outputs: &pennyweight_core::Outputs) {
        self.told.extend(outputs.events());
        self.records.extend(outputs.poured);
        self.lost.extend(outputs.lost);
        self.done += usize::from(outputs.done.is_some());
    }

    /// One moment, or none when `until_us` comes first.
    fn step(&mut self, until_us: u64) -> bool {
        let Some(moment) = self.rig.step(Some(until_us)) else {
            return false;
        };
        self.note(&moment.outputs);
        if let Some(reflex) = &mut self.reflex {
            let sensed = Sensed::of(&moment.outputs, &moment.view, true);
            reflex.observe(moment.at.micros(), &sensed);
        }
        true
    }

    fn pass(&mut self, seconds: f64) {
        let until_us = self.after_us(seconds);
        while self.step(until_us) {}
    }

    fn asked(&mut self) -> String {
        match self.rig.station.view().page {
            Page::Pour { liquid, .. } | Page::Add { liquid, .. } => liquid.to_owned(),
            other => format!("{other:?}"),
        }
    }

    fn in_glass_g(&self) -> f64 {
        self.glass
            .map_or(0.0, |glass| self.rig.bench.contents_shown_g(glass))
    }

    fn tilt(&mut self, name: &str, flow_ml_s: f64) {
        let bench = &mut self.rig.bench;
        match self.batch.filter(|_| name == BATCH) {
            Some(batch) => {
                let draw = bench.next_pour(batch, flow_ml_s);
                bench.tilt_drawn(batch, draw, self.batch_left_g);
            }
            None => {
                let liquid = bench.liquid_named(name).expect("a bottle of the bar");
                bench.tilt(liquid, flow_ml_s);
            }
        }
        let draw = self.hand.pour(&self.table, self.pours, 0.0);
        self.pours += 1;
        self.reflex = Some(Reflex::new(draw));
    }

    /// Until the hand tilts the bottle back.
    fn follow(&mut self) -> Result<(), String> {
        let give_up_us = self.after_us(40.0);
        loop {
            let Some(reflex) = &mut self.reflex else {
                return Ok(());
            };
            let due_us = reflex.next_us().unwrap_or(give_up_us).min(give_up_us);
            if self.step(due_us) {
                continue;
            }
            let (now_us, flow) = (self.rig.now_us(), self.rig.bench.flow_g_s());
            match self.reflex.as_mut().and_then(|one| one.take(now_us, flow)) {
                Some(Move::Ease { to_g_s, lasts_s }) => self.rig.bench.set_flow(to_g_s, lasts_s),
                Some(Move::TiltBack) => {
                    self.reflex = None;
                    self.rig.bench.tilt_back();
                }
                None if now_us >= give_up_us => return Err("no cue ever came".to_owned()),
                None => {}
            }
        }
    }

    /// As the cues say, and a little more where the panel asks for it.
    fn pour(&mut self, name: &str) -> Result<(), String> {
        let before_g = self.in_glass_g();
        for flow_ml_s in [8.0, 4.0, 4.0] {
            self.tilt(name, flow_ml_s);
            self.follow()?;
            self.pass(4.0);
            if !matches!(self.rig.station.view().page, Page::Add { .. }) {
                break;
            }
        }
        if name == BATCH {
            self.gave(before_g);
        }
        Ok(())
    }

    fn gave(&mut self, before_g: f64) {
        let grams = self.in_glass_g() - before_g;
        self.batch_left_g -= grams;
        let Some(glass) = self.glass else {
            return;
        };
        match self.portions_g.iter_mut().find(|(one, _)| *one == glass) {
            Some((_, portion)) => *portion += grams,
            None => self.portions_g.push((glass, grams)),
        }
    }

    fn play(&mut self, what: Do) -> Result<(), String> {
        match what {
            Do::Wait(seconds) => self.pass(seconds),
            Do::OrderAll => {
                for number in 0..self.sheet.drinks() {
                    let drink = pennyweight_core::spec::DrinkId(number);
                    let moment = self.rig.command(Command::Order(drink));
                    self.note(&moment.outputs);
                }
            }
            Do::Place(kind) => {
                let glass = self.rig.bench.take_vessel(kind);
                self.glass = Some(glass);
                self.rig.bench.place(glass);
            }
            Do::Lift => {
                self.rig.bench.lift();
                self.pass(1.0);
            }
            Do::PutBack => self.rig.bench.place(self.glass.expect("a glass")),
            Do::Pour(name) => return self.pour(name),
            Do::Portion => return self.pour(BATCH),
            Do::CutShort(seconds) => {
                let before_g = self.in_glass_g();
                self.tilt(BATCH, 8.0);
                self.reflex = None;
                self.pass(seconds);
                self.rig.bench.tilt_back();
                self.pass(0.15);
                self.rig.bench.lift();
                self.pass(1.0);
                self.gave(before_g);
            }
            Do::TakeUpBatch => {
                let vessel = self.glass.expect("the batch");
                let (batch, grams) = self.rig.bench.strain_from(vessel, 1.0);
                self.batch = Some(batch);
                self.batch_left_g = grams;
            }
            Do::Sip(grams) => {
                let glass = self.glass.expect("a glass");
                let liquid_g: f64 = self
                    .rig
                    .bench
                    .contents(glass)
                    .iter()
                    .map(|(_, part)| part)
                    .sum();
                let _ = self.rig.bench.strain_from(glass, liquid_g - grams);
                self.pass(3.0);
            }
            Do::Asks(name) => {
                let asked = self.asked();
                return so(asked == name, &asked);
            }
            Do::Done(count) => return so(self.done == count, &format!("{} are done", self.done)),
            Do::Lost(grams, within) => {
                let lost: f32 = self.lost.iter().map(|one| one.mass.0).sum();
                let off = (f64::from(lost) - grams).abs();
                return so(
                    off <= within && self.lost.len() == 1,
                    &format!("{:?}", self.lost),
                );
            }
            Do::PortionsAlike(within) => return self.portions_alike(within),
        }
        Ok(())
    }

    fn portions_alike(&self, within: f64) -> Result<(), String> {
        let name = |record: &PourRecord| self.sheet.liquid(record.liquid).map(|it| it.name);
        let said: Vec<f64> = self
            .records
            .iter()
            .filter(|record| name(record) == Ok(BATCH))
            .map(|record| f64::from(record.poured.mass.0))
            .collect();
        let truth: Vec<f64> = self.portions_g.iter().map(|(_, grams)| *grams).collect();
        let told = format!("{said:?} recorded, {truth:?} landed");
        let [one, other] = said.as_slice() else {
            return Err(told);
        };
        let true_to_life = said
            .iter()
            .zip(&truth)
            .all(|(said, truth)| (said - truth).abs() < 1.5);
        so((one - other).abs() <= within && true_to_life, &told)
    }
}

fn so(right: bool, why: &str) -> Result<(), String> {
    right.then_some(()).ok_or_else(|| why.to_owned())
}
