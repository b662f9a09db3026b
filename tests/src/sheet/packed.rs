//! What is packed comes back as it was.

use pennyweight_core::spec::limits::{NAME_MAX, SHEET_BYTES_MAX};
use pennyweight_core::spec::{
    Amount, Drink, DrinkId, Family, House, Liquid, LiquidId, Packer, Quantity, Sheet, SheetError,
    Step, Unit, Vessel,
};
use proptest::prelude::*;

pub(super) const HOUSE: House = House {
    dash_ul: 800,
    barspoon_ul: 5_000,
    drop_ul: 50,
};

const RYE: Liquid<'_> = Liquid {
    name: "rye whiskey",
    family: Family::Spirit,
    abv_centi: 5_000,
    sugar_dg_per_l: 0,
    density_g_per_m3: None,
    density_at_centi_c: 2_000,
    poured_g_per_m3: None,
    allergens: 0,
};

/// A sheet of `liquids` bottles and `drinks` drinks of `steps` steps, with names and notes as
/// long as they come.
fn house_sheet(liquids: u8, drinks: u8, steps: u8) -> Result<Vec<u8>, SheetError> {
    let mut buffer = vec![0; 2 * SHEET_BYTES_MAX];
    let mut packer = Packer::new(&mut buffer, &HOUSE)?;
    for number in 0..liquids {
        let name = format!("a long liquid {number:02}");
        packer.liquid(&Liquid {
            name: &name[name.len() - 16..],
            density_g_per_m3: Some(1_034_000),
            poured_g_per_m3: Some(1_036_000),
            sugar_dg_per_l: 6_000,
            ..RYE
        })?;
    }
    for number in 0..drinks {
        let name = format!("some long drink {number:02}");
        packer.drink(&Drink {
            name: &name[name.len() - 16..],
            vessel: Vessel::Tin,
            glass: Vessel::Coupe,
            as_poured: false,
            steps,
        })?;
        for step in 0..steps {
            // One line in four is a note.
            packer.step(&if step % 4 == 3 {
                let text = "a sprig of mint, clapped between the palms first";
                Step::Note { text }
            } else {
                let quantity = Quantity::Volume(45_000);
                let unit = Unit::Ml;
                Step::Pour {
                    liquid: LiquidId(0),
                    amount: Amount { quantity, unit },
                }
            })?;
        }
    }
    let used = packer.finish()?;
    buffer.truncate(used);
    Ok(buffer)
}

#[test]
fn a_large_house_fits_the_flash_set_aside() {
    let bytes = house_sheet(60, 60, 16).expect("fits");
    let sheet = Sheet::new(&bytes).expect("sound");
    assert_eq!((sheet.liquids(), sheet.drinks()), (60, 60));
    assert!(sheet.step(DrinkId(59), 15).is_ok());
    assert!(bytes.len() <= 24 * 1024, "{} bytes", bytes.len());
}

#[test]
fn too_large_a_sheet_is_refused() {
    assert_eq!(house_sheet(129, 1, 1), Err(SheetError::Full));
    assert_eq!(house_sheet(1, 129, 1), Err(SheetError::Full));
    assert_eq!(house_sheet(128, 128, 24), Err(SheetError::Full));
}

#[test]
fn records_out_of_order_or_bounds_are_refused() {
    let mut buffer = [0; 512];
    let mut packer = Packer::new(&mut buffer, &HOUSE).expect("room");
    let no_step = Step::Strain;
    assert_eq!(packer.step(&no_step), Err(SheetError::Record));
    let name = "a name of 17 chars";
    assert_eq!(
        packer.liquid(&Liquid { name, ..RYE }),
        Err(SheetError::Record)
    );
    packer.liquid(&RYE).expect("room");
    let drink = Drink {
        name: "Slow Ledger",
        vessel: Vessel::Rocks,
        glass: Vessel::Rocks,
        as_poured: true,
        steps: 1,
    };
    packer.drink(&drink).expect("room");
    assert_eq!(packer.liquid(&RYE), Err(SheetError::Record));
    assert_eq!(packer.drink(&drink), Err(SheetError::Record));
    let count = 1;
    let liquid = LiquidId(1);
    assert_eq!(
        packer.step(&Step::Dash { liquid, count }),
        Err(SheetError::Record)
    );
    let amount = Amount::parse("2 dashes").expect("an amount");
    let liquid = LiquidId(0);
    assert_eq!(
        packer.step(&Step::Pour { liquid, amount }),
        Err(SheetError::Record)
    );
    assert_eq!(packer.finish(), Err(SheetError::Record));
    assert!(matches!(
        Packer::new(&mut [0; 8], &HOUSE),
        Err(SheetError::Full)
    ));
}

