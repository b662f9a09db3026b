//! Whole drinks and rounds of the demo sheet, played to the end by the simulated bartender.
//!
//! What the station records is held against what the simulated bench knows to have landed; the
//! two share no model.

use std::sync::OnceLock;

use pennyweight_core::output::{DrinkRecord, PourRecord};
use pennyweight_core::spec::{DrinkId, Sheet, Step};
use pennyweight_sim::plant::{Held, Table};
use pennyweight_sim::session::{Outcome, Session, SessionSetup};
use pennyweight_sim::sheet;

use crate::edges::pennyweight;

/// A round that was played.
struct Played {
    seed: u64,
    orders: Vec<DrinkId>,
    outcome: Outcome,
    /// Of each drink done, what was recorded for it.
    drinks: Vec<(Vec<PourRecord>, DrinkRecord)>,
    landed: Vec<(String, f64)>,
    held: Vec<Held>,
}

pub(super) fn demo() -> Sheet<'static> {
    static PACKED: OnceLock<Vec<u8>> = OnceLock::new();
    let packed = PACKED.get_or_init(|| {
        sheet::demo()
            .expect("the demo sheet is sound")
            .pack()
            .to_vec()
    });
    Sheet::new(packed).expect("a packed sheet can be read")
}

fn play(orders: &[DrinkId], seed: u64) -> Played {
    let setup = SessionSetup::new(orders.to_vec(), seed);
    let mut session = Session::new(&Table::nominal(), demo(), &setup).unwrap();
    let mut pours = Vec::new();
    let mut drinks = Vec::new();
    for moment in session.by_ref() {
        pours.extend(moment.outputs.poured);
        if let Some(done) = moment.outputs.done {
            drinks.push((std::mem::take(&mut pours), done));
        }
    }
    Played {
        seed,
        orders: orders.to_vec(),
        outcome: session.outcome(),
        drinks,
        landed: session.landed().to_vec(),
        held: session.served().into_iter().map(|(_, held)| held).collect(),
    }
}

/// The names of what a drink has to record, in the order of its steps.
fn recorded_steps(drink: DrinkId) -> Vec<(u8, &'static str)> {
    let sheet = demo();
    let steps = sheet.drink(drink).unwrap().steps;
    let liquid = |number| match sheet.step(drink, number).unwrap() {
        Step::Pour { liquid, .. }
        | Step::Dash { liquid, .. }
        | Step::Barspoon { liquid, .. }
        | Step::Whole { liquid, .. }
        | Step::Rinse { liquid }
        | Step::Soda { liquid, .. } => Some((number, sheet.liquid(liquid).unwrap().name)),
        Step::Ice { .. }
        | Step::Stir { .. }
        | Step::Shake { .. }
        | Step::Strain
        | Step::Note { .. } => None,
    };
    (0..steps).filter_map(liquid).collect()
}

/// A record and what truly landed.
struct Compared {
    what: String,
    said_g: f64,
    sigma_g: f64,
    landed_g: f64,
}

impl Compared {
    fn off_g(&self) -> f64 {
        self.said_g - self.landed_g
    }

    fn is_outlier(&self) -> bool {
        self.off_g().abs() > 3.0 * self.sigma_g + 0.3
    }
}

/// Every step has its one record, in the order of the sheet; each beside what truly landed.
fn compare(played: &Played) -> Vec<Compared> {
    let Played { seed, orders, .. } = played;
    assert_eq!(played.outcome, Outcome::Finished, "seed {seed}, {orders:?}");
    let made: Vec<DrinkId> = played.drinks.iter().map(|(_, done)| done.drink).collect();
    assert_eq!(made, *orders, "seed {seed}");
    let mut landed = played.landed.iter().peekable();
    let mut compared = Vec::new();
    let mut before = None;
    for (records, done) in &played.drinks {
        // Two of a kind are built in one vessel: its records come with the first of them.
        if records.is_empty() && before == Some(done.drink) {
            continue;
        }
        before = Some(done.drink);
        let expected = recorded_steps(done.drink);
        let found: Vec<u8> = records.iter().map(|record| record.step).collect();
        let steps: Vec<u8> = expected.iter().map(|(step, _)| *step).collect();
        assert_eq!(
            found, steps,
            "seed {seed}, {orders:?}, drink {:?}",
            done.drink
        );
        for (record, (step, name)) in records.iter().zip(expected) {
            // What was added later to a short pour follows at once.
            let mut landed_g = 0.0;
            while let Some((_, grams)) = landed.next_if(|(landed, _)| landed == name) {
                landed_g += grams;
            }
            compared.push(Compared {
                what: format!("seed {seed}, drink {}, step {step}, {name}", done.drink.0),
                said_g: f64::from(record.poured.mass.0),
                sigma_g: f64::from(record.poured.sigma.0),
                landed_g,
            });
        }
    }
    assert!(
        landed.next().is_none(),
        "seed {seed}: something landed unrecorded"
    );
    compared
}

