//! Plays a scenario on the simulated bench.

mod checks;
mod dashes;
mod telling;

use std::sync::OnceLock;

use pennyweight_core::output::{PourRecord, Verdict};
use pennyweight_core::spec::{Sheet, Vessel};
use pennyweight_core::view::{Page, Sound};
use pennyweight_core::{Command, Event, Instant, Mode, Station};
use pennyweight_sim::plant::{
    Bench, BenchSetup, HandNature, LiquidRef, Move, Reflex, Sensed, Surroundings, Table, VesselRef,
};
use pennyweight_sim::session::{Lockstep, bar_of, setup_for};
use pennyweight_sim::sheet;

use crate::pouring::easing_hand;

pub(super) use dashes::four_dashes;
pub(super) use telling::{tell, tell_at, tell_at_every_rate, tell_at_quick_rates, tell_in};

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
    /// Sets the vessel down that was taken as number so-and-so, counted from 0.
    PutBackNumber(usize),
    /// A hand rests on the pan.
    Press,
    /// Where the panel asks which of two drinks is meant: this one.
    PressUnless(&'static str),
    /// Somebody commands.
    Command(Command),
    /// So many grams are tipped out of the vessel in the hand.
    TipOut(f64),
    /// So many grams of ice melt in the vessel in the hand.
    Melt(f64),
    /// Strains the vessel of that number into the one on the pan, until told to stop or empty.
    StrainNumber(usize),
    /// What stands on the panel begins so.
    Shows(&'static str),
    /// Every liquid poured is within this share of its ratio to the first one, by the spec.
    Ratios(f64),
    /// The last two glasses hold the same within so many grams.
    Alike(f64),
    /// The last glass holds between so many grams.
    Holds(f64, f64),
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
    /// Dashes of so many ml each while the panel counts, eight at most.
    DashWhileAsked(f64),
    /// A cube of so many grams.
    DropIce(f64),
    /// A knock of so many grams.
    Knock(f64),
    /// A hand on the glass, so many grams for so many seconds.
    RestOn(f64, f64),
    /// Lays so many grams beside the glass.
    LayBeside(f64),
    /// Takes them up again.
    TakeUp(f64),
    /// Something leans on the rim with so many grams for so many seconds.
    Lean(f64, f64),
    /// A hand presses with so many grams for a second until the scale has seen it.
    PressUntilSeen(f64),
    /// Spills so many grams beside the glass within so many seconds.
    Spill(f64, f64),
    /// Wipes the pan.
    Wipe,
    /// Puts so many grams of ice into the glass while it is elsewhere.
    IceElsewhere(f64),
    /// The panel asks whether something is of the drink, or does not.
    Asks(bool),
    /// The empty pan reads nothing, within so many grams.
    ReadsWithin(f64),
    /// Nobody reads the converter for so many seconds.
    Lose(f64),
    /// Nobody hears the sounder from now on.
    SoundOff,
    /// Somebody else pours from now on.
    AnotherHand,
    /// The page offers the glass of this drink as the next.
    Next(&'static str),
    /// This was told so many times.
    Times(Is, usize),
    /// No step of any drink was begun before the one ahead of it.
    StepsInTurn,
    /// So many times it was asked for which drink a vessel is.
    Questions(usize),
    /// This is told within so many seconds, after what was expected before.
    Expect(Is, f64),
    /// This was told at some time.
    Happened(Is),
    /// This was never told since what was expected before.
    Never(Is),
    /// The sounder gives this signal.
    Sounds(Sound),
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
    Fix,
    Due,
    Done,
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
            | (Self::Fault, Event::Fault(_))
            | (Self::Fix, Event::Fix(_))
            | (Self::Due, Event::Due(_))
            | (Self::Done, Event::Done(_)) => true,
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

/// A bench with a station, and what it told.
pub(super) struct Scene {
    pub(super) rig: Lockstep<'static>,
    table: Table,
    hand: HandNature,
    pub(super) glass: Option<VesselRef>,
    glasses: Vec<VesselRef>,
    /// What is left to strain.
    rest: Option<(LiquidRef, f64)>,
    pub(super) told: Vec<(Instant, Event)>,
    pub(super) records: Vec<PourRecord>,
    /// Events before this were expected already.
    seen: usize,
    pours: u64,
    reflex: Option<Reflex>,
    hears: bool,
    /// Where the next hand is drawn.
    hands: u64,
    /// Every page that asks, once for as long as it stands.
    questions: usize,
    asking: bool,
}

impl Scene {
    pub(super) fn new(seed: u64, surroundings: Surroundings, sps: f64) -> Self {
        let table = Table::nominal();
        let sheet = packed();
        let bar = bar_of(&sheet, &table, seed).unwrap();
        let liquids = bar.into_iter().map(|bottle| bottle.liquid).collect();
        let mut setup = BenchSetup::new(sps, seed, liquids);
        setup.surroundings = surroundings;
        let bench = Bench::new(&table, setup);
        let mut station = Station::new(setup_for(&bench, Mode::Service));
        station.load(sheet);
        let hand = easing_hand(&table, seed);
        Self {
            rig: Lockstep::new(bench, station),
            table,
            hand,
            glass: None,
            glasses: Vec::new(),
            rest: None,
            told: Vec::new(),
            records: Vec::new(),
            seen: 0,
            pours: 0,
            reflex: None,
            hears: true,
            hands: seed + 1000,
            questions: 0,
            asking: false,
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
        let asking = matches!(moment.view.page, Page::Question { .. });
        self.questions += usize::from(asking && !self.asking);
        self.asking = asking;
        if let Some(reflex) = &mut self.reflex {
            reflex.observe(
                moment.at.micros(),
                &Sensed::of(&moment.outputs, &moment.view, self.hears),
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

    pub(super) fn play(&mut self, what: Do) -> Result<(), String> {
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
                self.glasses.push(glass);
                self.rig.bench.place(glass);
            }
            Do::PutBack => self
                .rig
                .bench
                .place(self.glass.expect("a glass was set down")),
            Do::PutBackNumber(number) => {
                self.glass = Some(self.glasses[number]);
                self.rig.bench.place(self.glasses[number]);
            }
            Do::Press => {
                self.rig.bench.press(150.0, 1.2);
                // No hand rests quite still.
                for _ in 0..11 {
                    self.rig.bench.press(12.0, 0.06);
                    self.pass(0.1);
                }
            }
            Do::PressUnless(drink) => {
                let page = self.rig.station.view().page;
                if matches!(page, Page::Question { one, .. } if one != drink) {
                    return self.play(Do::Press);
                }
            }
            Do::Command(command) => {
                let moment = self.rig.command(command);
                self.note(moment.at, &moment.outputs);
                let refused = moment.outputs.refused;
                return so(refused.is_none(), "it was refused");
            }
            Do::TipOut(grams) => {
                let glass = self.glass.expect("a glass was set down");
                let stays_g = self.rig.bench.contents_shown_g(glass) - grams;
                let _gone = self.rig.bench.strain_from(glass, stays_g);
            }
            Do::Melt(grams) => {
                let glass = self.glass.expect("a glass was set down");
                self.rig.bench.melt(glass, grams);
            }
            Do::StrainNumber(number) => return self.strain(number),
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
            Do::DashWhileAsked(ml) => {
                for _ in 0..8 {
                    if !matches!(self.rig.station.view().page, Page::Count { .. }) {
                        break;
                    }
                    self.play(Do::Dash(ml))?;
                    self.pass(2.5);
                }
            }
            Do::DropIce(grams) => self.rig.bench.drop_ice(grams),
            Do::Knock(grams) => self.rig.bench.knock(grams),
            Do::RestOn(grams, seconds) => self.rig.bench.press(grams, seconds),
            Do::LayBeside(grams) => self.rig.bench.lay_beside(grams),
            Do::TakeUp(grams) => self.rig.bench.take_up(grams),
            Do::Lean(grams, seconds) => self.rig.bench.lean(grams, seconds),
            Do::PressUntilSeen(grams) => {
                for _ in 0..4 {
                    self.rig.bench.lean(grams, 1.0);
                    self.pass(2.5);
                    if self
                        .told
                        .iter()
                        .any(|(_, event)| Is::Pressed.found_in(event))
                    {
                        break;
                    }
                }
            }
            Do::Spill(grams, seconds) => self.rig.bench.spill(grams, seconds),
            Do::Wipe => self.rig.bench.wipe(),
            Do::IceElsewhere(grams) => {
                let glass = self.glass.expect("a glass was set down");
                self.rig.bench.ice_into(glass, grams);
            }
            Do::Lose(seconds) => self.lose(seconds),
            Do::SoundOff => self.hears = false,
            Do::AnotherHand => {
                self.hands += 1;
                self.hand = easing_hand(&self.table, self.hands);
            }
            expected => return self.holds(expected),
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
}

fn so(right: bool, why: &str) -> Result<(), String> {
    right.then_some(()).ok_or_else(|| why.to_owned())
}