#[test]
fn drinks_are_found_in_either_case_and_the_rest_is_missing() {
    let bytes = house_sheet(2, 3, 2).expect("fits");
    let sheet = Sheet::new(&bytes).expect("sound");
    assert_eq!(sheet.house(), Ok(HOUSE));
    assert_eq!(sheet.find_drink("ME LONG DRINK 02"), Ok(DrinkId(2)));
    assert_eq!(sheet.find_drink("me long drink"), Err(SheetError::Missing));
    assert_eq!(sheet.liquid(LiquidId(2)), Err(SheetError::Missing));
    assert_eq!(sheet.drink(DrinkId(3)), Err(SheetError::Missing));
    assert_eq!(sheet.step(DrinkId(0), 2), Err(SheetError::Missing));
    assert_eq!(sheet.bytes(), bytes);
}

#[test]
fn names_are_as_long_as_the_panel_shows_whatever_their_letters_take() {
    let name = "\u{FF}".repeat(NAME_MAX);
    let longer = "\u{FF}".repeat(NAME_MAX + 1);
    let mut buffer = [0; 200];
    let mut packer = Packer::new(&mut buffer, &HOUSE).expect("room");
    packer.liquid(&Liquid { name: &name, ..RYE }).expect("room");
    for name in [&longer, "t\u{151}ke", "x\u{301}", "a\u{85}b", ""] {
        let liquid = Liquid { name, ..RYE };
        assert_eq!(packer.liquid(&liquid), Err(SheetError::Record), "{name}");
    }
    let drink = Drink {
        name: &name,
        vessel: Vessel::Rocks,
        glass: Vessel::Rocks,
        as_poured: false,
        steps: 1,
    };
    packer.drink(&drink).expect("room");
    let liquid = LiquidId(0);
    packer.step(&Step::Rinse { liquid }).expect("room");
    let used = packer.finish().expect("room");
    let sheet = Sheet::new(&buffer[..used]).expect("sound");
    assert_eq!(sheet.find_drink(&name.to_uppercase()), Ok(DrinkId(0)));
}

/// As flash holds it: the sheet, then erased bytes.
#[test]
fn what_lies_behind_a_sheet_is_ignored() {
    let mut bytes = house_sheet(2, 3, 2).expect("fits");
    let length = bytes.len();
    bytes.resize(length + 100, 0xFF);
    assert_eq!(Sheet::new(&bytes).expect("sound").bytes().len(), length);
}

/// The owned likeness of a step.
#[derive(Clone, Debug)]
enum Line {
    Figures(Step<'static>),
    Note(String),
}

impl Line {
    fn step(&self) -> Step<'_> {
        match self {
            Self::Figures(step) => *step,
            Self::Note(text) => Step::Note { text },
        }
    }
}

type Liquids = Vec<(String, u8, u16, u16, Option<u32>, i16, u16, Option<u32>)>;

fn liquids() -> impl Strategy<Value = Liquids> {
    let liquid = (
        "[ -~\u{A0}-\u{FF}]{1,16}",
        0_u8..6,
        0_u16..=10_000,
        0_u16..=12_500,
        proptest::option::of(700_000_u32..=1_600_000),
        -2_000_i16..=4_000,
        0_u16..=0x3FFF,
        proptest::option::of(700_000_u32..=1_600_000),
    );
    proptest::collection::vec(liquid, 1..20)
}

