//! From the words of a sheet to grams on the scale and to what a glass holds, against handbooks.

use pennyweight_core::Mode;
use pennyweight_core::spec::Step;
use pennyweight_sim::holds::{DrinkHolds, drink_holds};
use pennyweight_sim::sheet::{HouseSheet, parse};

use super::assert_close;

const LIQUIDS: &str = r#"
[liquid.spirit]
abv = 40
[liquid.ethanol]
abv = 100
[liquid.water]
pours = "juice"
[liquid.half]
pours = "syrup"
brix = 50
[liquid.thick]
pours = "syrup"
brix = 60
[liquid.thin]
pours = "syrup"
brix = 20
[liquid.honey]
pours = "syrup"
brix = 82
density = 1.42
[liquid.saline]
name = "saline 20 %"
pours = "juice"
density = 1.148
"#;

fn sheet(build: &[&str]) -> HouseSheet {
    let text =
        format!("{LIQUIDS}[[drink]]\nname = \"New\"\nvessel = \"rocks\"\nbuild = {build:?}\n");
    parse(&text, "house.toml").unwrap_or_else(|mistakes| panic!("{mistakes:?}"))
}

fn holds(build: &[&str]) -> DrinkHolds {
    let sheet = sheet(build);
    drink_holds(&sheet, &sheet.drinks()[0], Mode::Service).expect("within the models")
}

/// What a scale set with weights of 8000 kg/m3 in air of 1.2 kg/m3 shows of a gram (OIML D 28,
/// conventional value of the result of weighing in air).
fn shown_over_mass(density: f64) -> f64 {
    (1.0 - 1.2 / density) / (1.0 - 1.2 / 8000.0)
}

fn sugar_g_per_l(sheet: &HouseSheet, key: &str) -> f64 {
    let liquid = sheet.liquids().iter().find(|liquid| liquid.key == key);
    f64::from(liquid.expect("there").sugar_dg_per_l) / 10.0
}

/// CRC Handbook, aqueous sucrose at 20 degC: 50 % by mass is 1229.5 kg/m3, so 614.75 g/l. The
/// formula may be 0.3 kg/m3 off the table, the packed sheet is in tenths of a gram.
#[test]
fn fifty_brix_is_half_of_what_a_litre_weighs() {
    let sheet = sheet(&["30 ml half"]);
    assert_close(sugar_g_per_l(&sheet, "half"), 614.75, 0.15 + 0.05);
}

/// Thicker than the formula reaches, the sugar is the share of the density that was measured:
/// honey of 1.42 g/ml (USDA SR28, a tablespoon) and 82 % by mass.
#[test]
fn brix_goes_by_the_measured_density() {
    let sheet = sheet(&["30 ml honey"]);
    assert_close(sugar_g_per_l(&sheet, "honey"), 0.82 * 1420.0, 0.05);
}

/// Lange's Handbook at 20 degC: 33 % by mass is 948.57 kg/m3, 34 % 946.76, ethanol 789.32; 40 %
/// vol lies at 33.304 % and 948.02 kg/m3. CRC Handbook: a syrup of 50 % by mass, 1229.5 kg/m3.
/// A tenth of a kg/m3 (0.3 for the syrup) is what table and formula may differ by.
#[test]
fn thirty_millilitres_show_what_the_handbooks_weigh() {
    for (line, density, within) in [("30 ml spirit", 948.02, 0.1), ("30 ml half", 1229.5, 0.3)] {
        let shown = holds(&[line]).steps[0].g.expect("a liquid");
        let expected = 0.03 * density * shown_over_mass(density);
        assert_close(shown, expected, 0.03 * within);
    }
}

/// An amount in grams is what the scale shows, and its volume that of the mass behind it.
#[test]
fn grams_are_those_of_the_scale() {
    let holds = holds(&["36.885 g half"]);
    assert_eq!(holds.steps[0].g, Some(36.885));
    let ml = 36.885 / shown_over_mass(1229.5) / 1.2295;
    assert_close(holds.steps[0].ml.expect("a liquid"), ml, 0.01);
    assert_close(holds.built.volume_ml, ml, 0.01);
}

/// As much ethanol as water: 39.466 g and 49.91 g (Lange's Handbook, 789.32 and 998.2 kg/m3) are
/// 44.157 % by mass, between its rows of 44 % (926.82) and 45 % (924.69), so 96.47 ml.
#[test]
fn what_a_glass_holds_has_contracted() {
    let holds = holds(&["50 ml ethanol", "50 ml water"]);
    let density = 926.82 + 0.157 * (924.69 - 926.82);
    assert_close(holds.built.volume_ml, 89_376.0 / density, 0.02);
    assert_close(
        holds.built.abv_percent,
        50.0 * 100.0 / (89_376.0 / density),
        0.02,
    );
    assert_close(holds.built.ethanol_g, 39.466, 0.01);
}

/// CRC Handbook: equal masses of 60 and 20 % are 40 %, 1176.5 kg/m3. The scale shows both light,
/// by 0.08 and 0.10 %.
#[test]
fn syrups_mix_by_mass() {
    let holds = holds(&["40 g thick", "40 g thin"]);
    let mass = 40.0 / shown_over_mass(1286.5) + 40.0 / shown_over_mass(1081.0);
    assert_close(holds.built.volume_ml, mass / 1.1765, 0.02);
    assert_close(holds.built.sugar_g_per_l, 0.4 * 1176.5, 0.3);
}

/// Nothing waits for drops, and yet they are accounted for where the scale is not asked.
#[test]
fn drops_are_a_note_to_the_station_and_a_volume_to_the_reader() {
    let build = ["30 ml water", "3 drops of saline", "1 drop spirit"];
    let sheet = sheet(&build);
    let text = "3 drops saline 20 %";
    assert_eq!(sheet.drinks()[0].build[1].step(), Step::Note { text });
    let text = "1 drop spirit";
    assert_eq!(sheet.drinks()[0].build[2].step(), Step::Note { text });
    let holds = holds(&build);
    assert_close(holds.steps[1].ml.expect("a liquid"), 0.15, 1e-12);
    assert_close(holds.steps[1].g.expect("a liquid"), 0.172, 0.000_5);
    assert_close(holds.built.volume_ml, 30.2, 0.01);
}
