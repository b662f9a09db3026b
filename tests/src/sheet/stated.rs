//! The keys of a liquid, of the house and of a drink, against handbooks and by hand.

use pennyweight_core::Mode;
use pennyweight_core::spec::{Quantity, Reading, Step, Unit};
use pennyweight_core::units::Grams;
use pennyweight_sim::holds::drink_holds;
use pennyweight_sim::sheet::{Basis, HouseSheet, parse};

use super::{assert_close, liquid};

const DRINK: &str = "[[drink]]\nname = \"New\"\nvessel = \"rocks\"\n";

fn sheet(text: &str) -> HouseSheet {
    parse(text, "house.toml").unwrap_or_else(|mistakes| panic!("{mistakes:?}"))
}

/// A sheet with these liquids and one drink that needs none of them.
fn liquids(text: &str) -> HouseSheet {
    sheet(&format!("{text}\n{DRINK}build = [\"ice 10-20 g\"]\n"))
}

/// United States Pharmacopeia 29: 25 % vol at 60 degF, 50 proof, is 20.44 % by mass. Lange's
/// Handbook, 20 degC: that is 968.02 kg/m3, and ethanol 789.32, so 25.07 % vol.
#[test]
fn strength_is_read_by_volume_by_mass_and_as_proof() {
    let abv = 20.44 * 968.02 / 789.32;
    let sheet = liquids(&format!(
        "[liquid.a]\nabv = {abv:.2}\n[liquid.b]\nabw = 20.44\n[liquid.c]\nproof = 50\n"
    ));
    for key in ["a", "b", "c"] {
        let liquid = liquid(&sheet, key);
        assert_close(f64::from(liquid.abv_centi) / 100.0, abv, 0.02);
        let density = liquid.estimate(20.0).expect("a density").density;
        assert_close(density, 968.02, 0.1);
        assert_eq!(liquid.basis, Basis::Label);
    }
}

/// Published models and tables, as in the checks of each: saline 20 % is 1148.1 kg/m3, cream of
/// 36.1 % fat 997.1 (its solids assumed), honey 1420 (USDA SR28, a tablespoon).
#[test]
fn salt_fat_and_honey_become_densities_of_20_degc() {
    let sheet = liquids(
        "[liquid.saline]\nsalt = 20\n[liquid.cream]\nfat = 36.1\n[liquid.honey]\nhoney_water = 17.5\n",
    );
    for (key, basis, density, within) in [
        ("saline", Basis::Saline, 1148.1, 0.1),
        ("cream", Basis::Dairy, 997.1, 1.5),
        ("honey", Basis::Honey, 1420.0, 0.1),
    ] {
        let liquid = liquid(&sheet, key);
        assert_eq!((liquid.basis, liquid.density_at_centi_c), (basis, 2_000));
        let stated = liquid.density_g_per_m3.map(|d| f64::from(d) / 1_000.0);
        assert_close(stated.expect("a density"), density, within);
        assert!(!liquid.basis.sentence().is_empty());
    }
    assert_eq!(liquid(&sheet, "honey").sugar_dg_per_l, 11_715);
}

#[test]
fn acid_tags_and_temperature_are_kept() {
    let sheet = liquids(
        "[liquid.lemon]\npours = \"juice\"\nsugar = 25\nacid = 60\ntemp = 4\n\
         tags = [\"Sour\", \"citrus\", \"sour\"]\n",
    );
    let lemon = liquid(&sheet, "lemon");
    assert_eq!((lemon.acid_g_per_l, lemon.temp_c), (60.0, 4.0));
    assert_eq!(lemon.tags, ["sour", "citrus"]);
}

const COLD: &str = "[liquid.spirit]\nabw = 33\ntemp = 10\n\
                    [liquid.cream]\nfat = 36.1\ntemp = 4\n";
const POURS: &str = "build = [\"30 ml spirit\", \"30 ml cream\", \"30 g cream\"]\n";

/// What a scale set with weights of 8000 kg/m3 in air of 1.2 kg/m3 shows of a gram (OIML D 28).
fn shown_over_mass(density: f64) -> f64 {
    (1.0 - 1.2 / density) / (1.0 - 1.2 / 8000.0)
}

/// Lange's Handbook, 33 % by mass: 954.99 kg/m3 at 10 degC, 948.57 at 20. Component formula of
/// the milk industry, cream of 36.1 %: 1007.4 at 4 degC, 997.1 at 20 (its solids assumed, 1.5).
#[test]
fn a_volume_as_poured_weighs_what_it_weighs_in_the_cold() {
    for (volumes, spirit, cream) in [
        ("", 948.57, 997.1),
        ("volumes = \"at 20 C\"\n", 948.57, 997.1),
        ("volumes = \"as poured\"\n", 954.99, 1007.4),
    ] {
        let sheet = sheet(&format!("{COLD}{DRINK}{volumes}{POURS}"));
        let drink = &sheet.drinks()[0];
        let holds = drink_holds(&sheet, drink, Mode::Service).expect("within the models");
        let shown: Vec<f64> = holds.steps.iter().filter_map(|step| step.g).collect();
        assert_close(shown[0], 0.03 * spirit * shown_over_mass(spirit), 0.004);
        assert_close(shown[1], 0.03 * cream * shown_over_mass(cream), 0.045);
        // A mass is a mass, at any temperature.
        assert_close(shown[2], 30.0, 1e-9);
        // What is told is the volume at 20 degC.
        let ml = holds.steps[0].ml.expect("a liquid");
        assert_close(ml, 30.0 * spirit / 948.57, 0.006);
        // The panel reads off millilitres as they are poured.
        let packed = liquid(&sheet, "spirit").as_liquid();
        let per_ml = packed.shown_g_per_ml(drink.as_poured).expect("a density");
        assert_close(per_ml, shown[0] / 30.0, 1e-9);
        let left = Reading::of_mass(Grams(shown[0] as f32 / 4.0), per_ml as f32, Unit::Ml);
        assert_eq!((left.value, left.decimals), (75, 1));
    }
}

