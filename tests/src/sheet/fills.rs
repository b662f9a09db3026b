//! Batches as the station works them: in grams, and no fill beyond the jug or the cell.

use pennyweight_core::spec::{DrinkId, Quantity, Step};
use pennyweight_sim::holds::{FillError, Fills, Jug};
use pennyweight_sim::sheet::{self, HouseSheet};

const SHEET: &str = r#"
[liquid.rum]
abv = 40

[liquid.soda]
pours = "soda"
density = 1.001

[[drink]]
name = "Long Rum"
vessel = "highball"
build = ["ice 100-150 g", "50 ml rum", "100 ml soda"]

[[drink]]
name = "Bubbles"
vessel = "highball"
build = ["100 ml soda"]
"#;

/// 50 ml of 40 % vol: 948.05 kg/m3 at 20 degC (OIML R 22), seen in air of 1.2 kg/m3 against weights
/// of 8000 kg/m3.
const GLASS_G: f64 = 50.0 * 0.948_05 * (1.0 - 1.2 / 948.05) / (1.0 - 1.2 / 8000.0);

fn read() -> HouseSheet {
    sheet::parse(SHEET, "batches").expect("the sheet is sound")
}

fn jug(holds_ml: Option<f64>) -> Jug {
    Jug {
        mass_g: 600.0,
        holds_ml,
    }
}

fn fills(serves: u32, holds_ml: Option<f64>) -> Fills {
    let sheet = read();
    Fills::of(&sheet, &[&sheet.drinks()[0]], serves, jug(holds_ml)).expect("fills")
}

/// Grams of each step of the first drink.
fn asked(fills: &Fills) -> Vec<f64> {
    let sheet = fills.sheet().expect("packed here");
    let steps = sheet.drink(DrinkId(0)).expect("a drink").steps;
    (0..steps)
        .map(|number| match sheet.step(DrinkId(0), number) {
            Ok(Step::Pour { amount, .. }) => match amount.quantity {
                Quantity::Mass(mg) => f64::from(mg) / 1e3,
                other => panic!("no grams: {other:?}"),
            },
            other => panic!("no pour: {other:?}"),
        })
        .collect()
}

/// Ice and bubbles go into each glass, not into the jug.
#[test]
fn twelve_glasses_are_twelve_times_one_in_grams() {
    let made = fills(12, None);
    assert_eq!(made.order, [DrinkId(0)]);
    let asked = asked(&made);
    assert_eq!(asked.len(), 1);
    // Asked for to the tenth of a gram.
    assert!((asked[0] - 12.0 * GLASS_G).abs() < 0.06, "{asked:?}");
}

/// 4.7 kg beside a jug of 600 g on a cell of 3 kg are two fills; in a jug of 2 l they are three.
#[test]
fn what_the_cell_or_the_jug_does_not_hold_is_split_beforehand() {
    for (holds_ml, times, why) in [
        (None, 2, "the scale has room for 2400 g beside the jug"),
        (Some(2000.0), 3, "the jug holds 2000 ml"),
    ] {
        let made = fills(100, holds_ml);
        assert_eq!(made.order, vec![DrinkId(0); times]);
        let each_g = asked(&made)[0];
        let whole_g = 100.0 * GLASS_G;
        assert!((each_g * times as f64 - whole_g).abs() < 0.3, "{each_g}");
        assert!(made.said[0].contains(why), "{:?}", made.said);
    }
}

#[test]
fn what_cannot_be_filled_is_refused_with_the_bound() {
    let sheet = read();
    let refused = |number: usize, serves, holds_ml| {
        Fills::of(&sheet, &[&sheet.drinks()[number]], serves, jug(holds_ml)).unwrap_err()
    };
    let (drink, error) = refused(1, 12, None);
    assert_eq!((drink.as_str(), error), ("Bubbles", FillError::Empty));
    // 50 l in a jug of 2 l.
    let (_, error) = refused(0, 1000, Some(2000.0));
    assert_eq!(error, FillError::TooMany(25));
    assert_eq!(
        error.to_string(),
        "the jug would be filled 25 times; at most 12 fills can wait"
    );
}
