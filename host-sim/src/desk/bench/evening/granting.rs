//! What an evening does when somebody wishes for something.

use std::time;

use pennyweight_core::spec::DrinkId;
use pennyweight_core::units::Millilitres;
use pennyweight_core::{Command, Station};

use super::telling::LOOKS;
use super::{Evening, PAUSE_US, READY_US};
use crate::commands::options::ModeName;
use crate::desk::wish::Wish;
use crate::session::{setup_for, tip_out};

/// The bench is clear so long after its last glass was lifted, microseconds.
const CLEARED_US: u64 = 1_500_000;

impl Evening<'_> {
    /// Does what was wished for, or says why not.
    pub(super) fn grant(&mut self, wish: &Wish) {
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
            Wish::Void { drink } => {
                self.command(Command::Void(DrinkId(*drink)))?;
                self.ordered.take_back(*drink);
            }
            Wish::Change { from, to } => {
                self.command(Command::Change(DrinkId(*from), DrinkId(*to)))?;
                self.ordered.change(*from, *to);
            }
            Wish::Two => {
                self.command(Command::Two)?;
                self.ordered.double();
            }
            Wish::Again => self.command(Command::Again)?,
            Wish::Reveal => {
                let flight = self.flight.as_mut().ok_or("there is no flight")?;
                flight.reveal()?;
                self.tell_flight();
            }
            Wish::House => return Err("the house's own sheet is worked from".to_owned()),
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
            Wish::TipOut => {
                let page = self.view.map(|view| view.page);
                let grams = page.and_then(|page| tip_out(&page));
                let grams = grams.ok_or("nothing is to be tipped out")?;
                if self.bartender.is_some() {
                    self.watch(false, now_us);
                }
                let bench = &mut self.rig.bench;
                self.hands.tip_out(grams, now_us, bench)?;
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
        match moment.outputs.refused {
            Some(why) => Err(why.to_string()),
            None => Ok(()),
        }
    }

    fn order(&mut self, drinks: &[u8]) -> Result<(), String> {
        for &drink in drinks {
            self.command(Command::Order(DrinkId(drink)))?;
            self.ordered.add(drink);
        }
        Ok(())
    }

    /// Orders what is missing of a flight.
    fn order_flight(&mut self) -> Result<(), String> {
        let Some(flight) = &self.flight else {
            return Ok(());
        };
        let missing = flight.missing();
        if let Some(ml) = flight.planned().serve_ml {
            self.command(Command::Serve(Millilitres(ml)))?;
        }
        if missing.is_empty() {
            return Ok(());
        }
        self.order(&missing)
    }

    /// Clears the bench; once it is clear, a drink is ordered.
    pub(super) fn clear(&mut self, now_us: u64, drink: Option<u8>) {
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

    pub(super) fn cleared(&mut self, drink: Option<u8>) {
        self.glasses.follow(&self.rig.bench);
        self.glasses.serve_all_but(&self.rig.bench, &[]);
        self.rig.station.load(self.sheet);
        self.ordered.clear();
        let ordered = match drink {
            Some(drink) => self.order(&[drink]),
            None => self.order_flight(),
        };
        if let Err(why) = ordered {
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
            if self.flight.is_some() {
                let ready_us = self.rig.bench.now_us() + READY_US;
                self.clearing = Some((ready_us, None));
            }
        }
        let word = if on { "power on" } else { "power cut" };
        self.push_event("desk", word, String::new());
    }

    /// The simulated hand takes over, or leaves.
    pub(super) fn watch(&mut self, on: bool, now_us: u64) {
        if on == self.bartender.is_some() {
            return;
        }
        if !on {
            let made = self.bartender.take().and_then(|it| it.made_ahead());
            if let (Some(made), Some(number)) = (made, self.hands.batch()) {
                self.hands.set_ahead(number, made);
            }
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
}
