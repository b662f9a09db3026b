//! The fix through the station: whatever was poured too much, and however often, the ratios are
//! right in the end and the vessel holds it.

use pennyweight_core::output::PourRecord;
use pennyweight_core::spec::{Quantity, Vessel};

use super::anybody::{Made, Mood};
use crate::pouring::chosen_seed;

const OF_EACH: u64 = 120;

/// A vessel is filled to this share of its brim (common practice, no source).
const FILLED: f64 = 0.85;

/// What was poured, ml, and what the spec asks for.
fn volumes(record: &PourRecord) -> (f64, f64) {
    let Quantity::Volume(ul) = record.amount.quantity else {
        panic!("{record:?} is no volume");
    };
    let poured = f64::from(record.target_volume.0 * (record.poured.mass.0 / record.target.0));
    (poured, f64::from(ul) / 1e3)
}

/// Some grown drink asks for this, give or take what nobody is told of: max(2 ml, 8 %), and what
/// the record may be off by.
fn is_in_ratio(records: &[&PourRecord]) -> bool {
    (1_000..1_600).any(|thousandths| {
        let grown = f64::from(thousandths) / 1e3;
        records.iter().all(|record| {
            let (poured, asked) = volumes(record);
            let band = f64::max(2.0, 0.08 * grown * asked) + 0.3;
            (poured - grown * asked).abs() <= band
        })
    })
}

#[test]
fn ratios_are_right_after_the_fix_and_the_vessel_holds_it() {
    let mood = Mood {
        over: 50,
        odd: 0,
        mends: true,
    };
    let first = chosen_seed().unwrap_or(0);
    let (mut mended, mut twice, mut wrong) = (0, 0, Vec::new());
    for (drink, vessel) in [
        ("Sour", Vessel::Tin),
        ("Full", Vessel::Rocks),
        ("Two", Vessel::Rocks),
    ] {
        for seed in first..first + OF_EACH {
            let made = Made::of(drink, vessel, seed, mood);
            // What could not be mended, or may be tipped out, is kept here.
            if made.mended == 0 || made.kept || made.asked || made.lost {
                continue;
            }
            mended += 1;
            twice += usize::from(made.mended > 1);
            let records = made.records();
            let held: f64 = records.iter().map(|record| volumes(record).0).sum();
            let room = FILLED * f64::from(vessel.brimful_ml()) + 1.0;
            if !is_in_ratio(&records) || held > room {
                let volumes: Vec<_> = records.iter().map(|record| volumes(record)).collect();
                wrong.push(format!(
                    "{drink}, seed {seed}: {held:.1} of {room:.1} ml, {volumes:.2?}\n{}",
                    made.told()
                ));
            }
        }
    }
    println!("{mended} drinks mended, {twice} of them twice or more");
    assert!(mended >= 20 && twice >= 5);
    assert!(
        wrong.is_empty(),
        "{} wrong:\n{}",
        wrong.len(),
        wrong.concat()
    );
}
