//! Pours that a station guides: one target, glass after glass.

use pennyweight_core::output::Settled;
use pennyweight_core::spec::Vessel;
use pennyweight_core::units::Grams;
use pennyweight_core::view::Page;
use pennyweight_core::{Command, Mode, Outputs, Station};

use super::plan::{Group, Turn};
use super::{BOTTLE, HandKind, Reading, Said, Trial, TrialPour, bench_for, hand_of, longest_s};
use crate::plant::draw::{Draws, Process};
use crate::plant::{Move, Reflex, Sensed, Table, VesselRef};
use crate::session::{Lockstep, Moment, setup_for};

/// Longest wait for the station to offer the pour, and to call it steady.
const OFFER_S: f64 = 6.0;
const STEADY_S: f64 = 8.0;

/// A puddle above this is wiped away between glasses, grams.
const WIPED_G: f64 = 3.0;

pub(super) fn play(table: &Table, trial: &Trial, group: &Group) -> Vec<TrialPour> {
    let bench = bench_for(table, trial, group);
    let station = Station::new(setup_for(&bench, Mode::Service));
    let mut stand = Stand {
        table: trial.hidden.applied(table),
        trial,
        rig: Lockstep::new(bench, station),
        fetch: Draws::new(group.bench_seed, Process::Fetch, 0),
    };
    let target = Grams(super::target_shown_g(trial) as f32);
    // The empty pan is seen for a second before anything is asked for.
    stand.pass(1.5);
    let _told = stand.rig.command(Command::Target(target));
    let poured = group.turns.iter().map(|turn| stand.pour(turn));
    let both: Vec<TrialPour> = poured.collect();
    both.into_iter()
        .zip(&group.turns)
        .filter_map(|(pour, turn)| turn.counts.then_some(pour))
        .collect()
}

struct Stand<'t> {
    table: Table,
    trial: &'t Trial,
    rig: Lockstep<'static>,
    fetch: Draws,
}

impl Stand<'_> {
    fn after_us(&self, seconds: f64) -> u64 {
        self.rig.now_us() + (seconds * 1e6) as u64
    }

    /// Lets time pass.
    fn pass(&mut self, seconds: f64) {
        let until = self.after_us(seconds);
        while self.rig.step(Some(until)).is_some() {}
    }

    /// Lets time pass until something is so, or for `longest_s`.
    fn wait(&mut self, longest_s: f64, mut is_so: impl FnMut(&Self, &Moment<'static>) -> bool) {
        let until = self.after_us(longest_s);
        while let Some(moment) = self.rig.step(Some(until)) {
            if is_so(self, &moment) {
                return;
            }
        }
    }

    fn pour(&mut self, turn: &Turn) -> TrialPour {
        let glass = self.rig.bench.take_vessel(Vessel::Rocks);
        self.rig.bench.place(glass);
        self.wait(OFFER_S, |_, moment| {
            matches!(moment.view.page, Page::Pour { .. } | Page::Add { .. })
        });
        let reach_s = self.fetch.between(0.5, 1.0);
        self.pass(reach_s);
        let (pour, said) = self.tilt_and_follow(turn, glass);
        let leave_s = self.fetch.between(0.3, 0.8);
        self.pass(leave_s);
        let landed_g = self.rig.bench.contents_shown_g(glass);
        self.rig.bench.lift();
        self.pass(0.7);
        if self.rig.bench.stray_g() > WIPED_G {
            self.rig.bench.wipe();
            self.pass(0.8);
        }
        let next_s = self.fetch.between(0.6, 1.2);
        self.pass(next_s);
        TrialPour {
            landed_g,
            said: Some(said),
            ..pour
        }
    }

    fn tilt_and_follow(&mut self, turn: &Turn, glass: VesselRef) -> (TrialPour, Said) {
        let hours = self.rig.bench.now_s() / 3600.0;
        let mut draw = hand_of(&self.table, turn).pour(&self.table, turn.number, hours);
        let sound = self.trial.hand != HandKind::Silent;
        if !sound {
            draw = draw.by_sight(&self.table);
        }
        self.rig.bench.count_pours_from(turn.number);
        self.rig.bench.tilt(BOTTLE, self.trial.flow_ml_s);
        let mut reflex = Reflex::new(draw);
        let mut said = Said::default();
        let tilted_us = self.rig.now_us();
        let give_up_us = self.after_us(longest_s(self.trial));
        let mut stop_flow_g_s = 0.0;
        let mut stopped_us = tilted_us;
        while !reflex.has_stopped() {
            let action = reflex.next_us().unwrap_or(give_up_us).min(give_up_us);
            if let Some(moment) = self.rig.step(Some(action)) {
                let sensed = Sensed::of(&moment.outputs, &moment.view, sound);
                reflex.observe(moment.at.micros(), &sensed);
                self.note(&mut said, &moment, tilted_us, glass);
                continue;
            }
            let now_us = self.rig.now_us();
            let flow = self.rig.bench.flow_g_s();
            let moved = match reflex.take(now_us, flow) {
                None if now_us >= give_up_us => Some(reflex.give_up()),
                moved => moved,
            };
            match moved {
                Some(Move::Ease { to_g_s, lasts_s }) => self.rig.bench.set_flow(to_g_s, lasts_s),
                Some(Move::TiltBack) => {
                    stop_flow_g_s = flow;
                    stopped_us = now_us;
                    self.rig.bench.tilt_back();
                }
                None => {}
            }
        }
        let mut told = said;
        self.wait(STEADY_S, |stand, moment| {
            stand.note(&mut told, moment, tilted_us, glass);
            told.steady.is_some() && !stand.rig.bench.still_coming()
        });
        let pour = TrialPour {
            hand: turn.hand,
            before: turn.before,
            target_g: super::target_shown_g(self.trial),
            landed_g: 0.0,
            seconds: stopped_us.saturating_sub(tilted_us) as f64 * 1e-6,
            stop_flow_g_s,
            said: None,
        };
        (pour, told)
    }

    fn note(&self, said: &mut Said, moment: &Moment<'_>, tilted_us: u64, glass: VesselRef) {
        let now_us = moment.at.micros();
        let since = |us: u64| now_us as f64 * 1e-6 - us as f64 * 1e-6;
        let Outputs {
            ease,
            stop,
            pour_started,
            added,
            landed,
            amended,
            steady,
            ..
        } = moment.outputs;
        if pour_started && said.started_after_s.is_none() {
            said.started_after_s = self.rig.bench.first_landed_us().map(since);
        }
        if ease && said.ease_s.is_none() {
            said.ease_s = Some(since(tilted_us));
        }
        if stop && said.stop_s.is_none() {
            said.stop_s = Some(since(tilted_us));
        }
        let ended = self.rig.bench.stream_ended_us();
        let truth = self.rig.bench.contents_shown_g(glass);
        if pour_started {
            said.before_g = said.told_g;
        }
        said.added_g += added.map_or(0.0, |grams| f64::from(grams.0));
        let go_g = truth - said.before_g - said.added_g;
        let reading = |settled: Settled| Reading {
            after_s: ended.map_or(0.0, since),
            error_g: f64::from(settled.mass.0) - go_g,
            sigma_g: f64::from(settled.sigma.0),
        };
        said.landed = said.landed.or(landed.map(reading));
        said.steady = steady.map(reading).or(said.steady);
        if landed.or(amended).or(steady).is_some() {
            said.told_g = truth;
        }
    }
}
