//! An hour in which nothing happens: nothing may be told.

use std::collections::BTreeMap;

use pennyweight_core::spec::{Family, Vessel};
use pennyweight_core::units::Grams;
use pennyweight_core::{Command, Event, Mode, Station};
use pennyweight_sim::plant::{Bench, BenchSetup, Liquid, Surroundings, Table};
use pennyweight_sim::session::{Lockstep, setup_for};

/// What is told in `minutes` while a glass stands on the pan and a pour is offered.
fn told(sps: f64, surroundings: Surroundings, minutes: u64, seed: u64) -> BTreeMap<String, u32> {
    let spirit = Liquid::of_strength("rye whiskey", Family::Spirit, 40.0, 0.0);
    let mut setup = BenchSetup::new(sps, seed, vec![spirit]);
    setup.surroundings = surroundings;
    let bench = Bench::new(&Table::nominal(), setup);
    let station = Station::new(setup_for(&bench, Mode::Service));
    let mut rig = Lockstep::new(bench, station);
    let _told = rig.command(Command::Target(Grams(30.0)));
    while rig.step(Some(2_000_000)).is_some() {}
    let glass = rig.bench.take_vessel(Vessel::Rocks);
    rig.bench.place(glass);
    while rig.step(Some(8_000_000)).is_some() {}
    let mut counts = BTreeMap::new();
    while let Some(moment) = rig.step(Some(8_000_000 + minutes * 60_000_000)) {
        for event in moment.outputs.events() {
            let words = format!("{event:?}");
            let name = words.split(['(', ' ']).next().unwrap_or_default();
            if !matches!(event, Event::Bumped) || surroundings != Surroundings::Shaken {
                *counts.entry(name.to_owned()).or_insert(0) += 1;
            }
        }
    }
    counts
}

#[test]
fn an_hour_of_a_usual_bar_tells_nothing() {
    // Six benches of ten minutes, each with its own cell, converter and neighbours.
    for seed in 0..6 {
        let told = told(80.0, Surroundings::Usual, 10, seed);
        assert!(told.is_empty(), "bench {seed}: {told:?}");
    }
}