/// At most two records in a hundred are off by more than 3 sigma and 0.3 g, and none by 1.2 g:
/// a fan's draught swings more slowly than a settled value is averaged. All are told.
fn hold_against_the_truth(compared: &[Compared]) {
    let outliers: Vec<&Compared> = compared.iter().filter(|one| one.is_outlier()).collect();
    for one in &outliers {
        let Compared {
            what,
            said_g,
            sigma_g,
            landed_g,
        } = one;
        println!("{what}: {said_g:.2} g +- {sigma_g:.2} said, {landed_g:.2} g landed");
    }
    println!("{} of {} records", outliers.len(), compared.len());
    assert!(50 * outliers.len() <= compared.len());
    assert!(outliers.iter().all(|one| one.off_g().abs() < 1.2));
}

/// Glasses that hold something else than the station says.
///
/// The bench adds volumes up; ethanol and water contract, by 3.7 % at most (OIML R 22). What
/// stays on the ice is assumed; small counts are known to a gram.
fn glasses_off(played: &Played) -> Vec<String> {
    assert_eq!(
        played.held.len(),
        played.drinks.len(),
        "seed {}",
        played.seed
    );
    let mut off = Vec::new();
    for ((_, done), held) in played.drinks.iter().zip(&played.held) {
        let volume = f64::from(done.volume.0) - held.volume_ml;
        let strength = f64::from(done.abv_percent) - held.abv_percent;
        let sugar = f64::from(done.sugar_g_per_l) - held.sugar_g_per_l;
        let ethanol = f64::from(done.ethanol.0) - held.ethanol_g;
        // Where not all of a vessel went into one glass, nobody weighs the water: what stays behind
        // is drink, not hold-up. It is then the expected dilution that is recorded, which its own
        // source gives to ten percentage points: about 2 points of strength in a drink of 30 %, so
        // the 1 % asked of a weighed glass is out of reach of any instrument. Asked instead: that
        // the record admits it, no more than that, and is right within 3 of its own deviations.
        let shared = played
            .drinks
            .iter()
            .any(|(records, other)| records.is_empty() && other.drink == done.drink);
        if shared {
            let (strength_sigma, ethanol_sigma) = (
                f64::from(done.abv_sigma_percent),
                f64::from(done.ethanol_sigma.0),
            );
            let thinned = strength_sigma / held.abv_percent.max(1.0);
            if volume.abs() >= 2.0 + 0.01 * held.volume_ml
                || strength_sigma >= 3.0
                || ethanol_sigma >= 0.3 + 0.1 * held.ethanol_g
                || strength.abs() >= 3.0 * strength_sigma
                || ethanol.abs() >= 3.0 * ethanol_sigma
                || sugar.abs() >= 2.0 + (0.025 + 3.0 * thinned) * held.sugar_g_per_l
            {
                off.push(format!("seed {}: {done:?} {held:?}", played.seed));
            }
            continue;
        }
        let right = volume.abs() < 2.0 + 0.01 * held.volume_ml
            && strength.abs() < 1.0
            && sugar.abs() < 2.0 + 0.025 * held.sugar_g_per_l
            && ethanol.abs() < 0.3 + 0.03 * held.ethanol_g;
        if !right {
            off.push(format!("seed {}: {done:?} {held:?}", played.seed));
        }
    }
    off
}

#[test]
fn every_drink_of_the_demo_sheet_is_finished_and_recorded() {
    let (mut compared, mut off) = (Vec::new(), Vec::new());
    for drink in (0..demo().drinks()).map(DrinkId) {
        for seed in 0..20 {
            let played = play(&[drink], seed);
            compared.extend(compare(&played));
            off.extend(glasses_off(&played));
        }
    }
    hold_against_the_truth(&compared);
    assert!(off.is_empty(), "{off:#?}");
}

#[test]
fn rounds_are_finished_and_recorded() {
    let (mut compared, mut off) = (Vec::new(), Vec::new());
    for seed in 100..140 {
        for orders in [
            &[0, 1, 2][..],
            &[3, 4, 5],
            &[5, 3, 1, 4, 2, 0],
            &[1, 1, 1, 3, 3, 3],
        ] {
            let orders: Vec<DrinkId> = orders.iter().copied().map(DrinkId).collect();
            let played = play(&orders, seed);
            compared.extend(compare(&played));
            off.extend(glasses_off(&played));
        }
    }
    hold_against_the_truth(&compared);
    // A syrup read 0.7 g off by a draught (see above) moves the sugar of its glass by 4 %.
    println!("{} of 720 glasses are off: {off:#?}", off.len());
    assert!(off.len() <= 8, "{off:#?}");
}

/// What `run --json` prints for a seed.
fn document(seed: &str) -> Vec<u8> {
    let ran = pennyweight()
        .args(["run", "--json", "--seed", seed])
        .output()
        .expect("the program can be run");
    assert!(
        ran.status.success(),
        "{}",
        String::from_utf8_lossy(&ran.stderr)
    );
    ran.stdout
}

#[test]
fn the_same_seed_gives_the_same_document() {
    let once = document("4");
    assert_eq!(once, document("4"));
    assert_ne!(once, document("5"));
}
