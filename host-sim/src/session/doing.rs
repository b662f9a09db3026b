//! How a bartender does what was asked: bottles, pieces, ice, stirring, straining.

use pennyweight_core::spec::{Family, Unit, Vessel};
use pennyweight_core::view::{Next, Work};

use super::bar::BarBottle;
use super::bartender::{Bartender, Doing, Piece};
use super::panel_says::{DROP_ML, Errand, only_tells};
use crate::plant::ice::{Chilling, melted_g};
use crate::plant::reflex::micros;
use crate::plant::{Bench, LiquidRef, Move, Reflex};

/// Nobody pours longer than this, seconds.
const LONGEST_POUR_S: f64 = 40.0;

/// A strainer lets so much through, ml/s, and this much stays on ice and walls, grams.
pub(super) const STRAINED_ML_S: f64 = 18.0;
pub(super) const HOLD_UP_G: (f64, f64) = (2.0, 4.0);

/// A vessel that the scale does not see is lifted again after so many seconds (assumption).
const SEEN_S: f64 = 4.0;

/// A barspoon, ml (common practice, no source), and how evenly small things are measured.
const BARSPOON_ML: f64 = 5.0;
const MEASURED_CV: f64 = 0.08;

/// A rinse, ml, and what of it stays on the walls, grams (common practice, no source).
const RINSED_ML: f64 = 8.0;
const RINSE_STAYS_G: (f64, f64) = (0.6, 1.4);

/// A puddle above this is wiped away before a vessel is set down, grams.
const WIPED_G: f64 = 3.0;

impl<'s> Bartender<'s> {
    pub(super) fn begin(&mut self, errand: Errand<'s>, now_us: u64, bench: &mut Bench) {
        match errand {
            Errand::SetDown(kind) => self.set_down(kind, now_us, bench),
            Errand::SetBack => match self.strained_out {
                Some(vessel) if bench.vessel_on_pan().is_none() => {
                    bench.place(vessel);
                    self.rest(now_us, 0.8);
                }
                _ => self.rest(now_us, 2.0),
            },
            Errand::TakeAway => self.lift(now_us, bench),
            Errand::Pour(name) => self.tilt(name, 1.0, now_us, bench),
            // A little more is poured carefully (assumption: at less than half the flow).
            Errand::Add(name) => self.tilt(name, 0.4, now_us, bench),
            Errand::Put(name, count, unit) => self.take_pieces(name, count, unit, now_us, bench),
            Errand::Ice(grams) => {
                let mut pieces = Vec::new();
                let mut left_g = grams;
                loop {
                    let cube_g = bench.usual_cube_g();
                    // One cube too many is worse than half a cube too few.
                    if !pieces.is_empty() && left_g < cube_g / 2.0 {
                        break;
                    }
                    left_g -= cube_g;
                    pieces.push(Piece::Cube(cube_g));
                }
                self.doing = Doing::Putting(pieces, now_us);
            }
            Errand::Work(work, seconds, next) => {
                self.lift(now_us, bench);
                let seconds = (seconds + self.fetch.normal()).max(1.0);
                self.doing = Doing::Working(work, seconds, next, now_us + micros(0.8 + seconds));
            }
            // Asked just as the glass was taken up again: nobody strains onto the pan.
            Errand::Strain if bench.vessel_on_pan().is_none() && self.vessel.is_some() => {
                self.put_back(now_us, bench);
            }
            Errand::TipOut(grams) => self.tip_out(grams, now_us, bench),
            Errand::Strain => self.strain(now_us, bench),
            Errand::Serve => {
                self.complete = true;
                self.lift(now_us, bench);
            }
        }
    }

    fn rest(&mut self, now_us: u64, seconds: f64) {
        self.doing = Doing::Watching;
        self.rests_until_us = now_us + micros(seconds);
    }

    fn set_down(&mut self, kind: Vessel, now_us: u64, bench: &mut Bench) {
        if bench.vessel_on_pan().is_some() {
            // It was set down for this, and the scale has not seen it yet.
            if now_us < self.set_down_us + micros(SEEN_S) {
                self.rest(now_us, 0.5);
            } else {
                self.lift(now_us, bench);
            }
            return;
        }
        if bench.stray_g() > WIPED_G {
            bench.wipe();
            self.rest(now_us, 1.0);
            return;
        }
        let is_kind = |vessel| bench.vessel(vessel).is_some_and(|held| held.kind == kind);
        let same = self.vessel.filter(|&vessel| is_kind(vessel));
        let vessel = same.unwrap_or_else(|| bench.take_vessel(kind));
        if same.is_none() {
            self.source = self.vessel;
            self.vessel = Some(vessel);
        }
        self.set_down_us = now_us;
        bench.place(vessel);
        self.rest(now_us, 0.8);
    }

