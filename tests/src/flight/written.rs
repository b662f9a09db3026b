//! How flights are written, and what is said of one that cannot be.

use pennyweight_core::spec::{Quantity, Step};
use pennyweight_sim::commands::flight::plan;
use pennyweight_sim::sheet::{BATCH, HouseFlight, parse};

use super::{SHEET, house};

fn variants(flight: &HouseFlight) -> Vec<&str> {
    let lines = flight.variants.iter();
    lines.map(|line| line.written.as_str()).collect()
}

/// What is asked for, the line of the build that changes, and what it becomes.
#[test]
fn a_variant_is_the_line_it_changes() {
    for (text, line, wanted) in [
        (
            "Quiet Hour: 5 ml ginger | 10 ml ginger",
            3,
            &["5 ml ginger", "10 ml ginger"][..],
        ),
        (
            "quiet-hour: 5/10/15 ml ginger",
            3,
            &["5 ml ginger", "10 ml ginger", "15 ml ginger"],
        ),
        (
            "Quiet Hour: 1/4 oz ginger | 1/2 oz ginger",
            3,
            &["1/4 oz ginger", "1/2 oz ginger"],
        ),
        ("Quiet Hour: rye | rum", 1, &["45 ml rye", "45 ml rum"]),
        ("Quiet Hour: stir 15/40 s", 5, &["stir 15 s", "stir 40 s"]),
        (
            "Quiet Hour: stir 25 s | shake 12 s",
            5,
            &["stir 25 s", "shake 12 s"],
        ),
        (
            "Quiet Hour: 1/2/3 dashes bitters",
            0,
            &["1 dashes bitters", "2 dashes bitters", "3 dashes bitters"],
        ),
        (
            "Quiet Hour: ice 100-120 g | ice 200-220 g",
            4,
            &["ice 100-120 g", "ice 200-220 g"],
        ),
        (
            "How sweet",
            3,
            &["5 ml ginger", "10 ml ginger", "15 ml ginger"],
        ),
    ] {
        let flight = house()
            .flight(text, "--flight")
            .unwrap_or_else(|why| panic!("{text}: {why:?}"));
        assert_eq!(
            (flight.line, variants(&flight).as_slice()),
            (line, wanted),
            "{text}"
        );
    }
}

#[test]
fn a_flight_of_the_sheet_says_how_it_is_served() {
    let flight = house().flight("which base", "--flight").unwrap();
    assert!(flight.blind && !flight.shared);
    assert_eq!(variants(&flight), ["45 ml rye", "45 ml rum"]);
}

#[test]
fn what_is_wrong_is_told_with_its_place_and_bound() {
    for (text, place, what, right) in [
        (
            "Quiet Houer: 5/10 ml ginger",
            "1:1",
            "there is no drink \"Quiet Houer\"",
            "did you mean",
        ),
        (
            "Quiet Hour: 5 ml ginger",
            "1:12",
            "there are 1 variants",
            "2 to 6",
        ),
        (
            "Quiet Hour: 1/2/3/4/5/6/7 ml ginger",
            "1:12",
            "there are 7 variants",
            "2 to 6",
        ),
        (
            "Quiet Hour: 5 ml ginger | 5 ml giner",
            "1:32",
            "there is no liquid \"giner\"",
            "did you mean",
        ),
        (
            "Quiet Hour: 5 ml ginger | 5.0 ml ginger",
            "1:27",
            "stands twice",
            "differs",
        ),
        (
            "Quiet Hour: 5 ml lime | 10 ml lime",
            "1:12",
            "none of the variants changes a line",
            "another amount",
        ),
        (
            "Quiet Hour: 45 ml rye | 45 ml fino",
            "1:12",
            "may change \"45 ml rye\" or \"20 ml fino\"",
            "changes =",
        ),
        (
            "Quiet Hour: 5 ml ginger | | 10 ml ginger",
            "",
            "a variant is empty",
            "between the bars",
        ),
        (
            "Quiet Hour: 5 ml ginger | 30000 ml ginger",
            "1:27",
            "out of bounds",
            "20 l",
        ),
        (
            "How sweat",
            "1:1",
            "there is no flight \"How sweat\"",
            "How sweet",
        ),
    ] {
        let mistakes = house().flight(text, "--flight").expect_err(text);
        let told: Vec<String> = mistakes.iter().map(ToString::to_string).collect();
        let told = told.join("\n");
        for part in [place, what, right] {
            assert!(told.contains(part), "{text}: {part:?} is not in {told}");
        }
    }
}