/// The house says how volumes are meant, a drink may say otherwise.
#[test]
fn a_drink_overrides_the_house() {
    let other = DRINK.replace("New", "Other");
    let sheet = sheet(&format!(
        "[house]\nvolumes = \"as poured\"\n{COLD}{DRINK}{POURS}{other}volumes = \"at 20 C\"\n{POURS}"
    ));
    let as_poured: Vec<bool> = sheet.drinks().iter().map(|drink| drink.as_poured).collect();
    assert_eq!(as_poured, [true, false]);
    let packed = sheet.sheet().expect("sound");
    for (id, as_poured) in (0..).zip(as_poured) {
        let drink = packed.drink(pennyweight_core::spec::DrinkId(id));
        assert_eq!(drink.map(|drink| drink.as_poured), Ok(as_poured));
    }
}

fn amounts(sheet: &HouseSheet) -> Vec<(u32, Unit)> {
    let lines = sheet.drinks()[0].build.iter();
    lines
        .filter_map(|line| match line.step() {
            Step::Pour { amount, .. } | Step::Soda { amount, .. } => match amount.quantity {
                Quantity::Volume(ul) => Some((ul, amount.unit)),
                _ => None,
            },
            _ => None,
        })
        .collect()
}

/// By hand, to the microlitre and to the same total. An ounce is 29.573 529 562 5 ml (NIST Handbook 44, Appendix C), so three are
/// 88.720 588 687 5 ml, a sixth of them 14.786 764 781 25.
#[test]
fn parts_share_the_total() {
    let shelf =
        "[liquid.rye]\nabv = 50\n[liquid.fino]\nabv = 15\n[liquid.soda]\npours = \"soda\"\n";
    for (total, build, expected) in [
        (
            "90 ml",
            "\"2 parts rye\", \"1 part fino\"",
            vec![(60_000, Unit::Ml), (30_000, Unit::Ml)],
        ),
        (
            "9 cl",
            "\"2 parts of rye\", \"1 PART fino\"",
            vec![(60_000, Unit::Cl), (30_000, Unit::Cl)],
        ),
        (
            "3 oz",
            "\"1 1/2 parts rye\", \"\u{BD} part fino\", \"1.0 part soda\"",
            vec![(44_360, Unit::Oz), (14_787, Unit::Oz), (29_574, Unit::Oz)],
        ),
        (
            "100 ml",
            "\"1 part rye\", \"10 ml fino\", \"1 part fino\", \"1 part soda\"",
            vec![
                (33_334, Unit::Ml),
                (10_000, Unit::Ml),
                (33_333, Unit::Ml),
                (33_333, Unit::Ml),
            ],
        ),
    ] {
        let text = format!("{shelf}{DRINK}total = \"{total}\"\nbuild = [{build}]\n");
        assert_eq!(amounts(&sheet(&text)), expected, "{total} {build}");
    }
}

/// By hand: 0.71, 0.85 and 0.78 g have a mean of 0.78 g and a deviation of 0.07 g. Ethanol of
/// 44.7 % vol: Lange's Handbook between 37 % (941.06) and 38 % (939.09) by mass, near 939.7.
#[test]
fn weighed_dashes_give_a_mean_and_a_spread() {
    let sheet = liquids(
        "[house]\ndash = [\"0.71 g\", \"0.85 g\", \"0.78 g\"]\nmeasured_with = \"bitters\"\n\
         barspoon = [\"4 ml\", \"5 ml\", \"4.5 ml\", \"0.55 cl\"]\n\
         [liquid.bitters]\npours = \"bitters\"\nabv = 44.7\n",
    );
    let g_per_ml = 0.9397 * shown_over_mass(939.7);
    assert_close(f64::from(sheet.house().dash_ul), 780.0 / g_per_ml, 1.5);
    assert_close(sheet.spreads().dash_ul, 70.0 / g_per_ml, 0.1);
    // Mean 4.75; deviations 0.75, 0.25, 0.25, 0.75.
    assert_eq!(sheet.house().barspoon_ul, 4_750);
    assert_close(sheet.spreads().barspoon_ul, (1.25e6_f64 / 3.0).sqrt(), 1e-9);
}

/// Half the width of an even spread over the square root of three (JCGM 100, 4.3.7), of the range
/// in use, scaled to the measure. The ranges are common practice, no source.
#[test]
fn a_single_volume_has_the_usual_spread() {
    let usual = liquids("");
    assert_close(usual.spreads().dash_ul, 400.0 / 3.0_f64.sqrt(), 1e-9);
    assert_close(usual.spreads().barspoon_ul, 1_250.0 / 3.0_f64.sqrt(), 1e-9);
    assert_close(usual.spreads().drop_ul, 15.0 / 3.0_f64.sqrt(), 1e-9);
    let small = liquids("[house]\ndash = \"0.4 ml\"\n");
    assert_close(small.spreads().dash_ul, 200.0 / 3.0_f64.sqrt(), 1e-9);
}
