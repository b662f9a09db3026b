//! The `liquid` verb.

use pennyweight_sim::commands::liquid::{Answer, LiquidArgs, Unknown, answer, lines, page};

use super::assert_close;

fn asked(abv: Option<f64>, sugar: Option<f64>, temp: f64) -> LiquidArgs {
    LiquidArgs {
        abv,
        sugar,
        temp,
        ..LiquidArgs::default()
    }
}

fn told(args: &LiquidArgs) -> Answer {
    answer(args).expect("a liquid")
}

/// The keys other programs read; the masses only when a volume is asked for.
#[test]
fn json_has_its_keys() {
    let mut args = asked(Some(40.0), Some(230.0), 5.0);
    let keys = |args: &LiquidArgs| -> Vec<String> {
        let json = serde_json::to_value(told(args)).unwrap();
        json.as_object().unwrap().keys().cloned().collect()
    };
    let without = keys(&args);
    for key in [
        "density_kg_m3",
        "sigma_percent",
        "model",
        "source",
        "temperature_c",
    ] {
        assert!(without.iter().any(|k| k == key), "{key}");
    }
    assert!(!without.iter().any(|k| k == "mass_g"));
    args.ml = Some(30.0);
    let with = keys(&args);
    assert!(with.iter().any(|k| k == "mass_g") && with.iter().any(|k| k == "shown_g"));
}

/// Lange's Handbook: 33 % by mass is 39.7 % vol, 954.99 kg/m3 at 10 degC and 948.57 at 20. A
/// written volume is one at 20 degC, whatever the bottle's temperature.
#[test]
fn a_cold_spirit_is_denser_but_its_millilitres_weigh_the_same() {
    let abv = 33.0 * 948.57 / 789.32;
    let mut args = asked(Some(abv), None, 10.0);
    args.ml = Some(30.0);
    let cold = told(&args);
    assert_close(cold.density_kg_m3, 954.99, 0.15, "10 degC");
    args.temp = 20.0;
    let warm = told(&args);
    assert_close(warm.density_kg_m3, 948.57, 0.15, "20 degC");
    assert_eq!(cold.mass_g, warm.mass_g);
    assert_close(warm.mass_g.unwrap(), 28.457, 0.005, "30 ml");
}

/// Pharmacopeia, alcoholometric table: 25 % vol at 60 degF is 20.44 % by mass; Lange gives
/// 968.02 kg/m3 for that at 20 degC (20 % 968.61, 21 % 967.26).
#[test]
fn proof_is_read_at_60_degf() {
    let args = LiquidArgs {
        proof: Some(50.0),
        temp: 20.0,
        ..LiquidArgs::default()
    };
    let p = pennyweight_core::liquid::ethanol::mass_fraction(told(&args).abv_percent / 100.0);
    assert_close(100.0 * p.unwrap(), 20.44, 0.005, "50 proof");
    assert_close(told(&args).density_kg_m3, 968.02, 0.1, "50 proof");
}

/// CRC Handbook: 50 % by mass is 1229.5 kg/m3.
#[test]
fn brix_describes_a_syrup() {
    let args = LiquidArgs {
        brix: Some(50.0),
        temp: 20.0,
        ml: Some(20.0),
        ..LiquidArgs::default()
    };
    let syrup = told(&args);
    assert_close(syrup.density_kg_m3, 1229.5, 0.3, "50 Brix");
    assert_close(syrup.mass_g.unwrap(), 24.590, 0.006, "20 ml");
}

/// Lange's Handbook at 25 degC: 945.22 kg/m3 is 33 % by mass.
#[test]
fn solves_for_the_strength() {
    let args = LiquidArgs {
        density: Some(945.22),
        temp: 25.0,
        solve: Some(Unknown::Abv),
        ..LiquidArgs::default()
    };
    assert_close(
        told(&args).abv_percent,
        33.0 * 948.57 / 789.32,
        0.07,
        "25 degC",
    );
}

#[test]
fn a_measured_density_wins() {
    let mut args = asked(Some(17.0), Some(250.0), 20.0);
    args.density = Some(1081.3);
    args.ml = Some(20.0);
    let found = told(&args);
    assert_eq!(found.density_kg_m3, 1081.3);
    assert_eq!(found.model, "measured");
    assert_close(found.mass_g.unwrap(), 21.626, 1e-9, "20 ml");
}

#[test]
fn the_page_is_a_few_readable_lines() {
    let mut args = asked(Some(40.0), Some(230.0), 5.0);
    args.ml = Some(30.0);
    insta::assert_snapshot!(page(&args, &told(&args)));
}

