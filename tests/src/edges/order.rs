//! Orders by name.

use pennyweight_core::spec::DrinkId;
use pennyweight_sim::commands::order::order;

use super::names;

#[test]
fn drinks_are_found_whatever_the_capitals() {
    let ordered = order(
        "long pier, CR\u{c8}ME LANTERN ,Long Pier",
        "--order",
        &names(),
    )
    .unwrap();
    assert_eq!(ordered, [DrinkId(1), DrinkId(0), DrinkId(1)]);
}

#[test]
fn an_unknown_drink_names_those_that_exist_and_the_nearest() {
    let failure = order("Crème Lantern, Lnog Peir", "--order", &names()).unwrap_err();
    assert_eq!(failure.exit_code(), 2);
    let text = failure.to_string();
    for part in [
        "drink 2: 'Lnog Peir'",
        "did you mean \"Long Pier\"?",
        "Crème Lantern, Long Pier",
    ] {
        assert!(text.contains(part), "{part} is missing in: {text}");
    }
}

#[test]
fn nothing_is_guessed_for_what_resembles_nothing() {
    let text = order("zzzz", "--order", &names()).unwrap_err().to_string();
    assert!(!text.contains("did you mean"), "{text}");
}

#[test]
fn the_beginning_of_a_name_is_enough_for_a_guess() {
    let text = order("long", "--order", &names()).unwrap_err().to_string();
    assert!(text.contains("did you mean \"Long Pier\"?"), "{text}");
}

#[test]
fn an_empty_name_is_a_mistake() {
    let text = order("Long Pier,,Long Pier", "--order", &names())
        .unwrap_err()
        .to_string();
    assert!(text.contains("drink 2: ''"), "{text}");
    assert!(text.contains("no name"), "{text}");
}
