//! The yardstick: what has truly left the bottle and its true flow are known, the cue comes at
//! the best instant, and only the hand's and the bottle's own chance is left.

use pennyweight_core::spec::Vessel;

use super::plan::{Group, Turn};
use super::{BOTTLE, Trial, TrialPour, bench_for, hand_of, longest_s, target_shown_g};
use crate::plant::liquid::pour_law;
use crate::plant::{Bench, HandDraw, HandNature, Table};

/// Truth is looked at so often, seconds.
const LOOKS_S: f64 = 0.004;

/// The best instant is looked for so long before it comes, seconds: no hand is earlier.
const AHEAD_S: f64 = 0.35;

/// The pour is eased so that it flows slowly for so long before its end, seconds.
const EASED_FOR_S: f64 = 1.0;

pub(super) fn play(table: &Table, trial: &Trial, group: &Group) -> Vec<TrialPour> {
    let mut bench = bench_for(table, trial, group);
    let table = trial.hidden.applied(table);
    group
        .turns
        .iter()
        .filter(|turn| turn.counts)
        .map(|turn| {
            let hand = hand_of(&table, turn);
            Knowing::new(&table, trial, &hand).pour(&table, trial, &mut bench, turn, &hand)
        })
        .collect()
}

/// What whoever knows everything expects.
struct Knowing {
    target_g: f64,
    tilt_back_s: f64,
    tail_g: f64,
    ease_lead_s: f64,
    eased_g_s: f64,
}

impl Knowing {
    fn new(table: &Table, trial: &Trial, hand: &HandNature) -> Self {
        let law = pour_law(table, trial.liquid.family);
        let thread_g = law
            .thread_tail
            .as_ref()
            .map_or(0.0, |thread| thread.g.figures[0]);
        let drops_g = law.drops_after.mean_count * law.drops_after.drop_g.middle();
        let [mu, _, tau] = table.hand.ease_reaction_s.figures;
        let [_, _, _, transition_s, _] = table.hand.eased_flow_g_s.figures;
        Self {
            target_g: trial.target_ml * trial.liquid.density_g_ml,
            tilt_back_s: law.tilt_back_s.middle(),
            tail_g: thread_g + drops_g,
            ease_lead_s: mu + tau + hand.offset_s + transition_s / 2.0,
            eased_g_s: hand.eased_g_s,
        }
    }

    /// Grams that would still be missing at the end if the hand moved `in_s` from now.
    fn missing_g(&self, bench: &Bench, in_s: f64) -> f64 {
        let flow = bench.flow_g_s();
        // A bottle tilted back with a smooth step gives half of its flow meanwhile.
        let after_move = flow * self.tilt_back_s / 2.0 + self.tail_g;
        self.target_g - bench.out_g() - flow * in_s - after_move
    }

    /// The cue to ease would come now.
    fn eases(&self, bench: &Bench) -> bool {
        let slow_g = self.eased_g_s * EASED_FOR_S;
        self.missing_g(bench, self.ease_lead_s) <= slow_g
    }

    fn pour(
        &self,
        table: &Table,
        trial: &Trial,
        bench: &mut Bench,
        turn: &Turn,
        hand: &HandNature,
    ) -> TrialPour {
        let hours = bench.now_s() / 3600.0;
        let draw = hand.pour(table, turn.number, hours);
        let glass = bench.take_vessel(Vessel::Rocks);
        bench.place(glass);
        pass(bench, 1.0);
        bench.count_pours_from(turn.number);
        bench.tilt(BOTTLE, trial.flow_ml_s);
        let tilted_s = bench.now_s();
        let mut ease_due_s = None;
        let mut eased = draw.eased_g_s.is_none();
        let give_up_s = tilted_s + longest_s(trial);
        while self.missing_g(bench, AHEAD_S) > 0.0 && bench.now_s() < give_up_s {
            if ease_due_s.is_none() && self.eases(bench) {
                ease_due_s = Some(bench.now_s() + draw.ease_reaction_s);
            }
            if !eased && ease_due_s.is_some_and(|due| due <= bench.now_s()) {
                eased = true;
                ease(bench, &draw);
            }
            pass(bench, LOOKS_S);
        }
        let mut due_s = self.best_s(bench) + slip_s(table, hand, &draw);
        if let Some(ease_s) = ease_due_s
            && !eased
            && ease_s < due_s
        {
            // It still eases within the last instants, and the end moves away.
            pass(bench, (ease_s - bench.now_s()).max(0.0));
            ease(bench, &draw);
            due_s = self.best_s(bench) + slip_s(table, hand, &draw);
        }
        pass(bench, (due_s - bench.now_s()).max(0.0));
        let stop_flow_g_s = bench.flow_g_s();
        let seconds = bench.now_s() - tilted_s;
        bench.tilt_back();
        while bench.still_coming() {
            pass(bench, 0.02);
        }
        let landed_g = bench.contents_shown_g(glass);
        bench.lift();
        pass(bench, 0.5);
        TrialPour {
            hand: turn.hand,
            before: turn.before,
            target_g: target_shown_g(trial),
            landed_g,
            seconds,
            stop_flow_g_s,
            said: None,
        }
    }

    /// The best instant to move, found by letting the same bottle run on.
    fn best_s(&self, bench: &Bench) -> f64 {
        let mut ahead = bench.clone();
        let latest_s = ahead.now_s() + 20.0;
        while self.missing_g(&ahead, 0.0) > 0.0 && ahead.now_s() < latest_s {
            pass(&mut ahead, 0.001);
        }
        ahead.now_s()
    }
}

fn ease(bench: &mut Bench, draw: &HandDraw) {
    if let Some(eased_g_s) = draw.eased_g_s {
        let to_g_s = eased_g_s.min(draw.eased_at_most * bench.flow_g_s());
        bench.set_flow(to_g_s, draw.transition_s);
    }
}

/// How much later than expected this hand moves this time.
fn slip_s(table: &Table, hand: &HandNature, draw: &HandDraw) -> f64 {
    if draw.anticipates {
        draw.about_ramp_end_s - hand.mean_about_ramp_end_s(table)
    } else {
        draw.stop_reaction_s - hand.mean_stop_reaction_s(table)
    }
}

fn pass(bench: &mut Bench, seconds: f64) {
    let until_us = ((bench.now_s() + seconds) * 1e6).round() as u64;
    bench.advance(until_us);
}