#[test]
fn bad_input_says_where_and_what_to_do() {
    let refusal = |args: LiquidArgs| answer(&args).unwrap_err().to_string();
    let refusals = [
        refusal(LiquidArgs::default()),
        refusal(asked(Some(140.0), None, 20.0)),
        refusal(asked(Some(40.0), Some(-3.0), 20.0)),
        refusal(asked(Some(40.0), None, 60.0)),
        refusal(asked(Some(5.0), None, -8.0)),
        refusal(asked(Some(80.0), Some(700.0), 20.0)),
        refusal(asked(Some(f64::NAN), None, 20.0)),
        refusal(LiquidArgs {
            density: Some(0.948),
            temp: 20.0,
            ..LiquidArgs::default()
        }),
        refusal(LiquidArgs {
            density: Some(1036.0),
            temp: 20.0,
            solve: Some(Unknown::Abv),
            ..LiquidArgs::default()
        }),
    ]
    .join("\n");
    insta::assert_snapshot!(refusals);
}

/// The same models as in the checks of each; the cream's solids are assumed.
#[test]
fn salt_fat_and_honey_are_named_with_their_source() {
    let args = |salt, fat, honey_water, temp| LiquidArgs {
        salt,
        fat,
        honey_water,
        temp,
        ..LiquidArgs::default()
    };
    for (args, density, within, model) in [
        (args(Some(20.0), None, None, 5.0), 1155.1, 0.1, "saline"),
        (args(None, Some(36.1), None, 4.0), 1007.4, 1.5, "dairy"),
        (args(None, None, Some(17.5), 20.0), 1420.0, 0.1, "honey"),
    ] {
        let found = told(&args);
        assert_close(found.density_kg_m3, density, within, model);
        assert_eq!(found.model, model);
    }
}

/// Pharmacopeia: 25 % vol at 60 degF is 20.44 % by mass.
#[test]
fn strength_by_mass_is_read() {
    let args = |abw, proof| LiquidArgs {
        abw,
        proof,
        temp: 20.0,
        ..LiquidArgs::default()
    };
    let by_mass = told(&args(Some(20.44), None)).abv_percent;
    assert_close(
        by_mass,
        told(&args(None, Some(50.0))).abv_percent,
        0.01,
        "50 proof",
    );
}

/// Lines to paste are read back as the same liquid.
#[test]
fn lines_go_into_a_sheet() {
    let solved = LiquidArgs {
        solve: Some(Unknown::Sugar),
        density: Some(1036.1),
        abv: Some(40.0),
        temp: 20.0,
        ..LiquidArgs::default()
    };
    let measured = LiquidArgs {
        density: Some(1021.5),
        ..asked(Some(40.0), Some(230.0), 5.0)
    };
    let brix = LiquidArgs {
        brix: Some(50.0),
        temp: 20.0,
        ..LiquidArgs::default()
    };
    let salt = LiquidArgs {
        salt: Some(20.0),
        temp: 5.0,
        ..LiquidArgs::default()
    };
    let mut text = String::new();
    for args in [solved, measured, brix, salt, asked(Some(0.0), None, 20.0)] {
        let lines = lines(&args, &told(&args));
        let sheet = format!(
            "[liquid.new]\npours = \"juice\"\n{lines}[[drink]]\nname = \"New\"\n\
             vessel = \"rocks\"\nbuild = [\"30 ml new\"]\n"
        );
        let read = pennyweight_sim::sheet::parse(&sheet, "house.toml").expect("a sheet");
        let there = read.liquids()[0].estimate(args.temp).expect("a density");
        assert_close(there.density, told(&args).density_kg_m3, 0.03, &lines);
        text += &lines;
        text += "\n";
    }
    insta::assert_snapshot!(text);
}

#[test]
fn what_solves_nothing_is_refused() {
    let solve = |what, density, abv, sugar| LiquidArgs {
        solve: Some(what),
        density,
        abv,
        sugar,
        temp: 20.0,
        ..LiquidArgs::default()
    };
    let refusals = [
        solve(Unknown::Sugar, Some(940.0), Some(40.0), None),
        solve(Unknown::Sugar, Some(1450.0), Some(40.0), None),
        solve(Unknown::Sugar, Some(940.0), None, None),
        solve(Unknown::Sugar, Some(1040.0), Some(40.0), Some(200.0)),
        solve(Unknown::Sugar, None, Some(40.0), None),
        solve(Unknown::Abv, Some(1040.0), Some(40.0), None),
        LiquidArgs {
            salt: Some(30.0),
            ..LiquidArgs::default()
        },
        LiquidArgs {
            honey_water: Some(40.0),
            ..LiquidArgs::default()
        },
    ]
    .map(|args| answer(&args).unwrap_err().to_string())
    .join("\n");
    insta::assert_snapshot!(refusals);
}
