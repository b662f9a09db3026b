//! Melting against published dilutions.

use pennyweight_sim::plant::Held;
use pennyweight_sim::plant::draw::{Draws, Process};
use pennyweight_sim::plant::ice::{Chilling, melted_g};

#[test]
fn dilution_lies_about_the_published_fits() {
    // D. Arnold, Liquid Intelligence, W. W. Norton 2014, coefficients from memory: water added
    // over undiluted volume at 20 %, 30 % and 40 % by volume, stirred and shaken.
    let rows = [
        (20.0, 0.346, 0.489),
        (30.0, 0.410, 0.585),
        (40.0, 0.450, 0.649),
    ];
    let mut draws = Draws::new(4, Process::Fetch, 0);
    for (abv_percent, stirred, shaken) in rows {
        let held = Held {
            volume_ml: 90.0,
            abv_percent,
            ..Held::default()
        };
        for (chilling, seconds, expected) in [
            (Chilling::Stirred, 30.0, stirred),
            (Chilling::Shaken, 12.0, shaken),
        ] {
            let count = 4000;
            let sum: f64 = (0..count)
                .map(|_| melted_g(&held, chilling, seconds, &mut draws))
                .sum();
            let share = sum / f64::from(count) / 90.0;
            assert!((share - expected).abs() < 0.005, "{share} for {expected}");
        }
    }
}

#[test]
fn melting_slows_with_time() {
    let held = Held {
        volume_ml: 90.0,
        abv_percent: 30.0,
        ..Held::default()
    };
    let after = |seconds: f64| {
        let mut draws = Draws::new(4, Process::Fetch, 0);
        melted_g(&held, Chilling::Stirred, seconds, &mut draws)
    };
    assert!(after(15.0) > 0.5 * after(30.0));
    assert!(after(60.0) < 1.2 * after(30.0));
    assert_eq!(after(0.0), 0.0);
}
