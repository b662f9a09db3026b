//! A bartender who does what the panel offers, one thing after the other.
//!
//! ```text
//! Watching --the panel asks--> Fetching --at hand--> Pouring / Putting / Straining / Working
//!    ^                                                    |
//!    +------------- Finishing: the last drop has fallen <-+
//! ```
//!
//! Times of reaching and carrying are assumptions: one to two seconds for a bottle that is not
//! in the hand, half a second to read a page. How each thing is done stands in `doing`.

use pennyweight_core::output::Outputs;
use pennyweight_core::spec::Unit;
use pennyweight_core::view::{Next, Page, View, Work};

use super::bar::BarBottle;
use super::batch::Jug;
use super::panel_says::{Errand, asks, from_next, next_of, only_tells, tip_out};
use crate::plant::draw::{Draws, Process};
use crate::plant::reflex::micros;
use crate::plant::{Bench, HandNature, LiquidRef, Reflex, Sensed, Table, VesselRef};

/// A note is done, and a remark read, within so many seconds; then the next thing is taken up.
const NOTE_S: f64 = 5.0;

/// From the stop until the strainer is tilted back, seconds (a practised hand's reaction).
const STRAIN_REACTION_S: f64 = 0.2;

/// What goes in by the piece.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) enum Piece {
    Dash(LiquidRef),
    Measured(LiquidRef, f64),
    Cube(f64),
    /// The vessel is taken up and swirled, then dumped and set down again.
    Swirl,
    Dump,
}

