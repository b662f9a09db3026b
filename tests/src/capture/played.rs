//! Drinks made up on the simulated bench: what was told of them against what truly landed.

use pennyweight_core::Event;
use pennyweight_core::spec::{LiquidId, Vessel};
use pennyweight_sim::capture::{Captured, Notebook, Said, Taken, Which, spec};
use pennyweight_sim::commands::capture::again;
use pennyweight_sim::plant::Table;
use pennyweight_sim::session::{Free, Naming, SessionSetup, Truth, improvise};
use pennyweight_sim::sheet::find_liquid;

use super::house;
use crate::pouring::chosen_seed;

fn id(key: &str) -> LiquidId {
    find_liquid(house().liquids(), key).expect("a liquid of the sheet")
}

fn captured(moves: &[Free], seed: u64) -> (Notebook, Truth, Vec<Event>) {
    let house = house();
    let sheet = house.sheet().unwrap();
    let setup = SessionSetup::new(Vec::new(), seed);
    let (mut notes, mut told) = (Notebook::default(), Vec::new());
    let truth = improvise(
        &Table::nominal(),
        sheet,
        &setup,
        moves,
        |moment, entries| {
            entries.iter().for_each(|entry| notes.take(*entry));
            told.extend(moment.outputs.events());
        },
    );
    (notes, truth.unwrap(), told)
}

fn of(notes: &Notebook, wanted: fn(&Captured) -> bool) -> Vec<Captured> {
    notes.entries().iter().copied().filter(wanted).collect()
}

/// A stirred drink: one pour named before, one after, one corrected, a sip, ice, a stir, a strain.
fn stirred() -> Vec<Free> {
    vec![
        Free::Place(Vessel::MixingGlass),
        Free::Pour(id("rye"), 45.0, Naming::Before),
        Free::Pour(id("fino"), 20.0, Naming::After),
        Free::Pour(id("ginger"), 10.0, Naming::Never),
        Free::Say(Said::Name(Which::Last, id("lime"))),
        Free::Say(Said::Name(Which::Entry(2), id("ginger"))),
        Free::Sip(9.0),
        Free::Ice(160.0),
        Free::Stir(25.0),
        Free::Strain(Vessel::Coupe),
    ]
}

#[test]
fn pours_named_before_after_and_again_are_as_they_landed() {
    let first = chosen_seed().unwrap_or(0);
    for seed in first..first + 6 {
        let (notes, truth, told) = captured(&stirred(), seed);
        let pours = of(&notes, |one| one.taken == Taken::Poured);
        let place = format!("bench {seed}: {:#?} of {truth:?}", notes.entries());
        assert_eq!(pours.len(), 3, "{place}");
        for (pour, (liquid, landed_g)) in pours.iter().zip(&truth.landed_g) {
            assert_eq!(pour.liquid, Some(*liquid), "{place}");
            let off = f64::from(pour.amount.mass.0) - landed_g;
            assert!(off.abs() < 0.6, "{off} g off; {place}");
        }
        let lost = of(&notes, |one| one.taken == Taken::Lost && !one.struck);
        assert_eq!(lost.len(), 1, "{place}");
        let off = f64::from(lost[0].amount.mass.0) - truth.sipped_g;
        assert!(off.abs() < 3.0, "the sip is {off} g off; {place}");
        assert!(
            notes
                .entries()
                .iter()
                .any(|one| matches!(one.taken, Taken::Away(20..=32))),
            "{place}"
        );
        assert_eq!(
            of(&notes, |one| one.taken == Taken::Strained).len(),
            1,
            "{place}"
        );
        assert!(
            !told.iter().any(|event| matches!(event, Event::Fault(_))),
            "{place}"
        );
    }
}

/// The spec is within what a card may move each amount, and the same again builds it.
#[test]
fn the_same_again_is_a_guided_build_of_it() {
    let (notes, truth, _) = captured(&stirred(), 3);
    let spec = spec(&house(), &notes, "Found").unwrap();
    assert!(spec.ml.iter().any(|line| line == "strain"), "{spec:?}");
    let result = again(&house(), &spec, 4, |_, _| Ok(())).expect("it can be built");
    assert_eq!(result.drinks.len(), 1);
    let pours = &result.drinks[0].pours;
    assert_eq!(pours.len(), 3, "{pours:?}");
    for (pour, (_, landed_g)) in pours.iter().zip(&truth.landed_g) {
        let share = f64::from(pour.figures.target_g) / landed_g - 1.0;
        // 2 % of the card, 0.5 ml at most of the smallest, and what the scale was off.
        assert!(share.abs() < 0.02 + 0.6 / landed_g, "{share}: {pour:?}");
    }
}

#[test]
fn what_is_no_entry_cannot_be_named_or_struck() {
    for said in [
        Said::Name(Which::Last, id("rye")),
        Said::Name(Which::Entry(7), id("rye")),
        Said::Strike(0),
    ] {
        let (notes, truth, _) = captured(&[Free::Say(said)], 1);
        assert!(notes.entries().is_empty());
        assert_eq!(truth.unheard, 1, "{said:?}");
    }
}
