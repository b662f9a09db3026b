//! What an evening does when somebody wishes for something.

use std::time;

use pennyweight_core::spec::DrinkId;
use pennyweight_core::{Command, Station};

use super::telling::LOOKS;
use super::{Evening, PAUSE_US};
use crate::commands::options::ModeName;
use crate::desk::wish::{ORDER_MAX, Wish};
use crate::session::setup_for;

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
            if self.ordered.numbers().len() > ORDER_MAX {
                return Err("the round is full".to_owned());
            }
            self.command(Command::Order(DrinkId(drink)))?;
            self.ordered.add(drink);
        }
        Ok(())
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
}
