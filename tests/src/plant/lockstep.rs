//! A station and a bench in step.

use pennyweight_core::spec::{Family, Vessel};
use pennyweight_core::{Input, Mode, Station};
use pennyweight_sim::plant::{Bench, BenchSetup, Liquid, LiquidRef, Table};
use pennyweight_sim::session::{Lockstep, setup_for};

#[test]
fn time_never_runs_back_and_actions_come_in_their_turn() {
    let spirit = Liquid::of_strength("rye whiskey", Family::Spirit, 40.0, 0.0);
    let bench = Bench::new(&Table::nominal(), BenchSetup::new(80.0, 3, vec![spirit]));
    let station = Station::new(setup_for(&bench, Mode::Plain));
    let mut rig = Lockstep::new(bench, station);
    let mut last_us = 0;
    let mut codes = 0;
    for action_us in [1_000_000, 1_000_500, 3_000_000, 6_000_000] {
        while let Some(moment) = rig.step(Some(action_us)) {
            let now_us = moment.at.micros();
            assert!(now_us >= last_us && now_us <= action_us);
            last_us = now_us;
            codes += usize::from(matches!(moment.input, Input::Code(_)));
        }
        assert_eq!(rig.now_us(), action_us);
        match action_us {
            1_000_000 => {
                let glass = rig.bench.take_vessel(Vessel::Rocks);
                rig.bench.place(glass);
            }
            3_000_000 => rig.bench.tilt(LiquidRef(0), 8.0),
            _ => {}
        }
    }
    // Six seconds at a true rate between 73 and 94 a second.
    assert!((6 * 73..=6 * 94).contains(&codes), "{codes}");
    assert!(rig.bench.out_g() > 10.0);
}