    pub(super) fn put_back(&mut self, now_us: u64, bench: &mut Bench) {
        if let Some(vessel) = self.vessel {
            bench.place(vessel);
        }
        self.rest(now_us, 0.8);
    }

    fn lift(&mut self, now_us: u64, bench: &mut Bench) {
        self.set_down_us = 0;
        bench.lift();
        if self.complete {
            self.complete = false;
            let vessel = self.vessel.take();
            let served = match &mut self.jug {
                Some(jug) => jug.take_up(vessel),
                None => vessel,
            };
            self.served.extend(served);
            self.source = None;
        }
        self.rest(now_us, 1.0);
    }

    fn bottle(&self, name: &str, bench: &Bench) -> Option<(LiquidRef, BarBottle)> {
        let liquid = bench.liquid_named(name)?;
        Some((liquid, self.bar.get(liquid.0)?.clone()))
    }

    fn tilt(&mut self, name: &'s str, share: f64, now_us: u64, bench: &mut Bench) {
        if self.pour_made_ahead(name, share, now_us, bench) {
            return;
        }
        let Some((liquid, bottle)) = self.bottle(name, bench) else {
            self.rest(now_us, 2.0);
            return;
        };
        // Asked for by name alone: what is not poured goes in by the piece.
        match bottle.liquid.family {
            Family::Bitters if only_tells(&self.page) => {
                self.take_pieces(name, 1, Unit::Dash, now_us, bench);
                return;
            }
            Family::Whole => {
                self.take_pieces(name, 1, Unit::Piece, now_us, bench);
                return;
            }
            _ => {}
        }
        self.note_landing(name, bench);
        self.dropped = None;
        self.rest_of = None;
        bench.tilt(liquid, bottle.flow_ml_s * share);
        self.attend(now_us, bench);
    }

    /// The hand heeds the cues from now on.
    pub(super) fn attend(&mut self, now_us: u64, bench: &Bench) {
        let hours = bench.now_s() / 3600.0;
        let mut draw = self.hand.pour(&self.table, self.pours, hours);
        if !self.sound {
            draw = draw.by_sight(&self.table);
        }
        self.pours += 1;
        let give_up_us = now_us + micros(LONGEST_POUR_S);
        self.doing = Doing::Pouring(Box::new(Reflex::new(draw)), give_up_us);
    }

    pub(super) fn pour(
        &mut self,
        mut reflex: Box<Reflex>,
        give_up_us: u64,
        now_us: u64,
        bench: &mut Bench,
    ) {
        if bench.bottle_is_empty() {
            bench.tilt_back();
            self.finish(now_us);
            return;
        }
        let moved = match reflex.take(now_us, bench.flow_g_s()) {
            None if now_us >= give_up_us => Some(reflex.give_up()),
            moved => moved,
        };
        match moved {
            Some(Move::Ease { to_g_s, lasts_s }) => bench.set_flow(to_g_s, lasts_s),
            Some(Move::TiltBack) => {
                bench.tilt_back();
                self.finish(now_us);
                return;
            }
            None => {}
        }
        self.doing = Doing::Pouring(reflex, give_up_us);
    }

    fn take_pieces(
        &mut self,
        name: &'s str,
        count: u8,
        unit: Unit,
        now_us: u64,
        bench: &mut Bench,
    ) {
        let Some((liquid, bottle)) = self.bottle(name, bench) else {
            self.rest(now_us, 2.0);
            return;
        };
        self.note_landing(name, bench);
        self.dropped = (unit == Unit::Drop).then_some(name);
        let density = bottle.liquid.density_g_ml;
        if unit == Unit::Rinse {
            let poured = Piece::Measured(liquid, RINSED_ML * density);
            self.doing = Doing::Putting(vec![Piece::Dump, Piece::Swirl, poured], now_us);
            return;
        }
        let pieces = (0..count)
            .map(|_| {
                let evenly = 1.0 + MEASURED_CV * self.fetch.normal();
                match unit {
                    Unit::Dash => Piece::Dash(liquid),
                    Unit::Drop => Piece::Measured(liquid, DROP_ML * density * evenly),
                    Unit::Piece => Piece::Measured(liquid, bottle.piece_g * evenly),
                    _ => Piece::Measured(liquid, BARSPOON_ML * density * evenly),
                }
            })
            .collect();
        self.doing = Doing::Putting(pieces, now_us);
    }

