//! Whatever somebody does, nothing that is told is negative, and what is recorded is what is in the
//! glass.

use pennyweight_core::Event;
use pennyweight_core::spec::Vessel;

use super::anybody::{Made, Mood};
use crate::pouring::chosen_seed;

const DRINKS: [(&str, Vessel); 6] = [
    ("Short", Vessel::Rocks),
    ("Two", Vessel::Rocks),
    ("Egg", Vessel::Rocks),
    ("Layers", Vessel::Rocks),
    ("Full", Vessel::Rocks),
    ("Sour", Vessel::Tin),
];

/// Drinks made of each.
const OF_EACH: u64 = 60;

/// Nothing told of the drink is negative or no figure at all.
fn figures(event: &Event) -> Vec<f32> {
    match event {
        Event::Poured(record) => vec![
            record.poured.mass.0,
            record.poured.sigma.0,
            record.target.0,
            record.target_volume.0,
        ],
        Event::Done(record) => vec![
            record.volume.0,
            record.volume_sigma.0,
            record.abv_percent,
            record.abv_sigma_percent,
            record.sugar_g_per_l,
            record.ethanol.0,
            record.ethanol_sigma.0,
        ],
        _ => Vec::new(),
    }
}

#[test]
fn mass_is_accounted_for_whatever_somebody_does() {
    let mood = Mood {
        over: 20,
        odd: 25,
        mends: false,
    };
    let first = chosen_seed().unwrap_or(0);
    let (mut compared, mut asked, mut off) = (0, 0, Vec::new());
    for (drink, vessel) in DRINKS {
        for seed in first..first + OF_EACH {
            let made = Made::of(drink, vessel, seed, mood);
            for (at, event) in &made.scene.told {
                let right = figures(event)
                    .iter()
                    .all(|figure| figure.is_finite() && *figure >= 0.0);
                assert!(
                    right,
                    "{drink}, seed {seed}: {at:?} {event:?}\n{}",
                    made.told()
                );
            }
            // A sour is made as far as its ice.
            let ended = made.done || drink == "Sour";
            assert!(
                ended,
                "{drink}, seed {seed}: there is no way out\n{}",
                made.told()
            );
            if made.asked {
                // What nobody answered for is in no record, and was told.
                asked += 1;
                continue;
            }
            let records = made.records();
            let said: f64 = records
                .iter()
                .map(|record| f64::from(record.poured.mass.0))
                .sum();
            let variance: f64 = records
                .iter()
                .map(|record| f64::from(record.poured.sigma.0).powi(2))
                .sum();
            let missing = said - made.in_glass_g();
            compared += 1;
            if missing.abs() > 3.0 * variance.sqrt() + 0.5 {
                let sigma = variance.sqrt();
                let sentence = format!("{drink}, seed {seed}: {missing:+.2} g, sigma {sigma:.2}");
                off.push((sentence, made.told()));
            }
        }
    }
    println!(
        "{compared} drinks compared, {asked} with a question, {} off",
        off.len()
    );
    for (sentence, story) in &off {
        println!("{sentence}\n{story}");
    }
    assert!(compared > 200 && 50 * off.len() <= compared);
}
