//! Hours in which nothing happens but what a bar does to a bench.
//!
//! `PENNYWEIGHT_HOURS=24 cargo test --release -p pennyweight-tests an_hour -- --nocapture` is the
//! long run: so many hours for each rate and each kind of bench, and a table of what was told.

use std::collections::BTreeMap;

use pennyweight_core::Event;
use pennyweight_core::spec::Vessel;
use pennyweight_sim::plant::Surroundings;

use super::watched::{Watched, seed_of};

const KINDS: [Surroundings; 6] = [
    Surroundings::Quiet,
    Surroundings::Usual,
    Surroundings::Vibration,
    Surroundings::Bass,
    Surroundings::Fan,
    Surroundings::Knocks,
];

/// Hours on each kind of bench: together one for each rate.
const HOURS: f64 = 0.2;

/// After so long another bench is taken, seconds: cell, converter and table are drawn anew.
const BENCH_S: f64 = 1200.0;

/// A knock that is to be told once is harder than this, grams.
const TOLD_G: f64 = 10.0;

/// A knock is told within this, seconds.
const TOLD_WITHIN_S: f64 = 1.5;

/// What was told on one kind of bench.
#[derive(Default)]
struct Tally {
    hours: f64,
    events: BTreeMap<String, u32>,
    knocks: u32,
    untold: u32,
    more: u32,
}

impl Tally {
    fn add(&mut self, watched: &Watched, apart_s: f64) {
        for (_, event) in &watched.told {
            let words = format!("{event:?}");
            let name = words.split(['(', ' ']).next().unwrap_or_default();
            *self.events.entry(name.to_owned()).or_insert(0) += 1;
        }
        // The last ones may not be told yet.
        let end_s = watched.now_s - TOLD_WITHIN_S;
        let mut knocks: Vec<Knocked> = Vec::new();
        for &(at_s, peak_g) in &watched.knocks {
            match knocks.last_mut() {
                Some(last) if at_s - last.ends_s < apart_s => {
                    last.ends_s = at_s;
                    last.blows += 1;
                    last.peak_g = last.peak_g.max(peak_g);
                }
                Some(_) | None => knocks.push(Knocked {
                    begins_s: at_s,
                    ends_s: at_s,
                    peak_g,
                    blows: 1,
                    told: 0,
                }),
            }
        }
        for (at_s, event) in &watched.told {
            if !matches!(event, Event::Bumped) {
                continue;
            }
            let open = |knock: &&mut Knocked| {
                knock.told < knock.blows
                    && knock.begins_s < *at_s
                    && *at_s - knock.ends_s < TOLD_WITHIN_S
            };
            let hard = |knock: &&mut Knocked| open(knock) && knock.peak_g > TOLD_G;
            let untold = |knock: &&mut Knocked| hard(knock) && knock.told == 0;
            if let Some(knock) = knocks.iter_mut().find(untold) {
                knock.told += 1;
            } else if let Some(knock) = knocks.iter_mut().find(open) {
                knock.told += 1;
            } else if *at_s < end_s {
                self.more += 1;
            }
        }
        for knock in knocks {
            if knock.peak_g > TOLD_G && knock.ends_s < end_s {
                self.knocks += 1;
                self.untold += u32::from(knock.told == 0);
            }
        }
    }
}

/// A knock, or several that run into each other.
struct Knocked {
    begins_s: f64,
    ends_s: f64,
    peak_g: f64,
    blows: u32,
    told: u32,
}

fn listen(sps: f64, kind: Surroundings, hours: f64, series: u64) -> Tally {
    // Ten samples a second through a sinc3 filter spread a knock over 0.3 s and the pan has to be
    // still for 0.4 s more: what comes sooner runs into it.
    let apart_s = if sps < 20.0 { 0.8 } else { 0.5 };
    let mut tally = Tally::default();
    let mut bench = 0;
    while tally.hours < hours - 1e-6 {
        let seconds = ((hours - tally.hours) * 3600.0).min(BENCH_S);
        let seed = seed_of(1_000 * series + bench);
        let mut watched = Watched::new(sps, kind, Vessel::Rocks, seed);
        watched.pass(seconds);
        tally.add(&watched, apart_s);
        tally.hours += seconds / 3600.0;
        bench += 1;
    }
    tally
}

#[test]
fn an_hour_at_each_rate_tells_knocks_and_nothing_else() {
    let hours = std::env::var("PENNYWEIGHT_HOURS").map_or(HOURS, |hours| {
        hours.parse().expect("PENNYWEIGHT_HOURS is a number")
    });
    let mut wrong = Vec::new();
    println!("| rate | bench | hours | knocks | not told | told twice | anything else |");
    println!("|---|---|---|---|---|---|---|");
    for (series, sps) in [10.0, 80.0, 320.0].into_iter().enumerate() {
        for kind in KINDS {
            let mut tally = listen(sps, kind, hours, series as u64);
            if kind == Surroundings::Knocks {
                tally.events.remove("Bumped");
            }
            let Tally {
                knocks,
                untold,
                more,
                ..
            } = tally;
            println!(
                "| {sps} | {kind:?} | {:.1} | {knocks} | {untold} | {more} | {:?} |",
                tally.hours, tally.events
            );
            // At ten samples a second a knock of 10 g at 32 Hz leaves 0.37 g in one or two of
            // them, three deviations of the worst converter's noise: not every one can be told.
            let allowed = if sps < 20.0 {
                knocks / 25 + 2
            } else {
                knocks / 500
            };
            // A hard knock may pass for a broken conversion: that is the gate's, and told apart.
            let events = tally.events.keys().any(|name| name != "Fault");
            if events || untold > allowed || more > allowed {
                wrong.push(format!("{kind:?} at {sps}"));
            }
        }
    }
    assert!(wrong.is_empty(), "{wrong:?}");
}
