//! The spec of a notebook written by hand, and what is said of what cannot be in it.

use pennyweight_core::output::Settled;
use pennyweight_core::spec::LiquidId;
use pennyweight_core::units::Grams;
use pennyweight_sim::capture::{Captured, Notebook, Taken, spec};
use pennyweight_sim::sheet::find_liquid;

use super::house;

fn notebook(entries: &[(Taken, Option<&str>, f32)]) -> Notebook {
    let liquid = |key: &str| find_liquid(house().liquids(), key).expect("a liquid of the sheet");
    let mut notes = Notebook::default();
    for (number, (taken, key, grams)) in (0..).zip(entries) {
        notes.take(told(number, *taken, key.map(liquid), *grams));
    }
    notes
}

fn told(entry: u8, taken: Taken, liquid: Option<LiquidId>, grams: f32) -> Captured {
    Captured {
        entry,
        taken,
        liquid,
        amount: Settled {
            mass: Grams(grams),
            sigma: Grams(0.1),
        },
        struck: false,
    }
}

/// Rye of 50 % is 0.9301 g/ml at 20 degC (OIML R 22), 0.9292 as a scale shows it in air: 41.9 g
/// are 45.1 ml, on a card 45 ml or 1 1/2 oz (44.4). Juice of 1.035 g/ml: 23.3 g are 22.5 ml, 3/4 oz
/// (22.2). Ice of 160 g is 136 to 184 g, in tens 140 to 180. Juice and a strain: shaken in a tin.
#[test]
fn a_shaken_drink() {
    let notes = notebook(&[
        (Taken::Poured, Some("lime"), 23.3),
        (Taken::Poured, Some("rye"), 30.0),
        (Taken::Poured, Some("rye"), 11.9),
        (Taken::Lost, None, 7.5),
        (Taken::Tipped, None, 80.0),
        (Taken::Tipped, None, 80.0),
        (Taken::Away(12), None, 0.0),
        (Taken::Strained, None, 88.0),
    ]);
    let spec = spec(&house(), &notes, "Found").unwrap();
    assert_eq!(
        spec.ml,
        [
            "22.5 ml lime",
            "45 ml rye",
            "ice 140-180 g",
            "shake 12 s",
            "strain"
        ]
    );
    assert_eq!(
        spec.oz,
        [
            "3/4 oz lime",
            "1 1/2 oz rye",
            "ice 140-180 g",
            "shake 12 s",
            "strain"
        ]
    );
    assert!(
        spec.remarks.iter().any(|line| line.contains("7.5 g lost")),
        "{:?}",
        spec.remarks
    );
    let with = house()
        .with_drinks(&spec.toml, "pasted")
        .expect("it can be pasted");
    let drink = with.drinks().last().expect("one more");
    assert_eq!((drink.name.as_str(), drink.build.len()), ("Found", 5));
    let ounces = spec
        .toml
        .replace("build = [", "old = [")
        .replace("# old", "build")
        .replace("\n# ", "\n");
    assert!(ounces.contains("1 1/2 oz rye"));
}

/// 1.5 g of bitters at 0.94 g/ml are 1.6 ml: two dashes of 0.8 ml.
#[test]
fn bitters_are_counted_and_what_has_no_name_is_told() {
    let notes = notebook(&[
        (Taken::Poured, Some("bitters"), 1.5),
        (Taken::Poured, Some("rye"), 41.9),
        (Taken::Poured, None, 12.0),
    ]);
    assert_eq!(notes.unnamed(), [2]);
    let spec = spec(&house(), &notes, "Found").unwrap();
    assert_eq!(spec.ml, ["2 dashes bitters", "45 ml rye"]);
    assert!(
        spec.remarks.iter().any(|line| line.contains("entry 2")),
        "{:?}",
        spec.remarks
    );
}

#[test]
fn a_struck_entry_is_left_out_and_a_later_telling_replaces_an_earlier() {
    let mut notes = notebook(&[
        (Taken::Poured, Some("rye"), 41.9),
        (Taken::Poured, Some("fino"), 20.0),
    ]);
    let fino = notes.entries()[1];
    notes.take(Captured {
        struck: true,
        ..fino
    });
    let spec = spec(&house(), &notes, "Found").unwrap();
    assert_eq!(spec.ml, ["45 ml rye"]);
    assert_eq!(notes.entries().len(), 2);
}
