//! Standard drinks by jurisdiction.

use pennyweight_core::liquid::STANDARD_DRINKS;

use super::{assert_close, number, table};

/// The compilation in tests/data, row by row; primary sources are named in it where known.
#[test]
fn standard_drinks_agree_with_the_compilation() {
    let rows = table(include_str!("../../data/liquid/standard_drinks.csv"));
    assert_eq!(rows.len(), STANDARD_DRINKS.len());
    for (row, drink) in rows.iter().zip(STANDARD_DRINKS) {
        let name = row[0].strip_suffix(" (reference)").unwrap_or(&row[0]);
        assert_eq!(name, drink.jurisdiction);
        match drink.grams {
            Some(grams) => assert_eq!(number(row, 1), grams, "{name}"),
            None => assert_eq!(&row[1], "", "{name}"),
        }
    }
}

/// Where the compilation gives millilitres too, they are those of ethanol at 789.24 kg/m3
/// (OIML R 22), to the tenth that the roughest rows print.
#[test]
fn grams_and_millilitres_of_a_standard_drink_agree() {
    for row in table(include_str!("../../data/liquid/standard_drinks.csv")) {
        if row[1].is_empty() {
            continue;
        }
        assert_close(number(&row, 2), number(&row, 1) / 0.789_24, 0.05, &row[0]);
    }
}

/// "A US standard drink is 1.5 US fl oz of 80 proof" (dietary guidance of the US health
/// agencies): 17.74 ml of ethanol, 14.0 g.
#[test]
fn one_and_a_half_ounces_of_eighty_proof_are_one_us_drink() {
    let us = STANDARD_DRINKS
        .iter()
        .find(|drink| drink.jurisdiction == "US")
        .expect("there");
    let ethanol_g = 1.5 * 29.573_529_562_5 * 0.40 * 0.789_24;
    assert_close(us.count(ethanol_g).expect("defined"), 1.0, 0.005, "US");
}
