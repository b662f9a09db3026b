//! The demo house.

use pennyweight_core::spec::{DrinkId, Family, LiquidId, Step};
use pennyweight_sim::sheet::{HouseDrink, HouseSheet, allergen_words, demo};

fn house() -> HouseSheet {
    demo().unwrap_or_else(|mistakes| panic!("{mistakes:?}"))
}

fn liquid_of(step: &Step<'_>) -> Option<LiquidId> {
    match *step {
        Step::Pour { liquid, .. }
        | Step::Dash { liquid, .. }
        | Step::Barspoon { liquid, .. }
        | Step::Whole { liquid, .. }
        | Step::Soda { liquid, .. } => Some(liquid),
        _ => None,
    }
}

fn drinks_with(house: &HouseSheet, wanted: impl Fn(&Step<'_>) -> bool) -> Vec<&str> {
    let has = |drink: &&HouseDrink| drink.build.iter().any(|line| wanted(&line.step()));
    let drinks = house.drinks().iter().filter(has);
    drinks.map(|drink| drink.name.as_str()).collect()
}

#[test]
fn it_packs_and_reads_back() {
    let house = house();
    let bytes = house.pack();
    let sheet = house.sheet().expect("sound");
    assert_eq!(usize::from(sheet.drinks()), house.drinks().len());
    for (id, liquid) in (0..).zip(house.liquids()) {
        assert_eq!(sheet.liquid(LiquidId(id)), Ok(liquid.as_liquid()));
    }
    for (id, drink) in (0..).zip(house.drinks()) {
        assert_eq!(sheet.drink(DrinkId(id)), Ok(drink.as_drink()));
        assert_eq!(
            sheet.find_drink(&drink.name.to_lowercase()),
            Ok(DrinkId(id))
        );
        for (step, line) in (0..).zip(&drink.build) {
            assert_eq!(sheet.step(DrinkId(id), step), Ok(line.step()));
        }
    }
    assert!(bytes.len() < 2_048, "{} bytes", bytes.len());
}

#[test]
fn it_shows_every_kind_of_step() {
    let house = house();
    let family =
        |step: &Step<'_>| liquid_of(step).map(|id| house.liquid(id).expect("there").family);
    let text = [
        (
            "stirred",
            drinks_with(&house, |step| matches!(step, Step::Stir { .. })),
        ),
        (
            "shaken",
            drinks_with(&house, |step| matches!(step, Step::Shake { .. })),
        ),
        (
            "strained",
            drinks_with(&house, |step| matches!(step, Step::Strain)),
        ),
        (
            "soda",
            drinks_with(&house, |step| matches!(step, Step::Soda { .. })),
        ),
        (
            "whole",
            drinks_with(&house, |step| matches!(step, Step::Whole { .. })),
        ),
        (
            "dashes",
            drinks_with(&house, |step| matches!(step, Step::Dash { .. })),
        ),
        (
            "barspoon",
            drinks_with(&house, |step| matches!(step, Step::Barspoon { .. })),
        ),
        (
            "ice",
            drinks_with(&house, |step| matches!(step, Step::Ice { .. })),
        ),
        (
            "notes",
            drinks_with(&house, |step| matches!(step, Step::Note { .. })),
        ),
        (
            "spirit",
            drinks_with(&house, |step| family(step) == Some(Family::Spirit)),
        ),
    ]
    .map(|(kind, drinks)| format!("{kind}: {}", drinks.join(", ")))
    .join("\n");
    insta::assert_snapshot!(text);
}

#[test]
fn one_drink_is_without_alcohol_and_one_is_of_unlike_liquids() {
    let house = house();
    let strength = |drink: &HouseDrink| {
        let liquids = drink
            .build
            .iter()
            .filter_map(|line| liquid_of(&line.step()));
        liquids
            .map(|id| house.liquid(id).expect("there").abv_centi)
            .max()
    };
    let dry: Vec<_> = house
        .drinks()
        .iter()
        .filter(|drink| strength(drink) == Some(0))
        .collect();
    assert_eq!(dry.len(), 1);
    let allergens = |key: &str| {
        let liquid = house.liquids().iter().find(|liquid| liquid.key == key);
        allergen_words(liquid.expect("there").allergens)
    };
    assert_eq!(allergens("egg-white"), ["egg"]);
    assert_eq!(allergens("fino"), ["sulphites"]);
}
