//! Flights played by a simulated hand, on benches chosen by their seeds.

use pennyweight_sim::commands::Failure;
use pennyweight_sim::commands::flight::{FlightResult, plan, played};
use pennyweight_sim::plant::Table;
use pennyweight_sim::session::Session;

use super::house;
use crate::pouring::chosen_seed;

fn play(text: &str, seed: u64) -> Result<FlightResult, Failure> {
    let house = house();
    let flight = house
        .flight(text, "--flight")
        .expect("a flight of the sheet");
    let planned = plan(&house, flight, seed)?;
    let sheet = planned.made.house.sheet()?;
    let session = Session::new(&Table::nominal(), sheet, &planned.session(seed))?;
    played(&planned, session, |_| Ok(()))
}

/// The portions of a batch are alike, the glasses are served alike, and what differs is what was
/// meant to: 5 ml of a 615 g/l syrup more are 3 g of sugar in about 85 ml, where the syrup came out
/// as it was meant. Of 300 benches the portions of 299 were told alike, of one not known to be (2.2
/// of 2.0 ml); the volumes served were at most 4.1 ml apart, and in 12 of the 300 more than the band
/// of 3 ml. In 15 of 100 the syrup of a glass is 1.5 to 2.5 ml over, and is told so.
#[test]
fn a_ladder_from_a_shared_batch() {
    let first = chosen_seed().unwrap_or(0);
    let mut as_meant = 0;
    for seed in first..first + 6 {
        let result = play("How sweet", seed).unwrap_or_else(|why| panic!("bench {seed}: {why}"));
        assert_eq!(result.shared, "batch");
        assert_eq!(result.variants.len(), 3);
        let shared = result.fairness.shared_ml.expect("three portions");
        assert_eq!(shared.finding, "alike", "bench {seed}: {shared:?}");
        let served = result.fairness.served_ml.expect("three glasses");
        assert!(served.spread < 5.0, "bench {seed}: {served:?}");
        let dilution = result.fairness.dilution_percent.expect("three stirs");
        assert!(
            dilution.spread <= dilution.within,
            "bench {seed}: {dilution:?}"
        );
        let pours = result.variants.iter().flat_map(|one| &one.holds.pours);
        if pours.into_iter().any(|pour| pour.figures.verdict != "good") {
            continue;
        }
        as_meant += 1;
        let sugars: Vec<f32> = result
            .variants
            .iter()
            .map(|one| one.holds.holds.sugar_g_per_l)
            .collect();
        assert!(
            sugars[0] + 20.0 < sugars[1] && sugars[1] + 20.0 < sugars[2],
            "bench {seed}: {sugars:?}"
        );
    }
    assert!(as_meant >= 4, "only {as_meant} ladders came out as meant");
}

#[test]
fn a_blind_flight_tells_its_glasses_by_codes() {
    let result = play("Which base", 7).unwrap();
    assert_eq!(result.shared, "each");
    for one in &result.variants {
        let code = one.code.expect("it is blind");
        assert_eq!(one.glass, format!("Glass {code}"));
    }
    let strong = |place: usize| result.variants[place].holds.holds.abv_percent;
    assert!(strong(0) > strong(1) + 1.0, "rye is stronger than rum");
}

#[test]
fn a_method_may_change() {
    let result = play("Quiet Hour: stir 25 s | shake 12 s", 3).unwrap();
    assert_eq!(result.variants[1].variant, "shake 12 s");
    assert_eq!(result.shared, "batch");
}