#[test]
fn mistakes_in_a_sheet() {
    let start = SHEET.find("[[flight]]").unwrap();
    let drinks = &SHEET[..start];
    for (flight, what) in [
        (
            "name = \"A\"\ndrink = \"Quiet Hour\"",
            "the variants is missing",
        ),
        (
            "name = \"A\"\nvariants = [\"5/10 ml ginger\"]",
            "the drink is missing",
        ),
        (
            "name = \"A\"\ndrink = \"No\"\nvariants = [\"5/10 ml ginger\"]",
            "there is no drink",
        ),
        (
            "name = \"A\"\ndrink = \"Quiet Hour\"\nvariants = \"5/10 ml ginger\"",
            "\"variants\" is a text",
        ),
        (
            "name = \"A\"\ndrink = \"Quiet Hour\"\nblind = 1\nvariants = [\"5/10 ml ginger\"]",
            "neither true nor false",
        ),
        (
            "name = \"A\"\ndrink = \"Quiet Hour\"\nshared = \"jug\"\nvariants = [\"5/10 ml ginger\"]",
            "nothing is shared by",
        ),
        (
            "name = \"A\"\ndrink = \"Quiet Hour\"\nchanges = \"46 ml rye\"\nvariants = [\"rye\", \"rum\"]",
            "has no line \"46 ml rye\"",
        ),
        (
            "name = \"A\"\ndrink = \"Quiet Hour\"\nvarients = [\"5/10 ml ginger\"]",
            "there is no \"varients\" in a flight",
        ),
    ] {
        let text = format!("{drinks}\n[[flight]]\n{flight}\n");
        let mistakes = parse(&text, "house.toml").expect_err(flight);
        let told: Vec<String> = mistakes.iter().map(ToString::to_string).collect();
        assert!(told.join("\n").contains(what), "{flight}: {told:?}");
    }
}

/// Shared are two dashes, 45 ml of rye and 20 of fino, 66.6 ml with the dashes at 0.8. The
/// portion is weighed: at 20 degC rye of 50 % is 0.9301 g/ml (OIML R 22), fino of 15 % with its
/// 2 g/l of sugar about 0.980, bitters of 44.7 % about 0.940 g/ml: 1.50 + 41.86 + 19.6 = 63.0 g,
/// less 0.1 % of buoyancy. The batch is 3.09 times that, see the test of the split.
#[test]
fn the_batch_is_what_all_glasses_share() {
    let house = house();
    let flight = house.flight("How sweet", "--flight").unwrap();
    let planned = plan(&house, flight, 1).unwrap();
    let batch = planned.made.batch.expect("a batch");
    assert!((batch.portion_g - 62.9).abs() < 0.2, "{batch:?}");
    let sheet = planned.made.house.sheet().unwrap();
    assert_eq!(sheet.drink(batch.drink).unwrap().name, BATCH);
    let volumes: Vec<u32> = (0..3)
        .map(|number| match sheet.step(batch.drink, number).unwrap() {
            Step::Pour { amount, .. } => match amount.quantity {
                Quantity::Volume(ul) => ul,
                other => panic!("{other:?}"),
            },
            other => panic!("{other:?}"),
        })
        .collect();
    // 3.09 x 1.6, 45 and 20 ml.
    assert_eq!(volumes, [4_944, 139_050, 61_800]);
    for (id, ml) in planned.made.variants.iter().zip([5_000, 10_000, 15_000]) {
        let steps: Vec<Step<'_>> = (0..sheet.drink(*id).unwrap().steps)
            .map(|number| sheet.step(*id, number).unwrap())
            .collect();
        assert_eq!(
            steps.len(),
            5,
            "portion, ginger, ice, stir, strain: {steps:?}"
        );
        assert!(matches!(steps[0], Step::Pour { liquid, .. } if liquid == batch.liquid));
        assert!(
            matches!(steps[1], Step::Pour { amount, .. } if amount.quantity == Quantity::Volume(ml))
        );
    }
    assert!(
        planned
            .serve_ml
            .is_some_and(|ml| (60.0..=110.0).contains(&ml)),
        "{:?}",
        planned.serve_ml
    );
}

#[test]
fn one_shared_bottle_is_no_batch() {
    let house = house();
    let flight = house
        .flight("Plain Pair: 5/10 ml ginger", "--flight")
        .unwrap();
    let planned = plan(&house, flight, 1).unwrap();
    assert_eq!(planned.made.batch, None);
    assert!(planned.made.unbatched.is_some());
    assert_eq!(planned.serve_ml, None, "nothing is strained");
}