/// What the bartender is doing.
#[derive(Clone, Debug)]
pub(super) enum Doing<'s> {
    Watching,
    Fetching(Errand<'s>, u64),
    Pouring(Box<Reflex>, u64),
    Putting(Vec<Piece>, u64),
    Straining(u64),
    Tipping(u64),
    Working(Work, f64, Next<'s>, u64),
    Finishing(u64),
}

/// The bartender.
#[derive(Clone, Debug)]
pub struct Bartender<'s> {
    pub(super) table: Table,
    pub(super) bar: Vec<BarBottle>,
    pub(super) hand: HandNature,
    pub(super) sound: bool,
    pub(super) fetch: Draws,
    pub(super) doing: Doing<'s>,
    pub(super) page: Page<'s>,
    pub(super) page_since_us: u64,
    pub(super) rests_until_us: u64,
    pub(super) pours: u64,
    pub(super) in_hand: Option<&'s str>,
    pub(super) dropped: Option<&'s str>,
    /// What is being built in, or served in.
    pub(super) vessel: Option<VesselRef>,
    /// What is to be strained from.
    pub(super) source: Option<VesselRef>,
    /// What was strained from, as it is.
    pub(super) strained_out: Option<VesselRef>,
    /// What was strained from is weighed back.
    pub(super) weighs_back: bool,
    /// So much of everything strained runs down outside, grams.
    pub(super) spills_g: f64,
    /// What is left to strain of one vessel, for the next glass.
    pub(super) rest_of: Option<(LiquidRef, f64)>,
    /// What is being strained, its grams, and what the glass held before.
    pub(super) strained_from: Option<(LiquidRef, f64, f64)>,
    /// Stop was told while straining; the strainer is tilted back then.
    pub(super) strain_until_us: Option<u64>,
    pub(super) complete: bool,
    /// When a vessel was last set down for a drink; 0 once it has gone.
    pub(super) set_down_us: u64,
    pub(super) served: Vec<VesselRef>,
    pub(super) landed: Vec<(String, f64)>,
    pub(super) landing: Option<(&'s str, f64)>,
    /// What was made ahead, to be poured into other vessels.
    pub(super) jug: Option<Jug>,
}

impl<'s> Bartender<'s> {
    /// A bartender with nothing in hand, in front of this bar.
    #[must_use]
    pub fn new(table: Table, bar: Vec<BarBottle>, seed: u64, sound: bool) -> Self {
        Self {
            hand: HandNature::drawn(&table, seed),
            table,
            bar,
            sound,
            fetch: Draws::new(seed, Process::Fetch, 0),
            doing: Doing::Watching,
            page: Page::Idle,
            page_since_us: 0,
            rests_until_us: 0,
            pours: 0,
            in_hand: None,
            dropped: None,
            vessel: None,
            source: None,
            strained_out: None,
            weighs_back: false,
            spills_g: 0.0,
            rest_of: None,
            strained_from: None,
            strain_until_us: None,
            complete: false,
            set_down_us: 0,
            served: Vec::new(),
            landed: Vec::new(),
            landing: None,
            jug: None,
        }
    }

    /// The same, waiting to be asked to weigh back or not, and spilling so many grams of
    /// everything strained.
    #[must_use]
    pub fn weighing_back(self, weighs_back: bool, spills_g: f64) -> Self {
        Self {
            weighs_back,
            spills_g,
            ..self
        }
    }

    /// Takes over from somebody else: `vessel` is being built or served in, `source` is to be
    /// strained from.
    pub fn take_over(&mut self, vessel: Option<VesselRef>, source: Option<VesselRef>) {
        self.vessel = vessel;
        self.source = source;
    }

    /// What is being built or served in, and what is to be strained from.
    pub fn at_hand(&self) -> impl Iterator<Item = VesselRef> {
        self.vessel.into_iter().chain(self.source)
    }

    pub(super) fn served(&self) -> &[VesselRef] {
        &self.served
    }

    pub(super) fn landed(&self) -> &[(String, f64)] {
        &self.landed
    }

    /// Nothing is under way and nothing stands on the pan.
    pub(super) fn is_at_rest(&self, bench: &Bench) -> bool {
        let asked = asks(&self.page);
        let waits = self.weighs_back && matches!(asked, Some(Errand::SetBack | Errand::Serve));
        matches!(self.doing, Doing::Watching) && bench.vessel_on_pan().is_none() && !waits
    }

    /// When the next move is due, as things stand.
    #[must_use]
    pub fn next_us(&self) -> Option<u64> {
        match &self.doing {
            Doing::Watching => None,
            Doing::Fetching(_, due)
            | Doing::Putting(_, due)
            | Doing::Straining(due)
            | Doing::Tipping(due)
            | Doing::Working(.., due)
            | Doing::Finishing(due) => Some(*due),
            Doing::Pouring(reflex, give_up) => {
                Some(reflex.next_us().unwrap_or(*give_up).min(*give_up))
            }
        }
    }

    /// Takes in what the station offers.
    pub fn observe(&mut self, now_us: u64, outputs: &Outputs, view: &View<'s>, bench: &Bench) {
        if std::mem::discriminant(&view.page) != std::mem::discriminant(&self.page) {
            self.page_since_us = now_us;
        }
        self.page = view.page;
        if outputs.done.is_some() && self.vessel.is_some() {
            self.complete = true;
        }
        match &mut self.doing {
            Doing::Straining(_) if outputs.stop => {
                self.strain_until_us = Some(now_us + micros(STRAIN_REACTION_S));
            }
            Doing::Pouring(reflex, _) => {
                reflex.observe(now_us, &Sensed::of(outputs, view, self.sound));
            }
            Doing::Watching if now_us >= self.rests_until_us => self.look(now_us, bench),
            Doing::Fetching(errand, _) => {
                let errand = *errand;
                let asked = self.errand();
                if !asked.is_some_and(|asked| is_alike(&asked, &errand)) {
                    self.doing = Doing::Watching;
                }
            }
            _ => {}
        }
    }

    /// What is to be done. Drops that are in are in, though the scale may not have seen them.
    fn errand(&self) -> Option<Errand<'s>> {
        // Whoever splits a batch into glasses that are to be alike takes the trouble.
        if let (Some(_), Some(grams)) = (&self.jug, tip_out(&self.page)) {
            return Some(Errand::TipOut(grams));
        }
        match asks(&self.page) {
            Some(Errand::Put(name, _, Unit::Drop)) if self.dropped == Some(name) => {
                from_next(next_of(&self.page)).or(Some(Errand::Serve))
            }
            asked => asked,
        }
    }

    /// Reads the panel and goes to fetch what it asks for.
    fn look(&mut self, now_us: u64, bench: &Bench) {
        let shown_s = now_us.saturating_sub(self.page_since_us) as f64 * 1e-6;
        let offered = self.jug.is_some() && tip_out(&self.page).is_some();
        let waits_s = if only_tells(&self.page) && !offered {
            NOTE_S
        } else {
            0.0
        };
        if shown_s < waits_s || bench.still_coming() {
            return;
        }
        let Some(errand) = self.errand() else {
            return;
        };
        let fetch_s = match errand {
            Errand::Pour(name) | Errand::Add(name) | Errand::Put(name, ..)
                if self.in_hand == Some(name) =>
            {
                0.3
            }
            Errand::Pour(_) | Errand::Add(_) | Errand::Put(..) => self.fetch.between(1.0, 2.0),
            Errand::SetDown(_) | Errand::SetBack => self.fetch.between(0.5, 1.2),
            Errand::Ice(_) | Errand::Strain => self.fetch.between(0.8, 1.6),
            Errand::Work(..) | Errand::TipOut(_) => self.fetch.between(0.3, 0.8),
            Errand::Serve | Errand::TakeAway => self.fetch.between(0.8, 1.6),
        };
        let read_s = self.fetch.between(0.3, 0.6);
        self.doing = Doing::Fetching(errand, now_us + micros(read_s + fetch_s));
    }

    /// Does what is due.
    pub fn act(&mut self, now_us: u64, bench: &mut Bench) {
        match std::mem::replace(&mut self.doing, Doing::Watching) {
            Doing::Watching => {}
            Doing::Fetching(errand, _) => self.begin(errand, now_us, bench),
            Doing::Pouring(reflex, give_up_us) => self.pour(reflex, give_up_us, now_us, bench),
            Doing::Putting(pieces, _) => self.put(pieces, now_us, bench),
            Doing::Straining(_) => {
                let told = self.strain_until_us.is_some_and(|until| until <= now_us);
                if bench.bottle_is_empty() || told {
                    bench.tilt_back();
                    self.strain_until_us = None;
                    self.finish(now_us);
                } else {
                    self.doing = Doing::Straining(now_us + micros(0.05));
                }
            }
            Doing::Tipping(_) => self.put_back(now_us, bench),
            Doing::Working(work, seconds, next, _) => {
                self.work_done(work, seconds, next, now_us, bench);
            }
            Doing::Finishing(_) => self.finished(now_us, bench),
        }
    }
}

/// The same thing to do, though its amount may have changed.
fn is_alike(one: &Errand<'_>, other: &Errand<'_>) -> bool {
    match (one, other) {
        (Errand::Pour(a) | Errand::Add(a), Errand::Pour(b) | Errand::Add(b))
        | (Errand::Put(a, ..), Errand::Put(b, ..)) => a == b,
        (Errand::SetDown(a), Errand::SetDown(b)) => a == b,
        _ => std::mem::discriminant(one) == std::mem::discriminant(other),
    }
}
