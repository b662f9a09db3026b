//! Pours by a plain scale's number.

use pennyweight_core::spec::Vessel;

use super::plan::{Group, Turn};
use super::{BOTTLE, Method, Trial, TrialPour, bench_for, hand_of, longest_s, target_shown_g};
use crate::plant::{Bench, Reader, Table};

pub(super) fn play(table: &Table, trial: &Trial, group: &Group) -> Vec<TrialPour> {
    let mut bench = bench_for(table, trial, group);
    let table = trial.hidden.applied(table);
    group
        .turns
        .iter()
        .filter(|turn| turn.counts)
        .map(|turn| pour(&table, trial, &mut bench, turn))
        .collect()
}

fn pour(table: &Table, trial: &Trial, bench: &mut Bench, turn: &Turn) -> TrialPour {
    let target_g = target_shown_g(trial);
    let hours = bench.now_s() / 3600.0;
    let draw = hand_of(table, turn).pour(table, turn.number, hours);
    let mut reader = match trial.method {
        Method::Practised => {
            let usual_g_s = trial.flow_ml_s * trial.hidden.flow * trial.liquid.density_g_ml;
            Reader::practised(target_g, usual_g_s, &draw)
        }
        Method::Plain | Method::Guided | Method::Limit => Reader::plain(target_g, &draw),
    };
    let glass = bench.take_vessel(Vessel::Rocks);
    bench.place(glass);
    read_until(bench, &mut reader, 1.5);
    let tare_g = read_until(bench, &mut reader, 0.5);
    reader.tare(tare_g);
    bench.count_pours_from(turn.number);
    bench.tilt(BOTTLE, trial.flow_ml_s);
    let tilted_us = bench.now_us();
    let give_up_us = tilted_us + (longest_s(trial) * 1e6) as u64;
    loop {
        let due_us = reader.move_us().unwrap_or(give_up_us).min(give_up_us);
        if due_us < bench.next_conversion_us() {
            bench.advance(due_us);
            break;
        }
        read(bench, &mut reader);
    }
    let stop_flow_g_s = bench.flow_g_s();
    let stopped_us = bench.now_us();
    bench.tilt_back();
    while bench.still_coming() {
        read(bench, &mut reader);
    }
    let landed_g = bench.contents_shown_g(glass);
    read_until(bench, &mut reader, 1.0);
    bench.lift();
    read_until(bench, &mut reader, 1.0);
    TrialPour {
        hand: turn.hand,
        before: turn.before,
        target_g,
        landed_g,
        seconds: stopped_us.saturating_sub(tilted_us) as f64 * 1e-6,
        stop_flow_g_s,
        said: None,
    }
}

fn read(bench: &mut Bench, reader: &mut Reader) -> f64 {
    let conversion = bench.read();
    let grams = f64::from(conversion.code - bench.zero_code()) / bench.counts_per_gram();
    reader.weigh(conversion.t_us, grams);
    grams
}

/// The mean reading over so many seconds.
fn read_until(bench: &mut Bench, reader: &mut Reader, seconds: f64) -> f64 {
    let until = bench.now_s() + seconds;
    let mut sum = 0.0;
    let mut count = 0.0;
    while bench.now_s() < until {
        sum += read(bench, reader);
        count += 1.0;
    }
    sum / f64::max(count, 1.0)
}