fn lines() -> impl Strategy<Value = Vec<Line>> {
    let unit = prop_oneof![
        Just(Unit::Ml),
        Just(Unit::Cl),
        Just(Unit::Oz),
        Just(Unit::Gram)
    ];
    let quantity = prop_oneof![
        (1_u32..=20_000_000).prop_map(Quantity::Volume),
        (1_u32..=20_000_000).prop_map(Quantity::Mass),
    ];
    let amount = (quantity, unit).prop_map(|(quantity, unit)| Amount { quantity, unit });
    let liquid = Just(LiquidId(0));
    let line = prop_oneof![
        (liquid, amount.clone()).prop_map(|(liquid, amount)| Step::Pour { liquid, amount }),
        (liquid, amount).prop_map(|(liquid, amount)| Step::Soda { liquid, amount }),
        (liquid, 1_u8..=99).prop_map(|(liquid, count)| Step::Dash { liquid, count }),
        (liquid, 1_u8..=99).prop_map(|(liquid, count)| Step::Barspoon { liquid, count }),
        (liquid, 1_u8..=99, 1_u32..=20_000_000).prop_map(|(liquid, count, each_mg)| Step::Whole {
            liquid,
            count,
            each_mg
        }),
        (1_u16..=2_000, 2_000_u16..=5_000).prop_map(|(low_g, high_g)| Step::Ice { low_g, high_g }),
        (1_u8..).prop_map(|seconds| Step::Stir { seconds }),
        (1_u8..).prop_map(|seconds| Step::Shake { seconds }),
        Just(Step::Strain),
        Just(Step::Rinse {
            liquid: LiquidId(0)
        }),
    ]
    .prop_map(Line::Figures);
    let note = "[ -~\u{A0}-\u{FF}]{1,48}".prop_map(Line::Note);
    proptest::collection::vec(prop_oneof![4 => line, 1 => note], 1..24)
}

fn family(number: u8) -> Family {
    match number {
        0 => Family::Spirit,
        1 => Family::Syrup,
        2 => Family::Juice,
        3 => Family::Bitters,
        4 => Family::Soda,
        _ => Family::Whole,
    }
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 200, ..ProptestConfig::default() })]

    #[test]
    fn a_sheet_comes_back_as_it_was_packed(
        liquids in liquids(),
        drinks in proptest::collection::vec(("[ -~\u{A0}-\u{FF}]{1,16}", lines()), 0..12),
    ) {
        let liquids: Vec<_> = liquids
            .iter()
            .map(|(name, number, abv, sugar, density, at, allergens, poured)| Liquid {
                name,
                family: family(*number),
                abv_centi: *abv,
                sugar_dg_per_l: *sugar,
                density_g_per_m3: *density,
                density_at_centi_c: *at,
                poured_g_per_m3: *poured,
                allergens: *allergens,
            })
            .collect();
        let mut buffer = vec![0; SHEET_BYTES_MAX];
        let mut packer = Packer::new(&mut buffer, &HOUSE).expect("room");
        for liquid in &liquids {
            packer.liquid(liquid).expect("room");
        }
        let drink = |name, lines: &[Line]| Drink {
            name,
            vessel: Vessel::Tin,
            glass: Vessel::Coupe,
            as_poured: false,
            steps: lines.len() as u8,
        };
        for (name, lines) in &drinks {
            packer.drink(&drink(name, lines)).expect("room");
            for line in lines {
                packer.step(&line.step()).expect("room");
            }
        }
        let used = packer.finish().expect("room");
        let sheet = Sheet::new(&buffer[..used]).expect("sound");
        prop_assert_eq!(usize::from(sheet.liquids()), liquids.len());
        prop_assert_eq!(usize::from(sheet.drinks()), drinks.len());
        for (id, liquid) in (0..).zip(&liquids) {
            prop_assert_eq!(sheet.liquid(LiquidId(id)), Ok(*liquid));
        }
        for (id, (name, lines)) in (0..).zip(&drinks) {
            prop_assert_eq!(sheet.drink(DrinkId(id)), Ok(drink(name, lines)));
            for (number, line) in (0..).zip(lines) {
                prop_assert_eq!(sheet.step(DrinkId(id), number), Ok(line.step()));
            }
        }
    }
}