    /// The next dash, spoon, piece or cube.
    pub(super) fn put(&mut self, mut pieces: Vec<Piece>, now_us: u64, bench: &mut Bench) {
        let Some(piece) = pieces.pop() else {
            self.finish(now_us);
            return;
        };
        let next_s = match piece {
            Piece::Dash(liquid) => {
                let usual_ml = bench.usual_dash_ml(liquid);
                bench.dash(liquid, usual_ml);
                self.fetch.between(0.25, 0.6)
            }
            Piece::Measured(liquid, grams) => {
                bench.tip_in(liquid, grams);
                if grams < 0.5 {
                    self.fetch.between(0.4, 0.8)
                } else {
                    self.fetch.between(1.5, 2.5)
                }
            }
            Piece::Cube(grams) => {
                bench.drop_ice(grams);
                self.fetch.between(0.3, 0.7)
            }
            Piece::Swirl => {
                bench.lift();
                self.fetch.between(3.0, 6.0)
            }
            Piece::Dump => {
                if let Some(vessel) = self.vessel {
                    let (low_g, high_g) = RINSE_STAYS_G;
                    let stays_g = self.fetch.between(low_g, high_g);
                    let _dumped = bench.strain_from(vessel, stays_g);
                    bench.place(vessel);
                }
                self.fetch.between(1.0, 1.5)
            }
        };
        self.doing = Doing::Putting(pieces, now_us + micros(next_s));
    }

    fn strain(&mut self, now_us: u64, bench: &mut Bench) {
        let (mixture, grams) = match (self.rest_of.take(), self.source.take()) {
            (Some(rest), _) => rest,
            (None, Some(source)) => {
                self.strained_out = Some(source);
                let hold_up_g = self.fetch.between(HOLD_UP_G.0, HOLD_UP_G.1);
                let (mixture, grams) = bench.strain_from(source, hold_up_g);
                (mixture, (grams - self.spills_g).max(0.0))
            }
            (None, None) => {
                self.rest(now_us, 2.0);
                return;
            }
        };
        self.strained_from = Some((mixture, grams, self.in_vessel_g(bench)));
        let draw = bench.next_pour(mixture, STRAINED_ML_S);
        bench.tilt_drawn(mixture, draw, grams);
        self.doing = Doing::Straining(now_us + micros(0.05));
    }

    pub(super) fn work_done(
        &mut self,
        work: Work,
        seconds: f64,
        next: Next<'s>,
        now_us: u64,
        bench: &mut Bench,
    ) {
        if let Some(vessel) = self.vessel {
            let chilling = match work {
                Work::Stir => Chilling::Stirred,
                Work::Shake => Chilling::Shaken,
            };
            let melted = melted_g(&bench.held(vessel), chilling, seconds, &mut self.fetch);
            bench.melt(vessel, melted);
        }
        if work == Work::Shake {
            let peak = self.table.bench.shaker_knock_g_peak.draw(&mut self.fetch);
            bench.knock(peak);
        }
        match (next, self.vessel) {
            (Next::Strain(_), _) | (_, None) => self.rest(now_us, 0.3),
            (_, Some(vessel)) => {
                bench.place(vessel);
                self.rest(now_us, 0.8);
            }
        }
    }

    /// Holds what is in the hand above the vessel until its last drop.
    pub(super) fn finish(&mut self, now_us: u64) {
        self.doing = Doing::Finishing(now_us + micros(0.1));
    }

    pub(super) fn finished(&mut self, now_us: u64, bench: &Bench) {
        if bench.still_coming() {
            self.finish(now_us);
            return;
        }
        if let Some((name, before_g)) = self.landing.take() {
            let landed_g = self.in_vessel_g(bench) - before_g;
            if let Some(jug) = &mut self.jug {
                jug.gave(name, landed_g);
            }
            self.landed.push((name.to_owned(), landed_g));
            self.in_hand = Some(name);
        }
        if let Some((mixture, grams, before_g)) = self.strained_from.take() {
            let left_g = grams - (self.in_vessel_g(bench) - before_g);
            self.rest_of = (left_g > 1.0).then_some((mixture, left_g));
        }
        // Time for the panel to say what it makes of it.
        self.rest(now_us, 2.5);
        self.page_since_us = now_us;
    }

    pub(super) fn note_landing(&mut self, name: &'s str, bench: &Bench) {
        self.landing = Some((name, self.in_vessel_g(bench)));
    }

    fn in_vessel_g(&self, bench: &Bench) -> f64 {
        self.vessel
            .map_or(0.0, |vessel| bench.contents_shown_g(vessel))
    }
}
